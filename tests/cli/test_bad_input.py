"""An input that cannot be used: one whole line, exit 2, nothing on standard output."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from commands import DEMO, SOUND, layout, netlist, run

ANY = "a netlist, board, BOM or placement file"
HEAD = (
    'expected a BOM: a head row with references ("Reference", "Designator" or the like) '
    'and at least one more known column, such as "Value" or "Quantity"'
)
PNG = bytes.fromhex("89504e470d0a1a0a0000000d4948445200000001")


def write(folder: Path, name: str, data: str | bytes) -> Path:
    path = folder / name
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return path


FILES: dict[str, tuple[str, str | bytes, str]] = {
    "cut short": (
        "a.net",
        SOUND[:60],
        "a.net:3: expected '\"' to close the string that opens here",
    ),
    "one bracket short": (
        "a.net",
        SOUND.rstrip()[:-1],
        "a.net:1: expected ')' for the list that opens here; the file ends first",
    ),
    "one bracket too many": (
        "a.net",
        SOUND.rstrip() + ")",
        "a.net:9: expected the end of the file after the root list",
    ),
    "text never closed": (
        "a.net",
        '(export (version "E',
        "a.net:1: expected '\"' to close the string that opens here",
    ),
    "schematic": (
        "a.sch",
        "(kicad_sch (version 20230121))",
        "a.sch: expected a netlist or board; this is a schematic: export its netlist",
    ),
    "photo plot": (
        "a.gbr",
        "%FSLAX46Y46*%\nD10*\nX0Y0D02*\nM02*\n",
        "a.gbr: expected a netlist, board, BOM or placement file; its content is none of these",
    ),
    "picture": (
        "a.net",
        PNG,
        "a.net: expected a netlist, board, BOM or placement file; its content is none of these",
    ),
    "empty": (
        "a.net",
        b"",
        "a.net: expected a netlist, board, BOM or placement file; the file is empty",
    ),
    "blank": (
        "a.net",
        b" \n\n",
        "a.net: expected a netlist, board, BOM or placement file; the file is empty",
    ),
    "not text": (
        "a.net",
        b'(export (version "E")\n(components (comp (ref "R\xff1"))))',
        "a.net:2: expected UTF-8 text",
    ),
    "parts list": (
        "a.csv",
        "Ref,Value\nR1,10k\n",
        "a.csv: expected a manifest, netlist or board; give a BOM file with --bom",
    ),
}


@pytest.mark.parametrize("case", FILES)
def test_design_file(case: str, tmp_path: Path) -> None:
    name, data, line = FILES[case]
    assert run("check", write(tmp_path, name, data)).refused() == line


def test_the_words_for_each_wrong_kind(tmp_path: Path) -> None:
    path = write(tmp_path, "a.sch", "(kicad_sch (version 20230121))")
    assert "a netlist or board" in run("check", path).refused()
    bill = write(tmp_path, "a.csv", "Ref,Value\nR1,10k\n")
    assert run("check", bill).refused().endswith("give a BOM file with --bom")
    board = write(tmp_path, "a.kicad_pcb", layout())
    said = run("check", board, "--netlist", board).refused()
    assert said == "a.kicad_pcb: expected a netlist; this is a board"
    said = run("check", board, "--bom", board).refused()
    assert said == "a.kicad_pcb: expected a BOM; this is a board"
    assert "expected" in run("check", board, "--centroid", bill).refused()


def test_no_such_path(tmp_path: Path) -> None:
    assert run("check", tmp_path / "gone.net").refused() == "gone.net: no such file"
    assert run("check", tmp_path / "gone.toml").refused() == "gone.toml: no such file"
    assert run("start", tmp_path / "gone").refused() == "gone: expected a folder with design files"


def test_folder_without_design_files(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("nothing here\n")
    said = run("check", tmp_path).refused()
    assert said == f"{tmp_path.name}: holds no board.toml, netlist, board, BOM or placement file"


def test_folder_with_two_of_a_kind(tmp_path: Path) -> None:
    for name in ("a.net", "b.net"):
        write(tmp_path, name, SOUND)
    said = run("check", tmp_path).refused()
    assert said.startswith(f"{tmp_path.name}: several netlists (a.net, b.net); say which in ")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read every file")
def test_file_that_may_not_be_read(tmp_path: Path) -> None:
    path = write(tmp_path, "a.net", SOUND)
    path.chmod(0)
    assert run("check", path).refused() == "a.net: cannot be read: Permission denied"


def test_file_that_fails_to_open(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path, "a.net", SOUND)

    def refuse(self: Path) -> bytes:
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "read_bytes", refuse)
    assert run("check", path).refused() == "a.net: cannot be read: Permission denied"


BILLS = {
    "empty": (
        "",
        f"bom.csv: is empty; {HEAD}",
    ),
    "no header": (
        "R1,10k,R_0402\nR2,1k,R_0402\n",
        f"bom.csv: {HEAD}",
    ),
    "no refs": (
        "Colour,Taste\nred,sweet\n",
        f"bom.csv: {HEAD}",
    ),
    "not text": (
        "Ref,Value\nR1,\x00\x01\x02\n" * 3,
        "bom.csv:2: expected a table of text, found binary data",
    ),
}


@pytest.mark.parametrize("case", BILLS)
def test_parts_list(case: str, tmp_path: Path) -> None:
    text, line = BILLS[case]
    bill = write(tmp_path, "bom.csv", text)
    assert run("check", write(tmp_path, "a.net", SOUND), "--bom", bill).refused() == line


REPORTS = {
    "not JSON": ("nothing", "before.json:1: expected a JSON report of counterpoise check"),
    "cut short": ('{\n"schema":', "before.json:2: expected a JSON report of counterpoise check"),
    "other JSON": ("{}", 'before.json: expected the schema "counterpoise/report/1"'),
    "a list": ("[]", 'before.json: expected the schema "counterpoise/report/1"'),
    "a number": ("3", 'before.json: expected the schema "counterpoise/report/1"'),
    "other schema": (
        '{"schema": "counterpoise/weigh/1"}',
        'before.json: expected the schema "counterpoise/report/1"',
    ),
    "no findings": (
        '{"schema": "counterpoise/report/1"}',
        'before.json: expected the schema "counterpoise/report/1"',
    ),
    "findings of another kind": (
        '{"schema": "counterpoise/report/1", "findings": 3}',
        'before.json: expected the schema "counterpoise/report/1"',
    ),
    "reports of another kind": (
        '{"schema": "counterpoise/reports/1", "reports": 3}',
        'before.json: expected the schema "counterpoise/report/1"',
    ),
    "too deep": ("[" * 100_000, "before.json: expected a JSON report of counterpoise check"),
    "a huge number": ('{"schema": ' + "9" * 5000 + "}", "before.json: expected"),
}


@pytest.mark.parametrize("case", REPORTS)
def test_earlier_report(case: str, tmp_path: Path) -> None:
    text, words = REPORTS[case]
    before = write(tmp_path, "before.json", text)
    said = run("check", write(tmp_path, "a.net", SOUND), "--since", before).refused()
    assert said.startswith(words), said


def test_no_earlier_report(tmp_path: Path) -> None:
    net = write(tmp_path, "a.net", SOUND)
    assert run("check", net, "--since", tmp_path / "gone.json").refused() == (
        "gone.json: no such file"
    )


WORDS = {
    "unknown command": (("chek",), "No such command 'chek'. (try: counterpoise --help)"),
    "unknown option": (
        ("check", "--fast", "."),
        "No such option '--fast'. Did you mean '--format'? (try: counterpoise check --help)",
    ),
    "no path": (("check",), "Missing argument 'PATH…'. (try: counterpoise check --help)"),
    "unknown form": (
        ("check", ".", "--format", "xml"),
        "Invalid value for '--format': 'xml' is not one of 'text', 'json'. (try: counterpoise check --help)",
    ),
    "unknown rule": (
        ("rules", "charge-rat"),
        'Invalid value: there is no rule "charge-rat" (did you mean "charge-rate"?)'
        " (try: counterpoise rules --help)",
    ),
}


@pytest.mark.parametrize("case", WORDS)
def test_words(case: str) -> None:
    words, line = WORDS[case]
    assert run(*words).refused() == line


def test_netlist_without_parts_is_no_fault(tmp_path: Path) -> None:
    ran = run("check", write(tmp_path, "a.net", netlist([])), "--format", "json")
    tree = json.loads(ran.out)
    assert (ran.status, tree["board"]["parts"], tree["findings"]) == (0, 0, [])
    assert not [c for c in tree["coverage"] if c["verdict"] == "pass" and not c["judged"]]


def test_board_without_an_outline_is_told(tmp_path: Path) -> None:
    ran = run("check", write(tmp_path, "a.kicad_pcb", layout(edge=False)), "--format", "json")
    tree = json.loads(ran.out)
    assert tree["estimates"]["area"] is None
    verdict = {c["rule"]: c["verdict"] for c in tree["coverage"]}
    assert verdict["outline-open"] in ("fail", "unknown")


def test_a_part_that_is_there_twice_is_a_finding_not_an_error(tmp_path: Path) -> None:
    twice = SOUND.replace('(ref "R2") (value', '(ref "R1") (value')
    ran = run("check", write(tmp_path, "a.net", twice))
    assert ran.status in (0, 1)
    assert "R1" in ran.out


def test_parts_and_weigh_refuse_alike(tmp_path: Path) -> None:
    for command in ("parts", "weigh"):
        said = run(command, write(tmp_path, "a.net", SOUND[:60])).refused()
        assert said == "a.net:3: expected '\"' to close the string that opens here"


def test_no_absolute_path_is_ever_told(tmp_path: Path) -> None:
    for words in (("check", tmp_path / "gone"), ("check", DEMO / "rev-a", "-o", tmp_path)):
        assert str(tmp_path) not in run(*words).err
