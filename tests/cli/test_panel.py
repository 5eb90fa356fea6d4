"""A file that holds several boards: all are judged, and the reader is told which one is measured."""

from __future__ import annotations

import json
from pathlib import Path

from commands import layout, run

SECOND = '(gr_rect (start 22 0) (end 30 10) (layer "Edge.Cuts") (width 0.1))'


def _notes(path: Path) -> str:
    return " ".join(run("check", path, "--format", "text").out.split())


def test_panel_is_told(tmp_path: Path) -> None:
    (tmp_path / "a.kicad_pcb").write_text(layout(SECOND))
    said = _notes(tmp_path / "a.kicad_pcb")
    assert "2 boards are drawn; rules judge all, area and mass are those of the largest" in said
    (tmp_path / "board.toml").write_text('[board]\nlayout = "a.kicad_pcb"\noutline = "2"\n')
    assert "of board 2, largest first" in _notes(tmp_path)
    ran = run("check", tmp_path, "--format", "json")
    assert json.loads(ran.out)["estimates"]["area"]["board_mm2"] == 80


def test_single_board_has_no_such_note(tmp_path: Path) -> None:
    (tmp_path / "a.kicad_pcb").write_text(layout())
    assert "boards are drawn" not in _notes(tmp_path / "a.kicad_pcb")
