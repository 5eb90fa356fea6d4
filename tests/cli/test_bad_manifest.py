"""A manifest or a card of one's own that is wrong: file, line and what was expected."""

from __future__ import annotations

from pathlib import Path

import pytest

from commands import SOUND, run


def write(folder: Path, name: str, data: str | bytes) -> Path:
    path = folder / name
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return path


MANIFESTS = {
    "unknown key": (
        '[cell]\ncapcity = "1 Ah"',
        'board.toml:2: [cell] unknown key "capcity" (did you mean "capacity"?)',
    ),
    "unknown table": (
        '[cel]\nref = "BT1"',
        'board.toml:1: unknown key "cel" (did you mean "cell"?)',
    ),
    "unknown fact": (
        '[parts.Y1]\nlaod = "9 pF"',
        'board.toml:2: [parts.Y1] unknown key "laod" (did you mean "load"?)',
    ),
    "unknown role": (
        '[parts.Y1]\nrole = "cristal"',
        'board.toml:2: [parts.Y1] role: there is no role "cristal" (did you mean "crystal"?)',
    ),
    "unknown rule": (
        '[rules.crystal-laod]\nseverity = "off"',
        'board.toml:1: [rules.crystal-laod]: there is no rule "crystal-laod" (did you mean "crystal-load"?)',
    ),
    "no unit": (
        "[cell]\ncapacity = 180",
        'board.toml:2: [cell] capacity: 180 has no unit; write a text such as "180 mAh"',
    ),
    "no unit in text": (
        '[cell]\ncapacity = "180"',
        'board.toml:2: [cell] capacity: "180" has no unit; expected a capacity such as "180 mAh"',
    ),
    "mass in volts": (
        '[cell]\nmass = "4.1 V"',
        'board.toml:2: [cell] mass: "4.1 V" is not a mass; expected one such as "9 g"',
    ),
    "not a number": (
        '[limits]\nmass = "some"',
        'board.toml:2: [limits] mass: expected a mass such as "9 g", got "some"',
    ),
    "below zero": (
        '[limits]\nmass = "-4 g"',
        'board.toml:2: [limits] mass: expected a mass above zero, got "-4 g"',
    ),
    "infinite": (
        '[limits]\nmass = "inf g"',
        'board.toml:2: [limits] mass: expected a mass such as "9 g", got "inf g"',
    ),
    "an infinite number": (
        "[limits]\nmass = inf",
        'board.toml:2: [limits] mass: inf has no unit; write a text such as "9 g"',
    ),
    "not a number as TOML has it": (
        "[modes.a]\ncurrent = '1 mA'\nshare = nan",
        "board.toml:3: [modes.a] share: expected a number from 0 to 1",
    ),
    "too large": (
        '[limits]\nmass = "1e999 g"',
        'board.toml:2: [limits] mass: "1e999 g" is too large for a mass',
    ),
    "too large once scaled": (
        '[limits]\nmass = "1e308 kg"',
        'board.toml:2: [limits] mass: "1e308 kg" is too large for a mass',
    ),
    "shares over one": (
        '[modes.a]\ncurrent = "1 mA"\nshare = 0.7\n[modes.b]\ncurrent = "1 mA"\nshare = 0.7',
        "board.toml:6: [modes.b] share: the shares of all modes add up to 1.4; expected at most 1",
    ),
    "twice the same key": (
        '[cell]\nref = "A"\nref = "B"',
        "board.toml:3: expected TOML: Cannot overwrite a value",
    ),
    "twice the same table": (
        '[cell]\nref = "A"\n[cell]\nref = "B"',
        "board.toml:3: expected TOML: Cannot declare ('cell',) twice",
    ),
    "not TOML": (
        "[cell\nref = 3",
        "board.toml:1: expected TOML: Expected ']' at the end of a table declaration",
    ),
    "file absent": (
        '[board]\nname = "x"\nnetlist = "gone.net"',
        'board.toml:3: [board] netlist: "gone.net": no such file',
    ),
    "file is a folder": (
        '[board]\nnetlist = "."',
        'board.toml:2: [board] netlist: ".": expected a file, found a folder',
    ),
    "file is absolute": (
        '[board]\nnetlist = "/etc/hostname"',
        "board.toml:2: [board] netlist: expected a name relative to this file's folder",
    ),
    "waiver without reason": (
        '[[waivers]]\nrule = "charge-rate"\nsubject = "U2"',
        'board.toml:1: [[waivers]]: "reason" is required: why it does not matter here',
    ),
    "no control characters in names": (
        '[board]\nnetlist = "a\\u0000b"',
        "board.toml:2: [board] netlist: expected a file name, got control characters",
    ),
}


@pytest.mark.parametrize("case", MANIFESTS)
def test_manifest(case: str, tmp_path: Path) -> None:
    text, line = MANIFESTS[case]
    assert run("check", write(tmp_path, "board.toml", text)).refused() == line


def test_manifest_that_is_not_utf8(tmp_path: Path) -> None:
    path = write(tmp_path, "board.toml", '[board]\nname = "Größe"\n'.encode("cp1252"))
    assert run("check", path).refused() == "board.toml:2: expected UTF-8 text"


CARDS = {
    "not TOML": (
        "[x",
        "own.toml: not readable as TOML: Expected ']' at the end of a table declaration (at end of document)",
    ),
    "no role": ('[x]\ntitle = "x"\nmatches = ["X"]', "own.toml: [x] role: this key is required"),
    "unknown role": (
        '[x]\ntitle = "x"\nrole = "crystle"\nmatches = ["X"]',
        'own.toml: [x] role: unknown role "crystle" (did you mean "crystal"?)',
    ),
    "unknown fact": (
        '[x]\ntitle = "x"\nrole = "crystal"\nmatches = ["X"]\nfacts.laod = "9 pF"',
        'own.toml: [x] laod: unknown key (did you mean "load"?)',
    ),
    "wrong unit": (
        '[x]\ntitle = "x"\nrole = "crystal"\nmatches = ["X"]\nfacts.load = "9 V"',
        'own.toml: [x] load: "9 V" is not a capacitance; expected one such as "12 pF"',
    ),
    "hanging pattern": (
        '[x]\ntitle = "x"\nrole = "crystal"\nmatches = ["(A+)+B"]',
        "own.toml: [x] matches: expected a plain pattern without nested repeats",
    ),
    "broken pattern": (
        '[x]\ntitle = "x"\nrole = "crystal"\nmatches = ["(A"]',
        "own.toml: [x] matches: not a pattern: missing ), unterminated subpattern at position 0",
    ),
    "not a table": ("x = 3", "own.toml: x: expected a table"),
    "not UTF-8": (
        "# \udcff",
        "own.toml: not readable as TOML: 'utf-8' codec can't decode byte 0xff "
        "in position 2: invalid start byte",
    ),
    "too deep": ("x = " + "[" * 100_000, "own.toml: nested too deep"),
}


@pytest.mark.parametrize("case", CARDS)
def test_own_card(case: str, tmp_path: Path) -> None:
    text, line = CARDS[case]
    (tmp_path / "cards").mkdir()
    data = text.encode("utf-8", "surrogateescape")
    write(tmp_path / "cards", "own.toml", data)
    assert run("check", write(tmp_path, "a.net", SOUND)).refused() == line
