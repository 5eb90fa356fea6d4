"""The commands weigh and endurance: contracts, exit status, bad input, boards from outside."""

from __future__ import annotations

import json
import math
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from commands import DEMO, DEMO_BOARDS, Ran, outside_boards, run


def conforms(ran: Ran, name: str) -> dict[str, Any]:
    schema = json.loads((files("counterpoise") / "schemas" / f"{name}-1.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    tree: dict[str, Any] = json.loads(ran.out)
    jsonschema.Draft202012Validator(schema).validate(tree)
    return tree


@pytest.mark.parametrize("name", DEMO_BOARDS)
def test_the_demo_keeps_the_contracts(name: str) -> None:
    weighed = run("weigh", DEMO / name, "--format", "json")
    tree = conforms(weighed, "weigh")
    assert weighed.status == 0
    assert tree["limits"]["mass_g"] > tree["mass"]["likely_g"]
    ran = run("endurance", DEMO / name, "--format", "json")
    hours = conforms(ran, "endurance")["hours"]
    assert ran.status == 0
    assert 0 < hours["low"] < hours["likely"] < hours["high"]
    assert run("endurance", DEMO / name, "--format", "json").raw == ran.raw


def test_the_schemas_are_not_lax() -> None:
    tree = conforms(run("weigh", DEMO / "rev-b", "--format", "json"), "weigh")
    schema = json.loads((files("counterpoise") / "schemas" / "weigh-1.json").read_text("utf-8"))
    for spoilt in ({**tree, "more": 1}, {**tree, "mass": None}, {**tree, "schema": "x"}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.Draft202012Validator(schema).validate(spoilt)


@pytest.mark.parametrize("name", DEMO_BOARDS)
@pytest.mark.parametrize("words", [("weigh",), ("weigh", "--all"), ("endurance",)])
def test_text_keeps_to_80_columns(name: str, words: tuple[str, ...]) -> None:
    ran = run(words[0], DEMO / name, *words[1:])
    assert ran.status == 0
    assert max(len(line) for line in ran.out.splitlines()) <= 80


def test_all_names_every_item_and_its_basis() -> None:
    short, long = run("weigh", DEMO / "rev-b").out, run("weigh", DEMO / "rev-b", "--all").out
    assert "more (--all)" in short
    assert "more (--all)" not in long
    for said in (
        "R9 2k2",
        "FR-4" if "FR-4" in long else "g/cm³",
        "envelope",
        "stated in board.toml",
    ):
        assert said in long
    markdown = run("weigh", DEMO / "rev-b", "--format", "markdown").out
    assert "| R9 2k2 |" in markdown


def board(folder: Path, manifest: str) -> Path:
    text = (
        "(kicad_pcb (version 20211014) (general (thickness 1.0)) "
        '(layers (0 F.Cu signal) (31 B.Cu signal) (44 Edge.Cuts user)) (net 0 "")\n'
        '(gr_rect (start 0 0) (end 60 40) (layer "Edge.Cuts") (width 0.1)))\n'
    )
    (folder / "a.kicad_pcb").write_text(text)
    path = folder / "board.toml"
    path.write_text('[board]\nlayout = "a.kicad_pcb"\n' + manifest)
    return path


def test_status_tells_a_limit_that_is_broken(tmp_path: Path) -> None:
    assert run("weigh", board(tmp_path, '[limits]\nmass = "4 g"\n')).status == 1
    assert run("weigh", board(tmp_path, '[limits]\narea = "20 cm^2"\n')).status == 1
    assert run("weigh", board(tmp_path, '[limits]\nmass = "9 g"\n')).status == 0
    short = '[cell]\nchemistry = "li-po"\ncapacity = "100 mAh"\n[modes.on]\ncurrent = "10 mA"\n'
    ran = run("endurance", board(tmp_path, short + '[limits]\nendurance = "24 h"\n'))
    assert ran.status == 1
    assert "too short" in ran.out


def test_the_scale_is_held_against_the_ledger(tmp_path: Path) -> None:
    """60 x 40 x 1.0 mm without copper: (1.0 - 0.07 - 0.05) mm x 2400 mm² x 1.85 g/cm³ = 3.907 g."""
    near = run("weigh", board(tmp_path, '[weighed]\nbare = "4.1 g"\n')).out
    assert "within what was reckoned" in near
    assert 'density = "1.' in near
    far = run("weigh", board(tmp_path, '[weighed]\nbare = "6 g"\n')).out
    assert "heavier than the ledger allows" in " ".join(far.split())
    assert "laminate" in far
    # The density that the scale taught brings the ledger to what was weighed.
    density = near.split('density = "')[1].split('"')[0]
    again = run(
        "weigh",
        board(tmp_path, f'density = "{density}"\n[weighed]\nbare = "4.1 g"\n'),
        "--format",
        "json",
    )
    assert json.loads(again.out)["mass"]["likely_g"] == pytest.approx(4.1, abs=0.01)


def test_an_unknown_cell_is_told_and_widens_the_range(tmp_path: Path) -> None:
    ran = run("weigh", board(tmp_path, '[cell]\nchemistry = "li-po"\n'))
    assert 'unknown: state it, board.toml: [cell] mass = "4.1 g"' in " ".join(ran.out.split())
    tree = json.loads(
        run("weigh", board(tmp_path, '[cell]\nchemistry = "li-po"\n'), "--format", "json").out
    )
    assert tree["mass"]["high_g"] - tree["mass"]["likely_g"] > 20


BAD = {
    "mass in volts": ('[cell]\nmass = "4 V"', "[cell] mass"),
    "extra in volts": ('[[extra]]\nname = "shell"\nmass = "4 V"', "[[extra]] mass"),
    "part in volts": ('[parts.U1]\nmass = "4 V"', "[parts.U1] mass"),
    "negative capacity": ('[cell]\ncapacity = "-5 mAh"', "[cell] capacity"),
    "unknown chemistry": ('[cell]\nchemistry = "unobtainium"', "[cell] chemistry"),
    "shares over one": (
        '[modes.a]\ncurrent = "1 mA"\nshare = 0.7\n[modes.b]\ncurrent = "1 mA"\nshare = 0.7',
        "[modes.b] share",
    ),
    "own cell without mass": (
        '[[cells]]\nname = "x"\nchemistry = "li-po"\ncapacity = "1 Ah"',
        '[[cells]]: "mass" is required',
    ),
    "own cell of unknown chemistry": (
        '[[cells]]\nname = "x"\nchemistry = "tin"\ncapacity = "1 Ah"\nmass = "2 g"',
        "[[cells]] chemistry",
    ),
    "temperature in grams": ('[cell]\ntemperature = "4 g"', "[cell] temperature"),
}


@pytest.mark.parametrize("command", ["weigh", "endurance"])
@pytest.mark.parametrize("case", BAD)
def test_bad_input_is_one_line_with_the_key(command: str, case: str, tmp_path: Path) -> None:
    text, key = BAD[case]
    said = run(command, board(tmp_path, text + "\n")).refused()
    assert said.startswith("board.toml:")
    assert key in said


def test_no_outline_cannot_be_weighed(tmp_path: Path) -> None:
    path = board(tmp_path, "")
    (tmp_path / "a.kicad_pcb").write_text(
        '(kicad_pcb (version 20211014) (layers (0 F.Cu signal)) (net 0 ""))\n'
    )
    assert "outline" in run("weigh", path).refused()


@pytest.mark.parametrize("path", outside_boards())
def test_every_board_from_outside_has_a_ledger(path: Path) -> None:
    ran = run("weigh", path, "--format", "json")
    assert ran.status == 0, ran.err
    mass = conforms(ran, "weigh")["mass"]
    assert abs(math.fsum(i["likely_g"] for i in mass["items"]) - mass["likely_g"]) < 1e-3
    assert 0 < mass["low_g"] <= mass["likely_g"] <= mass["high_g"]
    for item in mass["items"]:
        assert item["low_g"] <= item["likely_g"] <= item["high_g"]
        assert item["basis"]
        assert item["high_g"] > 0, f"{item['ref']} {item['name']} is silently weightless"
    conforms(run("endurance", path, "--format", "json"), "endurance")
