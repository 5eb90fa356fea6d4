from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boards import circuit, manifest
from counterpoise.catalog.fab import KEYS, all_profiles, read_profile
from counterpoise.catalog.rules import all_rules
from counterpoise.catalog.toml import CatalogError
from counterpoise.checks.run import function_of, judge
from counterpoise.estimates.area import area, board_outline
from counterpoise.model.design import Design
from counterpoise.model.facts import Need
from counterpoise.model.layout import Layout
from counterpoise.model.verdicts import Fail, Severity
from counterpoise.roles.board import Board
from layouts import layout
from turning import moved

ON_THE_BOARD = tuple(
    rule for rule in all_rules().values() if rule.domain in ("fabrication", "placement")
)
FABRICATION = tuple(rule for rule in ON_THE_BOARD if rule.domain == "fabrication")

FAULTY = """
thickness 1.6
board 60 x 40
hole 20 10 24 14
hole 24.6 10 28 14
track SIG F.Cu 0.12 : 5 5 18 5
track A F.Cu 0.2 : 5 20 20 20
track B F.Cu 0.2 : 5 20.3 20 20.3
track C B.Cu 0.2 : 5 0.2 20 0.2
via A 40 30 0.4 / 0.25
part R1 at 22 12 30 "R"
  pad 1 rect 1 x 1 at -1 0 net=A
  pad 2 rect 1 x 1 at 1 0 net=B
  courtyard -2 -1 2 1
part R2 at 59.5 30 "R"
  pad 1 oval 1 x 2 at -1 0 net=A
  pad 2 roundrect 1 x 1 at 1 0 net=B ratio=0.25
  courtyard -2 -1 2 1
zone GND B.Cu : 1 15 59 15 59 39 1 39
"""


def board(made: Layout) -> Board:
    facts = manifest('[board]\nfab = "prototype-2-layer"')
    wiring = circuit("R1 10k R : A B\nR2 10k R : A B")
    return Board(Design("test", circuit=wiring, layout=made, manifest=facts))


def told(made: Board) -> set[tuple[object, ...]]:
    found: set[tuple[object, ...]] = set()
    for rule in FABRICATION:
        for v in function_of(rule)(made, rule):
            size = round(v.measured.value, 2) if isinstance(v, Fail) and v.measured else None
            subjects, case = getattr(v, "subjects", ()), getattr(v, "case", "")
            found.add((rule.slug, type(v).__name__, subjects, case, size))
    return found


def test_every_kind_of_fault_is_told() -> None:
    failed = {slug for slug, kind, *_ in told(board(layout(FAULTY))) if kind == "Fail"}
    assert failed >= {
        "track-too-thin",
        "gap-too-small",
        "copper-near-edge",
        "hole-too-small",
        "ring-too-thin",
        "web-too-thin",
        "part-in-hole",
        "part-overhang",
    }


@settings(max_examples=8, deadline=None)
@given(st.floats(0, 360), st.floats(-200, 200), st.floats(-200, 200), st.booleans())
def test_verdicts_stand_when_the_board_is_moved(
    degrees: float, dx: float, dy: float, flip: bool
) -> None:
    made = layout(FAULTY)
    again = moved(made, degrees, (dx, dy), flip)
    assert told(board(again)) == told(board(made))
    before, after = area(board(made)), area(board(again))
    assert not isinstance(before, Need)
    assert not isinstance(after, Need)
    assert after.board_mm2 == pytest.approx(before.board_mm2, rel=1e-9)


DEGENERATE = (
    "",
    "board 40 x 30",
    "edge line 0 0 5 0",
    'part R1 at 5 5 "R"',
    # found by feeding random layouts: areas, pads and bodies without any extent
    "board 40 x 30\nzone GND F.Cu : 5 5 6 6 7 7\ntrack GND F.Cu 0 : 5 5 9 9",
    'board 40 x 30\npart R1 at 5 5 "R"\n  pad 1 trapezoid 0 x 1 at 0 0 net=A drill=0.5',
    'board 40 x 30\npart R1 at 5 5 "R"\n  pad 1 rect 1 x 1 at 0 0 net=A\n  body 0 0 0 0',
    'board 40 x 30\npart R1 at 5 5 "R"\n  fill F.Cu 0 0 1 1 2 2\n  edge line 0 0 0 0',
)


def test_rules_stand_an_empty_layout_and_a_bare_board() -> None:
    for text in DEGENERATE:
        for rule in ON_THE_BOARD:
            list(function_of(rule)(board(layout(text)), rule))


def test_profiles_say_every_limit_and_grow_finer() -> None:
    profiles = all_profiles()
    assert {"prototype-2-layer", "fine-2-layer", "prototype-4-layer"} <= set(profiles)
    for key in KEYS:
        coarse = profiles["prototype-2-layer"].limits[key]
        assert profiles["fine-2-layer"].limits[key].least_mm < coarse.least_mm
        assert coarse.source


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"limits": {"trak": {"min": "1 mm", "source": "s"}}}, "track"),
        ({"limits": {"track": {"min": "1", "source": "s"}}}, "unit"),
        ({"limits": {"track": {"min": "0 mm", "source": "s"}}}, "above zero"),
        ({"limits": {}}, "required"),
        ({"colour": "green"}, "colour"),
    ],
)
def test_a_faulty_profile_says_where(change: dict[str, object], expected: str) -> None:
    good = {
        "title": "t",
        "layers": 2,
        "limits": {key: {"min": "1 mm", "source": "s"} for key in KEYS},
    }
    with pytest.raises(CatalogError, match=expected):
        read_profile("mine.toml", {**good, **change})


BOARDS = Path(
    os.environ.get("COUNTERPOISE_BOARDS", Path(__file__).resolve().parents[2] / "../shared/boards")
)
TRUTHS = sorted(BOARDS.glob("*/truth.json"))


@pytest.mark.skipif(not TRUTHS, reason="the real boards are not beside this checkout")
@pytest.mark.parametrize("truth", TRUTHS, ids=lambda p: p.parent.name)
def test_real_boards_get_no_stop(truth: Path) -> None:
    from counterpoise.readers._source import Source
    from counterpoise.readers.board import read

    known = json.loads(truth.read_text(encoding="utf-8"))
    reading = read(Source.of(truth.parent / known["file"]))
    made = Board(Design("real", circuit=reading.circuit, layout=reading.layout))
    outcome = judge(made, [(rule, function_of(rule)) for rule in ON_THE_BOARD])
    assert [f.message for f in outcome.findings if f.severity is Severity.STOP] == []
    found, (edge,) = area(made), board_outline(made).boards
    assert not isinstance(found, Need)
    assert len(edge.cutouts) == known["cutouts"]
    assert edge.outer.box == pytest.approx(known["outline_bbox_mm"], abs=2e-3)
    assert edge.area + edge.cutout_area == pytest.approx(known["outer_area_mm2"], rel=1e-3)
    assert found.board_mm2 == pytest.approx(known["net_area_mm2"], rel=1e-3)
    assert (found.width_mm, found.height_mm) == pytest.approx(known["outline_size_mm"], rel=1e-3)
