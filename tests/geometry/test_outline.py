from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point
from shapely.geometry import Polygon as Shapely

from counterpoise.geometry.joining import JOIN_MM
from counterpoise.geometry.outline import outline
from counterpoise.geometry.strokes import Bezier, Round, signed_area, through
from counterpoise.model.layout import Arc, Circle, Curve, Layout, Line
from layouts import edge, layout, rounded
from turning import moved

SHAPES = """
edge line 0 0 30 0
edge arc 30 0 40 10 30 20
edge curve 30 20 20 30 10 15 0 20
edge line 0 20 0 0
hole 10 10 r 3
edge polygon 20 5 24 5 24 9 20 9
"""
# By hand: the left part is 30 x 20; the half disc of radius 10; the curve bends about its chord.
CURVE = Bezier(((30.0, 20.0), (20.0, 30.0), (10.0, 15.0), (0.0, 20.0)))
AREA = 30 * 20 + math.pi * 50 + CURVE.bulge - math.pi * 9 - 16


def test_area_by_closed_forms() -> None:
    (board,) = outline(layout(SHAPES)).boards
    assert board.area == pytest.approx(AREA, rel=1e-12)
    assert len(board.cutouts) == 2
    assert board.cutout_area == pytest.approx(math.pi * 9 + 16, rel=1e-12)
    assert board.outer.box[2] == pytest.approx(40, abs=1e-9)


def test_curve_area_is_that_of_its_fine_polygon() -> None:
    fine = [CURVE.at(i / 20000) for i in range(20001)]
    assert abs(CURVE.bulge) == pytest.approx(Shapely(fine).area, rel=1e-7)


def test_rounded_rectangle_in_any_order_and_direction() -> None:
    shapes = rounded(0, 0, 50, 20, 4)
    random.Random(4).shuffle(shapes)
    turned_round = [Line(s.end, s.start) if isinstance(s, Line) else s for s in shapes]
    (board,) = outline(Layout(drawings=edge(*turned_round))).boards
    assert board.area == pytest.approx(50 * 20 - (4 - math.pi) * 16, rel=1e-12)
    assert board.outer.length == pytest.approx(2 * (42 + 12) + 8 * math.pi, rel=1e-12)
    assert board.outer.box == pytest.approx((0, 0, 50, 20), abs=1e-9)


@given(
    st.floats(0, 360),
    st.floats(-300, 300),
    st.floats(-300, 300),
    st.booleans(),
    st.randoms(use_true_random=False),
)
def test_turning_shifting_mirroring_shuffling_change_no_area(
    degrees: float, dx: float, dy: float, flip: bool, rng: random.Random
) -> None:
    drawings = list(moved(layout(SHAPES), degrees, (dx, dy), flip).drawings)
    rng.shuffle(drawings)
    found = outline(Layout(drawings=tuple(drawings)))
    assert found.closed
    assert not found.gaps
    assert found.boards[0].area == pytest.approx(AREA, rel=1e-9)


@given(
    *(st.tuples(st.floats(-50, 50), st.floats(-50, 50)) for _ in range(3)),
)
def test_arc_passes_through_its_points(
    a: tuple[float, float], m: tuple[float, float], b: tuple[float, float]
) -> None:
    arc = through(a, m, b)
    if isinstance(arc, Round) and arc.radius < 1e4 and min(math.dist(a, m), math.dist(m, b)) > 0.1:
        ring = [arc.at(i / 400) for i in range(401)]
        assert min(math.dist(m, p) for p in ring) <= arc.length / 400
        assert math.dist(arc.at(1.0), b) < 1e-5


def test_gap_has_place_and_size() -> None:
    text = "edge line 0 0 40 0\nedge line 40 0 40 29.7\nedge line 40 30 0 30\nedge line 0 30 0 0"
    found = outline(layout(text))
    assert not found.closed
    (gap,) = found.gaps
    assert gap.size == pytest.approx(0.3)
    assert gap.at == pytest.approx((40, 29.85))
    assert not gap.stray


@pytest.mark.parametrize(("step", "closed"), [(0.9 * JOIN_MM, True), (1.1 * JOIN_MM, False)])
def test_ends_join_within_the_tolerance(step: float, closed: bool) -> None:
    shapes = [Line((0, 0), (9, 0)), Line((9 + step, 0), (9, 9)), Line((9, 9), (0, 0))]
    assert outline(Layout(drawings=edge(*shapes))).closed is closed


def test_a_curve_of_very_short_strokes_is_kept() -> None:
    n = 4000
    ring = [(math.cos(2 * math.pi * i / n), math.sin(2 * math.pi * i / n)) for i in range(n)]
    shapes = [Line(a, b) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)]
    assert math.dist(ring[0], ring[1]) < JOIN_MM
    (board,) = outline(Layout(drawings=edge(*shapes))).boards
    assert board.area == pytest.approx(math.pi, rel=1e-5)


def test_edges_inside_footprints_count() -> None:
    text = "board 40 x 30\npart J1 at 20 15 90\n  edge circle 0 0 2\n  edge rect 4 0 6 1"
    (board,) = outline(layout(text)).boards
    assert board.cutout_area == pytest.approx(4 * math.pi + 2)


def test_panel_gives_several_boards_and_islands() -> None:
    text = (
        "board 40 x 30\nedge rect 50 0 70 10\nedge rect 5 5 35 25\nedge rect 10 10 20 20"
        "\nedge circle 60 5 1"
    )
    found = outline(layout(text))
    assert [round(b.area, 3) for b in found.boards] == [600, round(200 - math.pi, 3), 100]


def test_a_stroke_drawn_twice_is_one_stroke() -> None:
    (board,) = outline(layout("board 10 x 10\nboard 10 x 10")).boards
    assert board.area == 100
    assert not board.cutouts


def test_loops_that_touch_at_a_corner_are_two() -> None:
    lines = [(0, 0, 5, 0), (5, 0, 5, 5), (5, 5, 0, 5), (0, 5, 0, 0)]
    more = [(5, 5, 9, 5), (9, 5, 9, 9), (9, 9, 5, 9), (5, 9, 5, 5)]
    shapes = [Line((a, b), (c, d)) for a, b, c, d in lines + more]
    assert [b.area for b in outline(Layout(drawings=edge(*shapes))).boards] == [25, 16]


def test_a_line_across_a_closed_edge_is_a_stray_one() -> None:
    found = outline(layout("board 40 x 30\nedge line 20 1 20 29"))
    assert found.closed
    assert [g.stray for g in found.gaps] == [True]


def test_theta_shape_keeps_its_loop() -> None:
    text = "edge line 0 0 9 0\nedge line 9 0 9 9\nedge line 9 9 0 0\nedge line 0 0 9 9"
    assert outline(layout(text)).boards[0].area == pytest.approx(40.5)
    text += "\nedge arc 0 0 9 4 9 9"
    found = outline(layout(text))
    assert found.boards


def test_nothing_drawn() -> None:
    found = outline(Layout())
    assert not found.drawn
    assert not found.closed


def test_circle_and_full_turn_arc_are_alike() -> None:
    circle = outline(Layout(drawings=edge(Circle((3, 4), 5)))).boards[0]
    arc = outline(Layout(drawings=edge(Arc((8, 4), (-2, 4), (8, 4))))).boards[0]
    assert circle.area == pytest.approx(25 * math.pi, rel=1e-12)
    assert arc.area == pytest.approx(25 * math.pi, rel=1e-12)
    assert circle.outer.box == pytest.approx((-2, -1, 8, 9))
    flat = Shapely(circle.outer.points)
    assert flat.area == pytest.approx(Point(3, 4).buffer(5, quad_segs=64).area, rel=1e-3)


def test_straight_curve_has_no_bulge() -> None:
    curve = Curve(((0, 0), (1, 1), (2, 2), (3, 3)))
    assert Bezier(curve.points).bulge == 0
    assert signed_area([]) == 0
