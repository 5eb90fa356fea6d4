from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardtext import footprint, layout, near, shape
from counterpoise.model.layout import Arc, Circle, Curve, Line, Polygon
from counterpoise.readers._board_shapes import SAGITTA_MM, Frame, arc_points


def test_both_forms_of_an_arc_are_the_same_arc() -> None:
    # A quarter circle about (10, 10) from (12, 10), clockwise on the screen.
    older = shape("(gr_arc (start 10 10) (end 12 10) (angle 90) (layer F.SilkS) (width 0.1))")
    assert isinstance(older, Arc)
    half = math.sqrt(2.0)
    assert near(older.start, 12.0, 10.0)
    assert near(older.mid, 10.0 + half, 10.0 + half)
    assert near(older.end, 10.0, 12.0)
    newer = shape("(gr_arc (start 12 10) (mid 11.414214 11.414214) (end 10 12) (layer F.SilkS))")
    assert newer == older


def test_an_old_arc_in_a_turned_footprint_keeps_its_bend() -> None:
    found = footprint(
        "(fp_arc (start 0 0) (end 1 0) (angle 90) (layer F.SilkS) (width 0.1))", "10 20 90"
    )
    arc = found.drawings[0].shape
    assert isinstance(arc, Arc)
    assert near(arc.start, 10.0, 19.0)
    assert near(arc.mid, 10.0 + math.sqrt(0.5), 20.0 - math.sqrt(0.5))
    assert near(arc.end, 11.0, 20.0)


def test_the_other_shapes() -> None:
    assert shape("(gr_line (start 0 0) (end 1 2) (layer X))") == Line((0.0, 0.0), (1.0, 2.0))
    assert shape("(gr_circle (center 1 1) (end 4 5) (layer X))") == Circle((1.0, 1.0), 5.0)
    assert shape("(gr_rect (start 2 3) (end 0 0) (layer X))") == Polygon(
        ((0.0, 0.0), (2.0, 0.0), (2.0, 3.0), (0.0, 3.0))
    )
    assert shape("(gr_curve (pts (xy 0 0) (xy 1 0) (xy 1 1) (xy 2 1)) (layer X))") == Curve(
        ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (2.0, 1.0))
    )


def test_a_rounded_rectangle_keeps_within_its_box() -> None:
    found = shape("(gr_rect (start 0 0) (end 10 4) (radius 1) (layer X))")
    assert isinstance(found, Polygon)
    assert (min(found.points)[0], max(found.points)[0]) == (0.0, 10.0)
    assert all(math.dist(p, (1.0, 1.0)) < 1.0001 for p in found.points if p[0] < 1 and p[1] < 1)
    assert (0.0, 0.0) not in found.points


@pytest.mark.parametrize(
    ("drawn", "filled"),
    [
        ("(gr_poly (pts (xy 0 0) (xy 1 0) (xy 1 1)) (layer X) (width 0))", True),
        ("(gr_poly (pts (xy 0 0) (xy 1 0) (xy 1 1)) (fill none) (layer X))", False),
        ("(gr_rect (start 0 0) (end 1 1) (fill yes) (layer X))", True),
        ("(gr_rect (start 0 0) (end 1 1) (fill solid) (layer X))", True),
        ("(gr_rect (start 0 0) (end 1 1) (layer X))", False),
    ],
)
def test_what_is_filled(drawn: str, filled: bool) -> None:
    assert layout(drawn).drawings[0].filled is filled


def test_the_width_in_both_forms() -> None:
    found = layout(
        "(gr_line (start 0 0) (end 1 0) (layer X) (width 0.3))"
        "(gr_line (start 0 0) (end 1 0) (layer X) (stroke (width 0.4) (type solid)))"
    )
    assert [drawn.width for drawn in found.drawings] == [0.3, 0.4]


def test_texts_groups_and_attached_files_are_no_geometry() -> None:
    found = layout(
        '(gr_text "x" (at 0 0) (layer "Edge.Cuts")) (group "g" (members a b))'
        "(embedded_files (file (name x) (data |AAAA BBBB|))) (dimension (layer X))"
        '(target plus (at 0 0)) (image (at 1 1)) (gr_text_box "b" (start 0 0) (end 1 1))'
    )
    assert found.drawings == ()


def test_edge_cuts_inside_a_footprint_name_their_owner() -> None:
    found = footprint(
        '(fp_text reference J1 (at 0 0)) (fp_line (start 0 0) (end 1 0) (layer "Edge.Cuts"))'
    )
    assert [(d.layer, d.owner) for d in found.drawings] == [("Edge.Cuts", "J1")]


@given(
    st.floats(0.01, 300.0),
    st.floats(0.0, math.tau),
    st.floats(0.01, math.tau - 0.01),
    st.booleans(),
)
def test_points_on_an_arc_stay_on_it(radius: float, first: float, sweep: float, back: bool) -> None:
    sweep = -sweep if back else sweep
    start, mid, end = (
        (radius * math.cos(first + part * sweep), radius * math.sin(first + part * sweep))
        for part in (0.0, 0.5, 1.0)
    )
    found = list(arc_points(Arc(start, mid, end)))
    assert (found[0], found[-1]) == (start, end)
    for one, two in itertools.pairwise(found):
        assert abs(math.hypot(*one) - radius) < 1e-4
        chord = math.dist(one, two)
        sagitta = radius - math.sqrt(max(0.0, radius**2 - chord**2 / 4.0))
        assert sagitta < SAGITTA_MM * 1.1
    travelled = sum(math.dist(a, b) for a, b in itertools.pairwise(found))
    assert travelled == pytest.approx(radius * abs(sweep), rel=0.05, abs=0.05)


@given(st.floats(-360, 360), st.floats(-500, 500), st.floats(-500, 500))
def test_a_frame_keeps_distances(angle: float, x: float, y: float) -> None:
    placed = Frame.at(3.0, 4.0, angle).place((x, y))
    assert math.dist(placed, (3.0, 4.0)) == pytest.approx(math.hypot(x, y), abs=2e-6)
