"""A board from a manifest, a folder or single files."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from counterpoise.model.circuit import Circuit, Part, Pin, PinKind
from counterpoise.readers._merge import joined, layout_as_fitted, with_fitted
from counterpoise.readers._source import InputError
from counterpoise.readers.load import find_files, load
from counterpoise.readers.manifest import parse

SAMPLES = Path(__file__).parent / "samples"
BOARDS = Path(
    os.environ.get("COUNTERPOISE_BOARDS", Path(__file__).resolve().parents[2] / "../shared/boards")
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    board = tmp_path / "paddle"
    board.mkdir()
    for name, source in {
        "paddle.net": "fp1_v8.net",
        "paddle.kicad_pcb": "fp1_v8.kicad_pcb",
        "bom.csv": "fp1_bom_grouped.csv",
        "pos.csv": "fp1_pos_mm.csv",
    }.items():
        shutil.copy(SAMPLES / source, board / name)
    (board / "README.md").write_text("| Reference | Value |\n| R1 | 10k |\n")
    (board / "_autosave-paddle.kicad_pcb").write_bytes((board / "paddle.kicad_pcb").read_bytes())
    (board / "log.csv").write_text("from,to,reading,note\nU1.1,U2.1,beep,\n")
    return board


def test_folder_without_a_manifest(folder: Path) -> None:
    assert find_files(folder) == [
        ("_autosave-paddle.kicad_pcb", "layout", "a backup copy"),
        ("bom.csv", "bom", ""),
        ("paddle.kicad_pcb", "layout", ""),
        ("paddle.net", "netlist", ""),
        ("pos.csv", "placement", ""),
    ]
    design = load(folder)
    assert design.name == "paddle"
    assert [(f.path, f.kind) for f in design.files] == [
        ("bom.csv", "bom"),
        ("paddle.kicad_pcb", "layout"),
        ("paddle.net", "netlist"),
        ("pos.csv", "placement"),
    ]
    assert design.circuit is not None
    assert design.netlist is not None
    assert design.drawn is not None
    assert design.layout is not None
    assert design.bom is not None
    assert len(design.placements or ()) == 14
    assert not design.manifest.stated
    assert "_autosave-paddle.kicad_pcb: left out as a backup copy" in design.notes


def test_manifest_names_the_files(folder: Path) -> None:
    (folder / "board.toml").write_text(
        '[board]\nname = "Focus paddle"\nlayout = "paddle.kicad_pcb"\n'
        "[parts.R1]\nfitted = false\n[parts.R99]\nfitted = false\n"
        '[cell]\nref = "BT9"\n'
    )
    by_folder, by_file = load(folder), load(folder / "board.toml")
    assert by_folder == by_file
    assert by_file.name == "Focus paddle"
    assert [f.kind for f in by_file.files] == ["manifest", "layout"]
    assert by_file.netlist is None
    assert by_file.notes == (
        "board.toml:6: [parts.R99] names no part of this board",
        'board.toml: [cell] ref = "BT9" names no part of this board',
    )
    assert by_file.circuit is not None
    part = by_file.circuit.part("R1")
    assert part is not None
    assert not part.fitted
    assert by_file.layout is not None
    footprint = by_file.layout.footprint("R1")
    assert footprint is not None
    assert not footprint.fitted


def test_named_files_win(folder: Path, tmp_path: Path) -> None:
    (folder / "board.toml").write_text('[board]\nlayout = "paddle.kicad_pcb"\nbom = "none.csv"\n')
    other = tmp_path / "other.csv"
    other.write_text("Ref,Value,DNP\nR1,10k,x\n")
    design = load(folder, bom=other)
    assert ("other.csv", "bom") in [(f.path, f.kind) for f in design.files]
    assert design.circuit is not None
    part = design.circuit.part("R1")
    assert part is not None
    assert not part.fitted


def test_manifest_that_names_no_file_takes_what_is_there(folder: Path) -> None:
    (folder / "board.toml").write_text('[cell]\ncapacity = "180 mAh"\n')
    assert [f.kind for f in load(folder).files] == [
        "manifest",
        "bom",
        "layout",
        "netlist",
        "placement",
    ]


def test_manifest_alone(tmp_path: Path) -> None:
    (tmp_path / "board.toml").write_text('[cell]\ncapacity = "180 mAh"\n')
    design = load(tmp_path)
    assert design.circuit is None
    assert design.manifest.cell.capacity_ah == 0.18
    assert design.name == "board"


def test_one_file_alone_tells_what_it_left(folder: Path) -> None:
    design = load(folder / "paddle.kicad_pcb")
    assert [f.path for f in design.files] == ["paddle.kicad_pcb"]
    assert design.notes == (
        "paddle.net lies beside paddle.kicad_pcb and was not read; give --netlist paddle.net",
    )
    both = load(folder / "paddle.kicad_pcb", netlist=folder / "paddle.net")
    assert both.notes == ()
    assert both.netlist is not None


def test_same_files_same_design_wherever_they_lie(folder: Path, tmp_path: Path) -> None:
    copy = tmp_path / "elsewhere" / "paddle"
    shutil.copytree(folder, copy)
    assert load(folder) == load(copy)
    assert str(tmp_path) not in repr(load(folder).files) + repr(load(folder).notes)


@pytest.mark.parametrize(
    ("manifest", "message"),
    [
        ('[board]\nname = "x"\nlayout = "gone.kicad_pcb"\n',
         'board.toml:3: [board] layout: "gone.kicad_pcb": no such file'),
        ('board.netlist = "."\n',
         'board.toml:1: [board] netlist: ".": expected a file, found a folder'),
        ('[board]\ncentroid = "/etc/passwd"\n',
         "board.toml:2: [board] centroid: expected a name relative to this file's folder"),
        ('[board]\nlayout = "paddle.net"\n', "paddle.net: expected a board; this is a netlist"),
    ],
)  # fmt: skip
def test_named_files_that_cannot_be_used(folder: Path, manifest: str, message: str) -> None:
    (folder / "board.toml").write_text(manifest)
    with pytest.raises(InputError) as raised:
        load(folder)
    assert str(raised.value) == message


def test_folders_and_paths_that_cannot_be_used(folder: Path, tmp_path: Path) -> None:
    def refused(path: Path, **files: Path) -> str:
        with pytest.raises(InputError) as raised:
            load(path, **files)
        return str(raised.value)

    shutil.copy(SAMPLES / "fp1_v6.net", folder / "old.net")
    assert refused(folder) == (
        "paddle: several netlists (old.net, paddle.net); "
        'say which in board.toml: [board] netlist = "old.net"'
    )
    (tmp_path / "bare").mkdir()
    assert refused(tmp_path / "bare") == (
        "bare: holds no board.toml, netlist, board, BOM or placement file"
    )
    assert refused(tmp_path / "gone.kicad_pcb") == "gone.kicad_pcb: no such file"
    assert refused(folder / "bom.csv") == (
        "bom.csv: expected a manifest, netlist or board; give a BOM file with --bom"
    )
    assert refused(folder / "old.net", netlist=folder / "paddle.net") == (
        "old.net: two netlists given; leave one out"
    )


def test_placement_of_two_sides(folder: Path) -> None:
    (folder / "pos.csv").unlink()
    (folder / "top.csv").write_text("Ref,X (mm),Y (mm),Rot,Side\nR1,1,2,0,top\n")
    (folder / "under.csv").write_text("Ref,X (mm),Y (mm),Rot,Side\nR2,1,2,0,bottom\n")
    assert [p.ref for p in load(folder).placements or ()] == ["R1", "R2"]
    (folder / "board.toml").write_text('[board]\ncentroid = "top.csv, under.csv"\n')
    assert [p.ref for p in load(folder).placements or ()] == ["R1", "R2"]
    (folder / "board.toml").unlink()
    (folder / "top.pos").write_text("Ref,X (mm),Y (mm),Rot,Side\nR1,1,2,0,top\n")
    twice = load(folder)
    assert [p.ref for p in twice.placements or ()] == ["R1", "R2"]
    assert "top.pos: left out, another file places the same parts" in twice.notes
    (folder / "under.csv").write_text("Ref,X (mm),Y (mm),Rot,Side\nR1,1,2,0,bottom\n")
    with pytest.raises(InputError) as raised:
        load(folder)
    assert str(raised.value) == (
        "under.csv: places R1 again; name one file in board.toml: [board] centroid"
    )


def _circuit(*parts: Part) -> Circuit:
    return Circuit(parts)


def test_netlist_filled_in_from_the_layout() -> None:
    netlist = _circuit(
        Part("U1", "X1", pins=(Pin("U1", "1", "A"), Pin("U1", "2", "B", "OUT", PinKind.OUTPUT))),
        Part("R1", "10k", "R_0402"),
    )
    drawn = _circuit(
        Part(
            "U1",
            "X2",
            "SOT-23",
            fields={"MPN": "X1-T"},
            pins=(
                Pin("U1", "1", "A", "IN", PinKind.INPUT),
                Pin("U1", "2", "C", "Q", PinKind.INPUT),
                Pin("U1", "3", None, "NC"),
                Pin("U1", "4", "D", "EN"),
            ),
        ),
        Part("H1"),
    )
    both = joined(netlist, drawn)
    assert both is not None
    u1 = both.parts[0]
    assert (u1.value, u1.footprint, u1.fields) == ("X1", "SOT-23", {"MPN": "X1-T"})
    assert [(p.number, p.net, p.name, p.kind) for p in u1.pins] == [
        ("1", "A", "IN", PinKind.INPUT),
        ("2", "B", "OUT", PinKind.OUTPUT),
        ("3", None, "NC", PinKind.UNKNOWN),
    ]
    assert [p.ref for p in both.parts] == ["U1", "R1"]
    assert joined(None, drawn) is drawn
    assert joined(netlist, None) is netlist


@pytest.mark.parametrize(
    ("part", "other", "bom", "manifest", "fitted"),
    [
        (Part("R1"), None, "", "", True),
        (Part("R1", fitted=False), None, "", "", False),
        (Part("R1"), Part("R1", fitted=False), "", "", False),
        (Part("R1", "10k DNP"), None, "", "", False),
        (Part("R1", fields={"DNP": "yes"}), None, "", "", False),
        (Part("R1", fields={"DNP": "no"}), None, "", "", True),
        (Part("R1", fields={"DNP": ""}), None, "", "", True),
        (Part("R1", fields={"Fitted": "no"}), None, "", "", False),
        (Part("R1", fields={"Config": "DNF"}), None, "", "", False),
        (Part("R1"), None, "R1,x", "", False),
        (Part("R1"), None, "R1,x\nR1,", "", True),
        (Part("R1", fitted=False), None, "R1,", "", False),
        (Part("R1", fitted=False), None, "", "true", True),
        (Part("R1"), None, "R1,", "false", False),
    ],
)
def test_who_says_whether_a_part_is_fitted(
    part: Part, other: Part | None, bom: str, manifest: str, fitted: bool, tmp_path: Path
) -> None:
    from counterpoise.readers import bom as bom_reader
    from counterpoise.readers._source import Source

    rows = bom_reader.read(Source("b", f"Ref,DNP\n{bom}\n".encode())).bom if bom else None
    stated = parse(f"[parts.R1]\nfitted = {manifest}" if manifest else "")
    drawn = _circuit(other) if other else None
    found = with_fitted(_circuit(part), drawn, rows, stated)
    assert found is not None
    assert found.parts[0].fitted is fitted
    assert layout_as_fitted(None, found) is None


@pytest.mark.parametrize("name", ["flatbox4", "olimex-lipo-d", "parasite", "watchy", "redox-w-tx"])
def test_real_folders(name: str) -> None:
    if not (BOARDS / name).is_dir():
        pytest.skip("the real boards are not beside this checkout")
    design = load(BOARDS / name)
    assert design.circuit is not None
    assert design.layout is not None
    assert all(not Path(f.path).is_absolute() for f in design.files)
