from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point

from counterpoise.geometry.copper import Copper
from counterpoise.geometry.distance import pad_distance, part_distance
from counterpoise.geometry.pads import pad_cores, pad_shape
from counterpoise.model.layout import Circle, Drawing, Pad
from layouts import layout


def pad(shape: str, width: float, height: float, **more: object) -> Pad:
    return Pad("1", (3.0, 4.0), (width, height), shape, layers=("F.Cu",), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("made", "area"),
    [
        (pad("circle", 2, 2), math.pi),
        (pad("rect", 2, 1, angle=30), 2),
        (pad("oval", 3, 1), 2 + math.pi / 4),
        (pad("oval", 1, 3), 2 + math.pi / 4),
        (pad("roundrect", 2, 1, ratio=0.25), 2 - (4 - math.pi) * 0.0625),
        (pad("roundrect", 2, 1, ratio=0.5), 1 + math.pi / 4),
        (pad("trapezoid", 2, 1, delta=(0.4, 0.0)), 2),
        (pad("roundrect", 2, 1, chamfer=0.2, corners=("top_left",)), 2 - 0.02),
        (
            pad("custom", 1, 1, extra=(Drawing(Circle((5.0, 4.0), 1.0), "F.Cu", 0, True),)),
            1 + math.pi,
        ),
    ],
)
def test_area_by_closed_forms(made: Pad, area: float) -> None:
    assert pad_shape(made).area == pytest.approx(area, rel=5e-3)


@settings(max_examples=30, deadline=None)
@given(st.floats(0, 360), st.sampled_from(["circle", "rect", "oval", "roundrect", "trapezoid"]))
def test_turning_keeps_the_area(angle: float, shape: str) -> None:
    more = {"ratio": 0.2, "delta": (0.2, 0.0)}
    plain, turned = pad(shape, 2, 1, **more), pad(shape, 2, 1, angle=angle, **more)
    assert pad_shape(turned).area == pytest.approx(pad_shape(plain).area, rel=1e-9)
    assert pad_shape(turned).distance(pad_cores(turned)[0].shape) == 0


def test_chamfered_corner_is_where_it_is_said() -> None:
    made = pad("rect", 2, 2, chamfer=0.4, corners=("bottom_right",))
    cut = pad_shape(made)
    far = {(sx, sy): cut.distance(spot(3 + sx, 4 + sy)) for sx in (-1, 1) for sy in (-1, 1)}
    assert [corner for corner, gap in far.items() if gap > 0.1] == [(1, 1)]


def spot(x: float, y: float) -> Point:

    return Point(x, y)


TWO = """
part U1 at 0 0
  pad 1 circle 1 x 1 at 0 0 net=A
  pad 2 rect 1 x 1 at 10 0 net=B
part C1 at 0 5 90
  pad 1 oval 1 x 2 at 0 0 net=A
"""


def test_distance_of_pads_is_between_their_copper() -> None:
    made = layout(TWO)
    assert pad_distance(made, ("U1", "1"), ("C1", "1")) == pytest.approx(5 - 0.5 - 0.5)
    assert pad_distance(made, ("U1", "1"), ("U1", "9")) is None
    assert part_distance(made, ("U1", "2"), "C1") == pytest.approx(math.hypot(9, 5) - 1, abs=0.6)
    assert part_distance(made, ("U1", "2"), "C7") is None


def test_copper_of_a_blind_via_lies_on_its_layers_only() -> None:
    made = layout("layers F.Cu In1.Cu In2.Cu B.Cu\nvia A 5 5 0.6 / 0.3 F.Cu,In1.Cu")
    assert list(Copper(made).layers) == ["F.Cu", "In1.Cu"]
