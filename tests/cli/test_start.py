"""``counterpoise start``: the first manifest of a folder."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from commands import DEMO, DEMO_BOARDS, SOUND, layout, netlist, outside_boards, run
from counterpoise.readers.manifest import parse

READY = re.compile(r'^#(?=[\[a-z"])', re.M)


def design(folder: Path, name: str) -> Path:
    """The design files of a demo board, without its manifest."""
    target = folder / name
    target.mkdir()
    for path in (DEMO / name).iterdir():
        if path.name != "board.toml":
            shutil.copy(path, target)
    return target


@pytest.mark.parametrize("name", DEMO_BOARDS)
def test_written_is_read_and_every_line_is_ready(name: str, tmp_path: Path) -> None:
    folder = design(tmp_path, name)
    ran = run("start", folder)
    assert (ran.status, ran.err) == (0, "")
    text = (folder / "board.toml").read_text()
    plain = parse(text)
    assert (plain.board.netlist, plain.board.layout) == (f"{name}.net", f"{name}.kicad_pcb")
    assert (plain.board.bom, plain.board.centroid) == ("bom.csv", "placement.csv")
    assert plain.cell.ref == "BT1"
    assert not plain.parts
    assert plain.cell.chemistry is None, "an example must not pass for a fact"
    full = parse(READY.sub("", text))
    assert full.parts
    assert full.cell.chemistry
    assert full.modes
    assert full.extras
    assert full.waivers
    assert run("check", folder).status in (0, 1)


def test_every_line_that_check_asks_for_is_there(tmp_path: Path) -> None:
    folder = design(tmp_path, "rev-b")
    run("start", folder)
    text = (folder / "board.toml").read_text()
    full = parse(READY.sub("", text))
    asked = run("check", folder, "--format", "json").out
    wanted = re.findall(r'"board.toml: \[parts\.([A-Z]+\d+)\] (\w+) = \\"(?!…)', asked)
    assert wanted
    own = {"plunger", "faces", "role", "card", "terminals"}
    for ref, key in wanted:
        assert key in full.parts[ref].facts or key in own, (ref, key)


def test_the_lines_meet_the_needs(tmp_path: Path) -> None:
    """With the examples taken for facts, no rule asks for those facts again."""
    folder = design(tmp_path, "rev-b")
    run("start", folder)
    path = folder / "board.toml"
    before = run("check", folder, "--format", "json").out
    path.write_text(READY.sub("", path.read_text()))
    after = run("check", folder, "--format", "json").out
    lines = [set(re.findall(r'"where": "(board\.toml: .*)"', text)) for text in (before, after)]
    asked = {line for line in lines[0] if line.startswith("board.toml: [parts.")}
    assert asked
    assert not asked & lines[1]


def test_an_existing_manifest_is_left_alone(tmp_path: Path) -> None:
    folder = design(tmp_path, "rev-b")
    (folder / "board.toml").write_text("# mine\n")
    said = run("start", folder).refused()
    assert said == "board.toml: already there; --print shows a fresh one"
    assert (folder / "board.toml").read_text() == "# mine\n"
    ran = run("start", folder, "--print")
    assert ran.status == 0
    assert parse(ran.out).board.layout == "rev-b.kicad_pcb"
    assert (folder / "board.toml").read_text() == "# mine\n"


def test_print_writes_nothing_and_says_the_same_each_time(tmp_path: Path) -> None:
    folder = design(tmp_path, "rev-a")
    before = sorted(folder.iterdir())
    first = run("start", folder, "--print")
    assert first.raw == run("start", "--print", folder).raw
    assert sorted(folder.iterdir()) == before
    run("start", folder)
    assert (folder / "board.toml").read_bytes() == first.raw


def test_it_says_what_it_took(tmp_path: Path) -> None:
    for name in ("b.net", "a.net"):
        (tmp_path / name).write_text(SOUND)
    (tmp_path / "b.kicad_pcb").write_text(layout())
    (tmp_path / "b.kicad_pcb-bak").write_text(layout())
    ran = run("start", tmp_path)
    assert ran.status == 0
    for line in (
        "b.net: taken as the netlist",
        "a.net: could be the netlist too; not taken",
        "b.kicad_pcb: taken as the board file",
        "b.kicad_pcb-bak: left out as a backup copy",
    ):
        assert f"{line}\n" in ran.out
    assert parse((tmp_path / "board.toml").read_text()).board.netlist == "b.net"


def test_placement_of_two_sides(tmp_path: Path) -> None:
    head = "Ref,Val,Package,PosX,PosY,Rot,Side\n"
    (tmp_path / "top.csv").write_text(head + "R1,10k,R_0402,1.0,2.0,0.0,top\n")
    (tmp_path / "bottom.csv").write_text(head + "R2,1k,R_0402,1.0,2.0,0.0,bottom\n")
    (tmp_path / "again.csv").write_text(head + "R2,1k,R_0402,1.0,2.0,0.0,bottom\n")
    (tmp_path / "a.net").write_text(SOUND)
    assert run("start", tmp_path).status == 0
    text = (tmp_path / "board.toml").read_text()
    assert parse(text).board.centroid == "again.csv, top.csv"
    assert run("check", tmp_path).status == 0


def test_a_bill_alone(tmp_path: Path) -> None:
    (tmp_path / "bom.csv").write_text("Ref,Value\nR1,10k\n")
    assert run("start", tmp_path).status == 0
    assert parse((tmp_path / "board.toml").read_text()).board.bom == "bom.csv"


def test_an_empty_folder_gets_nothing(tmp_path: Path) -> None:
    said = run("start", tmp_path).refused()
    assert said == f"{tmp_path.name}: holds no netlist, board, BOM or placement file"
    assert list(tmp_path.iterdir()) == []


def test_a_faulty_file_is_named_and_nothing_written(tmp_path: Path) -> None:
    (tmp_path / "a.net").write_text(SOUND[:60])
    assert run("start", tmp_path).refused().startswith("a.net:")
    assert [p.name for p in tmp_path.iterdir()] == ["a.net"]


NAMES = [
    'qu"ote.net',
    "hash#.net",
    "back\\slash.net",
    " blank.net",
    "com,ma.net",
    "li\nne.net",
    "é.net",
]


@pytest.mark.parametrize("name", NAMES)
def test_odd_file_names(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text(SOUND)
    (tmp_path / "zz.csv").write_text("Ref,Value\nR1,10k\n")
    ran = run("start", tmp_path)
    assert ran.status == 0
    found = parse((tmp_path / "board.toml").read_text()).board.netlist
    assert found in (name, None)
    assert (found is None) == ("its name cannot be written in a manifest" in ran.out)
    assert run("check", tmp_path).status in (0, 1)


REFS = ["R 1", 'R"1', "R]1", "R\\1", "R#1", "R=1", "é1", "a.b", '1] role = "cell', "\u202e1", "[x]"]


@pytest.mark.parametrize("ref", REFS)
def test_odd_refs(ref: str, tmp_path: Path) -> None:
    rows = [
        (f"Y{ref}", "16MHz", {"1": "X1", "2": "X2"}),
        (f"BT{ref}", "LiPo", {"1": "VCC", "2": "GND"}),
        (f"D{ref}", "red LED", {"1": "GND", "2": "VCC"}),
        ("U1", "chip", {"1": "X1", "2": "X2", "3": "VCC", "4": "GND"}),
    ]
    (tmp_path / "a.net").write_text(netlist(rows))
    assert run("start", tmp_path).status == 0
    text = (tmp_path / "board.toml").read_text()
    assert not parse(text).parts
    known = {row[0] for row in rows}
    full = parse(READY.sub("", text))
    assert set(full.parts) <= {*known, "U1"}
    assert full.cell.ref in {*known, "BT1"}


@pytest.mark.slow
@pytest.mark.parametrize("path", outside_boards())
def test_real_boards(path: Path) -> None:
    first = run("start", "--print", path.parent)
    assert first.status == 0, first.err
    parse(first.out)
    parse(READY.sub("", first.out))
    assert max(map(len, first.out.splitlines())) < 400
