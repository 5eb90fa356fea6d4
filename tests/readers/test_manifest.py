"""board.toml: every key, and every mistake with its line."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.catalog.rules import Rule, read_rule
from counterpoise.model.facts import Origin
from counterpoise.model.manifest import Manifest, Mode, Waiver
from counterpoise.readers import _manifest_parts
from counterpoise.readers._manifest_lines import KeyPath, key_lines
from counterpoise.readers._source import InputError, Source
from counterpoise.readers.manifest import parse, read
from counterpoise.values.ranges import Range

FULL = """\
[board]
name = "Focus paddle"
netlist = "paddle.net"
layout = 'paddle.kicad_pcb'
bom = "out\\\\bom.csv"
centroid = "pos.csv"
thickness = "1.0 mm"
copper = "35 um"
inner_copper = "17.5 um"
front = "top"
fab = "prototype-2-layer"
stray = "2 pF to 5 pF"
finish = "ENIG"
outline = "2"
radio = "2.4 GHz"

[cell]
ref = "BT1"
chemistry = "Li-Po"
capacity = "180 mAh"
mass = "4.0 g to 4.3 g"
protected = true
charge_limit = "1C"
charge_voltage = "4.2 V"
end_voltage = "3.0 V"
peak_limit = "360 mA"
resistance = "150 mohm"
cells = 1
outside_charger = false
removable = true
size = "5 x 30 x 40 mm"

[limits]
mass = "9 g"
area = "19 cm^2"
bounding = "2500 mm^2"
endurance = "6 h"
height = "8 mm"
charge_time = "90 min"
bend = "0.4 mm"
press = "2 N"
width = "40 mm"
length = "6 cm"

[modes.hold]
current = "6.2 mA"
share = 0.7
peak = "20 mA"
[modes]
slew = { current = "14 mA", share = "30 %" }

[[extra]]
name = "printed shell"
mass = "5.5 g"
[[extra]]
name = "screw"
mass = "130 mg to 220 mg"
count = 4

[parts.U7]
role = "radio"
card = "mine"
fitted = true
supply = "1.8 V to 3.6 V"
input_pulls = "internal"
crystal_inside = false
[parts.SW1]
plunger = "top"
faces = "front"
terminals = { common = "1", open = "2", closed = 3 }

[rules.crystal-load]
severity = "caution"
limits = { load_error = "3 pF" }

[[waivers]]
rule = "crystal-load"
subject = "Y1"
reason = "trimmed by hand"
until = 2027-01-31
[[waivers]]
rule = "cap-gap"
subject = "*"
reason = "measured"

[weighed]
bare = "3.9 g"
assembled = "7 g"
total = "14 g"

[compare]
keep = ["U7", "SW*"]
"""


def _rule(slug: str, limits: Mapping[str, object]) -> Rule:
    words = ("asks", "why", "absent", "remedy")
    data = dict.fromkeys(words, "x") | {"severity": "stop", "rank": "kills"}
    return read_rule("t.toml", slug, {**data, "says": {"a": "x"}, "limits": limits})


RULES = {
    "crystal-load": _rule(
        "crystal-load",
        {"load-error": {"dimension": "capacitance", "max": "2 pF", "source": "x"}},
    ),
    "cap-gap": _rule(
        "cap-gap",
        {
            "ratio": {"dimension": "number", "min": "1.5", "source": "x"},
            "pull": {"dimension": "resistance", "min": "4 kohm", "max": "6 kohm", "source": "x"},
        },
    ),
    "plain": _rule("plain", {}),
}


@pytest.fixture(autouse=True)
def _known_rules(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_manifest_parts, "all_rules", lambda: RULES)


def test_every_key() -> None:
    found = parse(FULL)
    board, cell, limits = found.board, found.cell, found.limits
    assert (board.name, board.netlist, board.layout) == (
        "Focus paddle",
        "paddle.net",
        "paddle.kicad_pcb",
    )
    assert (board.bom, board.centroid, board.front) == ("out/bom.csv", "pos.csv", "top")
    assert (board.thickness_mm, board.copper_mm, board.inner_copper_mm) == (1.0, 0.035, 0.0175)
    assert board.stray_f == Range(2e-12, 5e-12)
    assert (board.fab, board.finish, board.outline, board.radio) == (
        "prototype-2-layer",
        "ENIG",
        "2",
        "2.4 GHz",
    )
    assert (cell.ref, cell.chemistry, cell.capacity_ah, cell.mass_g) == (
        "BT1",
        "li-po",
        0.18,
        Range(4.0, 4.3),
    )
    assert (cell.charge_limit_c, cell.charge_limit_a, cell.charge_voltage_v) == (1.0, None, 4.2)
    assert (cell.end_voltage_v, cell.peak_limit_a, cell.resistance_ohm) == (3.0, 0.36, 0.15)
    assert (cell.cells, cell.outside_charger, cell.removable, cell.protected) == (
        1,
        False,
        True,
        True,
    )
    assert cell.size_mm == (5.0, 30.0, 40.0)
    assert (limits.mass_g, limits.area_mm2, limits.bounding_mm2) == (9.0, 1900.0, 2500.0)
    assert (limits.endurance_h, limits.charge_time_h, limits.height_mm) == (6.0, 1.5, 8.0)
    assert (limits.bend_mm, limits.press_n, limits.width_mm, limits.length_mm) == (
        0.4,
        2.0,
        40.0,
        60.0,
    )
    assert found.modes == (Mode("hold", 0.0062, 0.7, 0.02), Mode("slew", 0.014, 0.3))
    assert [(e.name, e.mass_g, e.count) for e in found.extras] == [
        ("printed shell", Range(5.5, 5.5), 1),
        ("screw", Range(0.13, 0.22), 4),
    ]
    assert (found.weighed.bare_g, found.weighed.assembled_g, found.weighed.total_g) == (3.9, 7, 14)
    assert found.compare.keep == ("U7", "SW*")
    assert found.stated


def test_parts_rules_waivers() -> None:
    found = parse(FULL)
    radio, switch = found.parts["U7"], found.parts["SW1"]
    assert (radio.role, radio.card, radio.fitted) == ("radio", "mine", True)
    assert radio.facts == {
        "supply": Range(1.8, 3.6),
        "input_pulls": "internal",
        "crystal_inside": False,
    }
    assert radio.origin == Origin("board.toml", FULL[: FULL.index("[parts.U7]")].count("\n") + 1)
    assert (switch.plunger, switch.faces) == ("up", "front")
    assert switch.terminals == {"common": "1", "open": "2", "closed": "3"}
    override = found.rules["crystal-load"]
    assert override.severity == "caution"
    assert override.limits == {"load-error": Range(-math.inf, 3e-12)}
    first = FULL[: FULL.index("[[waivers]]")].count("\n") + 1
    origin = Origin("board.toml", first)
    assert found.waivers[0] == Waiver("crystal-load", "Y1", "trimmed by hand", "2027-01-31", origin)
    assert found.waivers[1].until is None


def test_empty_and_absent() -> None:
    assert parse("") == Manifest(stated=True)
    assert not Manifest().stated
    assert read(Source("b.toml", b'\xef\xbb\xbf[cell]\ncapacity = "2 Ah"')).cell.capacity_ah == 2.0


def test_charge_limit_as_a_current() -> None:
    cell = parse('[cell]\ncharge_limit = "90 mA"').cell
    assert (cell.charge_limit_a, cell.charge_limit_c) == (0.09, None)


@pytest.mark.parametrize(
    ("limit", "expected"),
    [
        ('ratio = "2"', Range(2.0, math.inf)),
        ("ratio = 2", Range(2.0, math.inf)),
        ('pull = "4.5 kohm to 5.5 kohm"', Range(4500.0, 5500.0)),
    ],
)
def test_limits_move_the_end_that_the_rule_has(limit: str, expected: Range) -> None:
    found = parse(f"[rules.cap-gap.limits]\n{limit}").rules["cap-gap"].limits
    assert list(found.values()) == [expected]


BAD = [
    ("[board", 1, "expected TOML: Expected ']' at the end of a table declaration"),
    ('[board]\nname = "x', 2, "expected TOML: Unterminated string"),
    ("[board]\n[board]", 2, "expected TOML: Cannot declare ('board',) twice"),
    ("x = " + "[" * 5000, None, "nested too deep for a manifest"),
    (
        "[bord]\n",
        1,
        'unknown key "bord" (did you mean "board"?)',
    ),
    ('name = "x"', 1, 'unknown key "name"; known: board, cell, limits, modes, extra, parts, '
     "rules, waivers, weighed, compare, cells"),
    ('\n[board]\nfront = "top"\nthicknes = "1 mm"', 4,
     '[board] unknown key "thicknes" (did you mean "thickness"?)'),
    ('[board]\nthickness = 1.0', 2,
     '[board] thickness: 1.0 has no unit; write a text such as "1.0 mm"'),
    ('[board]\nthickness = "1.0"', 2,
     '[board] thickness: "1.0" has no unit; expected a length such as "1.0 mm"'),
    ('[board]\nthickness = "0 mm"', 2,
     '[board] thickness: expected a length above zero, got "0 mm"'),
    ('[board]\nfront = "up"', 2,
     '[board] front: expected one of top, bottom, left, right; got "up"'),
    ('[board]\nlayout = ""', 2, "[board] layout: is empty"),
    ('[board]\nlayout = 3', 2, "[board] layout: expected a text"),
    ('[board]\nlayout = "a\\u0007"', 2,
     "[board] layout: expected a file name, got control characters"),
    ("board = 3", 1, "[board]: expected a table"),
    ('[cell]\nmass = "3.7 V"', 2, '[cell] mass: "3.7 V" is not a mass; expected one such as "9 g"'),
    ('[cell]\ncapacity = "-180 mAh"', 2,
     '[cell] capacity: expected a capacity above zero, got "-180 mAh"'),
    ('[cell]\ncapacity = true', 2, '[cell] capacity: expected a text such as "180 mAh"'),
    ('[cell]\nchemistry = "li-hv"', 2,
     "[cell] chemistry: expected one of li-po, li-ion, li-ion-coin, lifepo4, nimh, nicd, "
     "li-mn-coin, alkaline, zinc-carbon, silver-oxide, li-mno2-coin, lithium-fes2, "
     'lithium-primary; got "li-hv"'),
    ('[cell]\ncharge_limit = "4 V"', 2,
     '[cell] charge_limit: expected "1C" or a current such as "180 mA", got "4 V"'),
    ('[cell]\ncharge_limit = "0C"', 2,
     '[cell] charge_limit: expected a limit above zero, got "0C"'),
    ('[cell]\nprotected = "yes"', 2, "[cell] protected: expected true or false"),
    ("[cell]\ncells = 0", 2, "[cell] cells: expected a whole number of at least 1"),
    ('[cell]\nsize = "5 x 30 mm"', 2,
     '[cell] size: expected three lengths such as "5 x 30 x 40 mm", got "5 x 30 mm"'),
    ("[modes.a]\nshare = 0.5", 1, '[modes.a]: "current" is required, such as "6 mA"'),
    ('[modes.a]\ncurrent = "1 mA"\nshare = 0.7\n[modes.b]\ncurrent = "1 mA"\nshare = 0.4', 6,
     "[modes.b] share: the shares of all modes add up to 1.1; expected at most 1"),
    ('[modes.a]\ncurrent = "1 mA"\nshare = 70', 3,
     "[modes.a] share: expected a number from 0 to 1"),
    ('modes = { a = { current = "1 g" } }', 1,
     '[modes.a] current: "1 g" is not a current; expected one such as "14 mA"'),
    ('[[extra]]\nname = "a"\nmass = "1 g"\n[[extra]]\nmass = "1 g"', 4,
     '[[extra]]: "name" is required: what is weighed here'),
    ('[extra]\nname = "a"', 1, "extra: expected tables written [[extra]]"),
    ('[parts.U1]\nsuply = "3 V"', 2, '[parts.U1] unknown key "suply" (did you mean "supply"?)'),
    ('[parts.U1]\nsupply = "3 A"', 2,
     '[parts.U1] supply: "3 A" is not a voltage; expected one such as "3.7 V"'),
    ('[parts.U1]\nsupply = 3', 2,
     "[parts.U1] supply: expected a text with a number and its unit"),
    ('[parts.U1]\nrole = "chargr"', 2,
     '[parts.U1] role: there is no role "chargr" (did you mean "charger"?)'),
    ('[parts.S]\nplunger = "front"', 2,
     '[parts.S] plunger: expected one of up, down, left, right; got "front"'),
    ('[parts.S]\nfaces = "out"', 2,
     '[parts.S] faces: expected one of front, top, bottom, left, right, any; got "out"'),
    ('[parts.S]\nterminals = { comon = "1" }', 2,
     '[parts.S.terminals] unknown key "comon" (did you mean "common"?)'),
    ('[parts.S]\nterminals = { common = "1", open = "1" }', 2,
     '[parts.S.terminals] open: pin "1" is named twice'),
    ("[rules.crystal-lod]", 1,
     '[rules.crystal-lod]: there is no rule "crystal-lod" (did you mean "crystal-load"?)'),
    ('[rules.plain]\nseverity = "warn"', 2,
     '[rules.plain] severity: expected one of stop, caution, off; got "warn"'),
    ('[rules.crystal-load.limits]\nload_eror = "3 pF"', 2,
     '[rules.crystal-load.limits] unknown key "load_eror" (did you mean "load-error"?)'),
    ('[rules.crystal-load.limits]\nload_error = "3 V"', 2,
     '[rules.crystal-load.limits] load_error: "3 V" is not a capacitance; '
     'expected one such as "12 pF"'),
    ('[rules.cap-gap.limits]\npull = "5 kohm"', 2,
     "[rules.cap-gap.limits] pull: this limit has two ends; "
     'expected two values joined by "to", got "5 kohm"'),
    ('[rules.plain.limits]\na = "1 V"', 2, "[rules.plain.limits] a: this rule has no limits"),
    ('[[waivers]]\nrule = "plain"\nsubject = "U1"', 1,
     '[[waivers]]: "reason" is required: why it does not matter here'),
    ('[[waivers]]\nrule = "plan"\nsubject = "U1"\nreason = "x"', 2,
     '[[waivers]] rule: there is no rule "plan" (did you mean "plain"?)'),
    ('[[waivers]]\nrule = "plain"\nsubject = "U1"\nreason = "x"\nuntil = "soon"', 5,
     '[[waivers]] until: expected a date such as "2027-01-31", got "soon"'),
    ("[compare]\nkeep = [1]", 2,
     '[compare] keep: expected a list of parts such as ["U1", "SW*"]'),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "expected"), BAD)
def test_mistakes(text: str, line: int | None, expected: str) -> None:
    with pytest.raises(InputError) as raised:
        parse(text)
    at = f"board.toml:{line}" if line is not None else "board.toml"
    assert str(raised.value) == f"{at}: {expected}"


def test_lines_of_keys_written_in_every_way() -> None:
    text = (
        "# comment [not]\na.b.c = 1\n"
        '"q.x" = """\nmany\n[lines]\n"""\n'
        "list = [\n  1, # one\n  { k = 'v', l = [2,\n 3] },\n]\n"
        "[t . 'u v']\nk = '#'\n[[arr]]\nx = 1\n[arr.sub]\ny = 2\n[[arr]]\nx = { z = 1 }\n"
    )
    lines = key_lines(text)
    assert tomllib.loads(text)
    assert {
        ("a", "b", "c"): 2,
        ("q.x",): 3,
        ("list",): 7,
        ("list", 1, "k"): 9,
        ("list", 1, "l", 1): 10,
        ("t", "u v", "k"): 13,
        ("arr", 0, "x"): 15,
        ("arr", 0, "sub", "y"): 17,
        ("arr", 1): 18,
        ("arr", 1, "x", "z"): 19,
    }.items() <= lines.items()


@given(st.text(alphabet="[]{}=\"'.,#ab1\n \\", max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    key_lines(text)
    try:
        found = parse(text)
    except InputError as error:
        said = str(error)
    else:
        said = found.board.name
    assert "\n" not in said


_KEY = st.text(alphabet="abcdeé.'\" #[]=", min_size=1, max_size=6)


@given(st.lists(st.tuples(_KEY, st.integers(0, 3)), max_size=6, unique_by=lambda t: t[0]))
def test_every_key_is_found_on_its_line(tables: list[tuple[str, int]]) -> None:
    def quoted(key: str) -> str:
        return '"' + key.replace("\\", "\\\\").replace('"', '\\"') + '"'

    text = ""
    expected: dict[KeyPath, int] = {}
    for key, gap in tables:
        text += "\n" * gap + f"[{quoted(key)}]\n"
        expected[(key,)] = text.count("\n")
        text += f"{quoted(key)} = '{{[#'\n"
        expected[(key, key)] = text.count("\n")
    assert key_lines(text) == expected
