from __future__ import annotations

import json
import math
import os
from pathlib import Path

import pytest

from boards import make_board
from counterpoise.estimates.area import area
from counterpoise.model.facts import Need
from counterpoise.model.report import Area
from layouts import layout

BOARDS = Path(
    os.environ.get("COUNTERPOISE_BOARDS", Path(__file__).resolve().parents[2] / "../shared/boards")
)
TRUTHS = sorted(BOARDS.glob("*/truth.json"))


def test_board_with_a_slot_and_drilled_holes() -> None:
    text = """
    board 40 x 30
    hole 5 5 15 8
    part H1 at 30 20
      pad - circle 3 x 3 at 0 0 drill=3 plated=no layers=none
      pad 1 oval 1 x 2 at 4 0 drill=0.6x1.6 net=GND
    via GND 20 20 0.6 / 0.3
    via GND 20 20 0.6 / 0.3
    """
    found = area(make_board(layout=layout("\n".join(x[4:] for x in text.splitlines()))))
    assert isinstance(found, Area)
    assert found.board_mm2 == pytest.approx(1200 - 30, rel=1e-12)
    assert (found.width_mm, found.height_mm, found.bounding_mm2) == (40, 30, 1200)
    slot = math.pi * 0.09 + 0.6
    holes = 30 + math.pi * 2.25 + slot + math.pi * 0.0225
    assert found.holes_mm2 == pytest.approx(holes, rel=1e-12)


def test_no_layout_no_edge_open_edge() -> None:
    for made, word in [
        (make_board(), "board file"),
        (make_board(layout=layout("thickness 1")), "outline"),
        (make_board(layout=layout("edge line 0 0 5 0\nedge line 5 0 5 5")), "closed outline"),
    ]:
        found = area(made)
        assert isinstance(found, Need)
        assert word in found.what


def test_the_manifest_picks_a_board_of_a_panel() -> None:
    panel = layout("board 40 x 30\nedge rect 50 0 60 10")
    for stated, expected in [("largest", 1200), ("2", 100), ("1", 1200)]:
        found = area(make_board(facts=f'[board]\noutline = "{stated}"', layout=panel))
        assert isinstance(found, Area)
        assert found.board_mm2 == expected
    assert isinstance(area(make_board(facts='[board]\noutline = "3"', layout=panel)), Need)


@pytest.mark.skipif(not TRUTHS, reason="the real boards are not beside this checkout")
@pytest.mark.parametrize("truth", TRUTHS, ids=lambda p: p.parent.name)
def test_real_boards_have_the_area_measured_elsewhere(truth: Path) -> None:
    load = pytest.importorskip("counterpoise.readers.load").load
    known = json.loads(truth.read_text(encoding="utf-8"))
    found = area(make_board(layout=load(truth.parent / known["file"]).layout))
    assert isinstance(found, Area)
    assert found.board_mm2 == pytest.approx(known["net_area_mm2"], rel=1e-3)
    size = (found.width_mm, found.height_mm)
    assert size == pytest.approx(known["outline_size_mm"], rel=1e-3)
