"""Inputs made to do harm: nothing raises, hangs, formats, or steers the terminal."""

from __future__ import annotations

import json
import os
import re
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commands import DEMO, Ran, atom, layout, netlist, run
from counterpoise.catalog.cards import all_cards, find_card
from counterpoise.reports._plain import plain, short
from counterpoise.values.partvalue import read_value, unfitted_text

NAMES = {
    "colour": "\x1b[31mred\x1b[0m",
    "window title": "\x1b]0;title\x07",
    "eight-bit control": "a\x9b31mb",
    "reordered": "a\u202eb\u2066c",
    "invisible": "a\u200b\u2060b\ufeff",
    "line": "a\nb",
    "carriage return": "a\rb",
    "tab": "a\tb",
    "separator": "a\u2028b\u2029c",
    "nul": "nul\x00byte",
    "no character": "a\uffff\U000e0001",
    "formula": "=cmd()|' /C calc'!A0",
    "sum": "@SUM(1+1)*cmd",
    "minus": "-1",
    "script": "<script>alert(1)</script>",
    "braces": "{subject}",
    "attribute": "{0.__class__}",
    "open brace": "{",
    "close brace": "}",
    "percent": "%s%n",
    "shell": "$(reboot)`reboot`",
    "quotes": "\"'",
    "bracket": "a]b[c",
    "backslash": "a\\b\\",
    "blank": " ",
    "empty": "",
    "path": "../../etc/passwd",
    "digits": "9" * 5000,
    "digits and dots": "1.2" * 3000,
    "prefixes": "1k2" * 3000,
    "slashes": "0.1u/" * 3000,
    "exponent": "1e999999",
    "long": "x" * 30_000,
    "long word of marks": "é" * 20_000,
}


def board(folder: Path, name: str) -> None:
    """Design files with that name for parts, values, nets, pins, fields, everywhere."""
    ground = {"2": "GND"}
    rows = [
        ("J1", "USB_C_Receptacle", {"A4": "VBUS", "A5": name, "B5": name, "A1": "GND"}),
        (f"R{name}", "10k", {"1": name, **ground}),
        (f"BT{name}", f"LiPo {name}", {"1": "VCC", **ground}),
        *(
            (f"{letter}1", name, {"1": name, **ground})
            for letter in ("U", "C", "Y", "D", "SW", "L")
        ),
        (name, name, {name: name, **ground}),
    ]
    (folder / "a.net").write_bytes(netlist(rows).encode())
    ref, text = atom(name or "R5"), atom(name)
    part = (
        f'(footprint {text} (layer "F.Cu") (at 5 5) (property "Reference" {ref}) '
        f'(property "Value" {text}) (property {text} {text}) '
        f'(pad {text} smd rect (at 0 0) (size 1 1) (layers "F.Cu") (net 1 {text})))'
    )
    (folder / "a.kicad_pcb").write_bytes(layout(part).encode())
    quoted = '"' + name.replace('"', '""') + '"'
    bill = f"Ref,Value,MPN\n{quoted},{quoted},{quoted}\nR1,10k,{quoted}\n"
    (folder / "bom.csv").write_bytes(bill.encode())


def harmless(ran: Ran) -> None:
    """The run ended in order and wrote nothing that steers a terminal."""
    assert ran.status in (0, 1, 2), ran
    for text in (ran.out, ran.err):
        steering = {c for c in text if unicodedata.category(c)[0] == "C" or c in "\u2028\u2029"}
        assert steering <= {"\n"}, steering
    if ran.status == 2:
        ran.refused()
        assert len(ran.err) < 3000
        assert "a fault inside" not in ran.err, ran.err
    assert "a repair of counterpoise" not in ran.out


SLOW = ("digits and dots", "prefixes", "slashes", "long word of marks")


@pytest.mark.parametrize(
    "case", [pytest.param(n, marks=[pytest.mark.slow] if n in SLOW else []) for n in NAMES]
)
def test_names(case: str, tmp_path: Path) -> None:
    board(tmp_path, NAMES[case])
    net, drawn, bill = (tmp_path / name for name in ("a.net", "a.kicad_pcb", "bom.csv"))
    for words in (
        ("check", net, "--all"),
        ("check", net, "--layout", drawn, "--bom", bill),
        ("check", drawn),
        ("parts", net),
        ("weigh", drawn, "--all"),
        ("start", "--print", tmp_path),
    ):
        harmless(run(*words))
    ran = run("check", net, "--format", "json")
    harmless(ran)
    if ran.status != 2:
        json.loads(ran.out)


LITERAL = (
    "script",
    "braces",
    "attribute",
    "open brace",
    "close brace",
    "percent",
    "formula",
    "path",
)


@pytest.mark.parametrize("case", LITERAL)
def test_a_name_is_shown_as_it_stands(case: str, tmp_path: Path) -> None:
    name = NAMES[case].replace("'", "").replace(" ", "")
    board(tmp_path, name)
    parts = json.loads(run("parts", tmp_path / "a.net", "--format", "json").out)["parts"]
    assert {name, f"R{name}", f"BT{name}"} <= {part["ref"] for part in parts}
    ran = run("check", tmp_path / "a.net", "--format", "json", "--only", "cell-needs-charger")
    told = run("check", tmp_path / "a.net", "--format", "json").out
    assert ran.status != 2
    assert json.dumps(f"BT{name}", ensure_ascii=False)[1:-1] in told


def test_words_of_a_rule_are_filled_once(tmp_path: Path) -> None:
    """A ref that reads as a place to fill stays as it is in the finding that names it."""
    bill = "Ref,Value\n{subject},1k\n"
    (tmp_path / "bom.csv").write_text(bill)
    rows = [("{subject}", "10k", {"1": "A", "2": "B"}), ("{0.x}", "{rule}", {"1": "A", "2": "B"})]
    (tmp_path / "a.net").write_text(netlist(rows))
    ran = run("check", tmp_path / "a.net", "--bom", tmp_path / "bom.csv", "--format", "json")
    findings = json.loads(ran.out)["findings"]
    differs = next(f for f in findings if f["rule"] == "bom-value-differs")
    missing = next(f for f in findings if f["rule"] == "bom-missing")
    assert "{subject}" in differs["message"]
    assert "{0.x}" in missing["message"] + missing["remedy"]


def test_a_manifest_s_own_words_do_no_harm(tmp_path: Path) -> None:
    board(tmp_path, "x")
    nasty = '"\\u001b[31m{subject}\\u202e"'
    (tmp_path / "board.toml").write_text(
        f'[board]\nname = {nasty}\nnetlist = "a.net"\n[parts.{nasty}]\nrole = "cell"\n'
        f'[[waivers]]\nrule = "lone-net"\nsubject = "*"\nreason = {nasty}\n'
        if "lone-net" in run("rules").out
        else f'[board]\nname = {nasty}\nnetlist = "a.net"\n[parts.{nasty}]\nrole = "cell"\n'
    )
    ran = run("check", tmp_path)
    harmless(ran)
    assert ran.out.startswith("\\x1b[31m{subject}\\u202e\n")


# -- amounts ----------------------------------------------------------------------------------
@pytest.mark.parametrize("count", [5_000, pytest.param(100_000, marks=pytest.mark.slow)])
def test_many_parts_of_one_ref(count: int, tmp_path: Path) -> None:
    comps = '(comp (ref "R1") (value "1k"))\n' * count
    nodes = "".join(f'(node (ref "R1") (pin "{pin}"))\n' for pin in range(count // 5))
    text = f'(export (version "E")(components {comps})(nets (net (code 1) (name "A") {nodes})))'
    (tmp_path / "a.net").write_text(text)
    ran = run("check", tmp_path / "a.net")
    harmless(ran)
    assert "R1" in ran.out
    assert len(ran.out) < 20_000


@pytest.mark.parametrize(
    "text",
    ["(" * 200_000, '(export (version "E")' + "(a " * 200_000, '(export "' + "\\" * 200_000],
    ids=["brackets", "lists", "backslashes"],
)
def test_deep_nesting(text: str, tmp_path: Path) -> None:
    (tmp_path / "a.net").write_text(text)
    harmless(run("check", tmp_path / "a.net"))
    assert run("check", tmp_path / "a.net").status == 2


NUMBERS = ("1e308", "1e9", "nan", "-inf", "-5", "0", "1e-300", "9" * 5000)
SPOTS = {
    "place": ('(footprint "x" (layer "F.Cu") (at {} 5 0) (pad "1" smd rect (at 0 0) (size 1 1) '
              '(layers "F.Cu")))'),
    "size": ('(footprint "x" (layer "F.Cu") (at 5 5 0) (pad "1" thru_hole rect (at 0 0) '
             '(size {0} 1) (drill {0}) (layers "*.Cu")))'),
    "edge": '(gr_line (start 1 1) (end {} 2) (layer "Edge.Cuts") (width 0.1))',
    "arc": '(gr_arc (start 1 1) (mid {} 3) (end 3 1) (layer "Edge.Cuts") (width 0.1))',
    "track": '(segment (start 1 1) (end {0} 5) (width {0}) (layer "F.Cu") (net 0))',
    "via": '(via (at {0} 5) (size {0}) (drill {0}) (layers "F.Cu" "B.Cu") (net 0))',
    "zone": ('(zone (net 0) (layer "F.Cu") (filled_polygon (layer "F.Cu") '
             "(pts (xy 0 0) (xy {0} 0) (xy {0} 5))))"),
    "thickness": "(general (thickness {}))",
}  # fmt: skip


@pytest.mark.parametrize("spot", SPOTS)
@pytest.mark.parametrize("number", NUMBERS, ids=lambda n: n[:6])
def test_numbers_of_a_board_file(spot: str, number: str, tmp_path: Path) -> None:
    (tmp_path / "a.kicad_pcb").write_text(layout(SPOTS[spot].format(number)))
    for words in (("check",), ("weigh",)):
        ran = run(*words, tmp_path / "a.kicad_pcb", "--format", "json")
        harmless(ran)
        if ran.status != 2:
            assert not re.search(r"\b(NaN|Infinity)\b", ran.out)


MANIFESTS = {
    "lists in lists": "x = " + "[" * 100_000 + "]" * 100_000,
    "tables in tables": "x = " + "{a = " * 50_000 + "1" + "}" * 50_000,
    "dotted key": "[a" + ".a" * 50_000 + "]",
    "dotted pair": "a" + ".a" * 50_000 + " = 1",
    "long key": "a" * 1_000_000 + " = 1",
    "many extras": '[[extra]]\nname = "a"\nmass = "1 g"\n' * 3000,
    "long mode": f'[modes."{"m" * 300_000}"]\ncurrent = "1 mA"',
    "digits": f'[cell]\ncapacity = "{"9" * 300_000} mAh"',
    "huge mass": '[cell]\nmass = "1e308 g"',
    "tiny mass": '[limits]\nmass = "1e-300 g"',
    "huge count": '[[extra]]\nname = "a"\nmass = "1e17 g"\ncount = ' + "9" * 400,
    "huge cells": "[cell]\ncells = 99999999999999999999",
    "thick": '[board]\nthickness = "1e300 mm"\ncopper = "1e300 mm"',
    "large but allowed": '[board]\nthickness = "1e17 mm"\ncopper = "1e17 mm"',
    "small but allowed": '[board]\nthickness = "1e-20 mm"\n[modes.a]\ncurrent = "1e-20 A"',
    "spread": '[parts.U1]\nsupply = "5 V +- 1e300 %"',
    "unit of units": '[cell]\nmass = "1 ' + "g*" * 20_000 + 'g"',
    "power of a unit": '[cell]\ncapacity = "1 A**999999999 h"',
    "brackets": '[cell]\ncapacity = "1 ' + "(" * 20_000 + '"',
    "million digits": "[cell]\ncells = " + "9" * 1_000_000,
}


@pytest.mark.parametrize("case", MANIFESTS)
def test_manifest(case: str, tmp_path: Path) -> None:
    (tmp_path / "board.toml").write_text(MANIFESTS[case])
    (tmp_path / "a.net").write_bytes((DEMO / "rev-a" / "rev-a.net").read_bytes())
    part = '(footprint "x" (layer "F.Cu") (at 5 5 0) (pad "1" smd rect (at 0 0) (size 1 1)))'
    (tmp_path / "a.kicad_pcb").write_text(layout(part))
    for words in (("check",), ("weigh",)):
        harmless(run(*words, tmp_path, "--format", "json"))


# -- values and patterns ----------------------------------------------------------------------
PIECES = st.sampled_from(
    ["9" * 40, "1", "0", ".", ",", "k", "M", "u", "µ", "n", "p", "R", "E", "e", "F", "Ω", "ohm",
     "V", "%", "/", "-", "+", "±", " ", "(", ")", "x", "to", "NP0", "DNP", "\u0661", "K" * 30]
)  # fmt: skip


@given(st.lists(PIECES, max_size=400).map("".join))
def test_no_value_text_breaks_or_hangs(text: str) -> None:
    for role in ("resistor", "capacitor", "inductor"):
        read_value(text, role)
    unfitted_text(text)
    find_card([text], all_cards())


@given(st.text(max_size=2000))
def test_short_keeps_what_people_read(text: str) -> None:
    shown = short(plain(text))
    assert all(len(word) < 300 for word in shown.split())
    if len(text) < 30:
        assert shown == plain(text)


# -- files ------------------------------------------------------------------------------------
def test_a_name_may_point_outside_but_no_absolute_path_is_shown(tmp_path: Path) -> None:
    inner = tmp_path / "secret-folder" / "board"
    inner.mkdir(parents=True)
    board(tmp_path, "x")
    (inner / "board.toml").write_text('[board]\nnetlist = "../../a.net"\n')
    ran = run("check", inner, "--format", "json")
    assert ran.status != 2
    assert "../../a.net" in {f["path"] for f in json.loads(ran.out)["board"]["files"]}
    assert str(tmp_path) not in ran.out


def test_another_file_is_refused_without_showing_its_content(tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("root:hunter2:0:0\n")
    inner = tmp_path / "board"
    inner.mkdir()
    (inner / "board.toml").write_text('[board]\nnetlist = "../secret"\n')
    said = run("check", inner).refused()
    assert said.startswith("../secret: expected a netlist")
    assert "hunter2" not in said


def test_links_that_go_round(tmp_path: Path) -> None:
    (tmp_path / "a.net").symlink_to("b.net")
    (tmp_path / "b.net").symlink_to("a.net")
    (tmp_path / "loop").symlink_to(tmp_path)
    harmless(run("check", tmp_path / "a.net"))
    harmless(run("check", tmp_path))
    harmless(run("start", "--print", tmp_path))
    assert run("check", tmp_path / "a.net").status == 2
    (tmp_path / "cards").symlink_to("cards")
    (tmp_path / "c.net").write_text(netlist([]))
    assert run("check", tmp_path / "c.net").status == 0


def test_output_does_not_write_through_a_link(tmp_path: Path) -> None:
    board(tmp_path, "x")
    (tmp_path / "precious").write_text("kept")
    (tmp_path / "report.txt").symlink_to(tmp_path / "precious")
    run("check", tmp_path / "a.net", "-o", tmp_path / "report.txt")
    assert (tmp_path / "precious").read_text() == "kept"


def test_nothing_in_the_folder_is_run_or_written(tmp_path: Path) -> None:
    board(tmp_path, "x")
    for name in ("counterpoise.py", "click.py", "sitecustomize.py", "conftest.py"):
        (tmp_path / name).write_text("raise SystemExit('executed')")
    (tmp_path / "cards").mkdir()
    before = sorted(os.walk(tmp_path))
    for words in (("check",), ("parts",), ("start", "--print")):
        assert run(*words, tmp_path).status in (0, 1)
    assert sorted(os.walk(tmp_path)) == before
