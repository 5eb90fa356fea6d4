"""The gap between two pads, against the boxes that shapely draws round turned rectangles."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Polygon, box

from counterpoise.checks._power_distance import pad_gap
from counterpoise.model.layout import Pad

PLACES = st.floats(-20, 20)
SIDES = st.floats(0.2, 5)
PADS = st.builds(
    lambda x, y, w, h, angle: Pad("1", (x, y), (w, h), "rect", angle, ("F.Cu",)),
    PLACES,
    PLACES,
    SIDES,
    SIDES,
    st.sampled_from([0.0, 30.0, 45.0, 90.0, 135.0, 180.0, 270.0, -60.0]),
)


def around(pad: Pad) -> Polygon:
    (x, y), (w, h) = pad.at, pad.size
    turned = affinity.rotate(box(x - w / 2, y - h / 2, x + w / 2, y + h / 2), pad.angle)
    return box(*turned.bounds)


@given(PADS, PADS)
def test_the_gap_is_that_of_the_boxes_round_the_turned_pads(a: Pad, b: Pad) -> None:
    assert pad_gap(a, b) == pytest.approx(around(a).distance(around(b)), abs=1e-9)


def test_pads_one_above_the_other_stand_as_far_as_their_edges() -> None:
    # 3 mm high and turned by 90°: 1 mm high; 10 mm from middle to middle less half of each.
    upper = Pad("1", (0.0, 0.0), (1.0, 3.0), "rect", 90.0, ("F.Cu",))
    lower = Pad("1", (0.2, 10.0), (1.0, 3.0), "rect", 0.0, ("F.Cu",))
    assert math.isclose(pad_gap(upper, lower), 10.0 - 0.5 - 1.5)
