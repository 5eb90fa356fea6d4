from __future__ import annotations

import math

import pytest

from boardtext import HEAD, layout
from counterpoise.model.layout import Arc, KeepOut, Line, Polygon, Zone
from counterpoise.readers._source import InputError


def test_tracks_straight_and_curved() -> None:
    found = layout(
        "(segment (start 0 0) (end 1 0) (width 0.2) (layer F.Cu) (net 1) (status 400000))"
        "(arc (start 0 0) (mid 1 1) (end 2 0) (width 0.3) (layer B.Cu) (net 1))"
    )
    assert [track.shape for track in found.tracks] == [
        Line((0.0, 0.0), (1.0, 0.0)),
        Arc((0.0, 0.0), (1.0, 1.0), (2.0, 0.0)),
    ]
    assert [track.width for track in found.tracks] == [0.2, 0.3]


@pytest.mark.parametrize(
    ("word", "ends", "kind", "layers"),
    [
        ("", "F.Cu B.Cu", "through", ("F.Cu", "In1.Cu", "B.Cu")),
        ("blind", "F.Cu In1.Cu", "blind", ("F.Cu", "In1.Cu")),
        ("buried", "In1.Cu B.Cu", "blind", ("In1.Cu", "B.Cu")),
        ("micro", "B.Cu In1.Cu", "micro", ("In1.Cu", "B.Cu")),
    ],
)
def test_vias(word: str, ends: str, kind: str, layers: tuple[str, ...]) -> None:
    (via,) = layout(f"(via {word} (at 1 2) (size 0.6) (drill 0.3) (layers {ends}) (net 1))").vias
    assert (via.kind, via.layers, via.drill, via.net) == (kind, layers, 0.3, "GND")


def test_a_via_without_a_drill_has_the_one_of_its_class() -> None:
    body = (
        '(net_class Default "" (via_drill 0.4)) (net_class Wide "" (via_drill 0.7) (add_net VCC))'
        "(via (at 1 2) (size 1) (layers F.Cu B.Cu) (net 1))"
        "(via (at 1 2) (size 1) (layers F.Cu B.Cu) (net 9))"
    )
    assert [via.drill for via in layout(body).vias] == [0.4, 0.7]
    with pytest.raises(InputError, match=r"2: expected \(drill"):
        layout("(via (at 1 2) (size 1) (layers F.Cu B.Cu) (net 1))")


ZONE = """(zone (net 1) (net_name "GND") (layers F&B.Cu) (name "pour") (priority 3)
  (connect_pads (clearance 0.2)) (min_thickness 0.25) {thickness}
  (fill yes) (polygon (pts (xy 0 0) (xy 9 0) (xy 9 9)))
  (filled_polygon (layer B.Cu) (pts (xy 1 1) (xy 8 1) (xy 8 8))))"""


@pytest.mark.parametrize(
    ("version", "thickness", "grow"),
    [
        (20171130, "", 0.125),
        (20211014, "", 0.125),
        (20211014, "(filled_areas_thickness no)", 0.0),
        (20211014, "(filled_areas_thickness yes)", 0.125),
        (20221018, "", 0.0),
    ],
)
def test_fills_grow_only_where_they_are_a_pens_path(
    version: int, thickness: str, grow: float
) -> None:
    (zone,) = layout(ZONE.format(thickness=thickness), HEAD.replace("20211014", str(version))).zones
    assert zone.grow_mm == grow
    assert zone.layers == ("F.Cu", "B.Cu")
    assert (zone.net, zone.name, zone.priority) == ("GND", "pour", 3)
    assert zone.fills == (("B.Cu", Polygon(((1.0, 1.0), (8.0, 1.0), (8.0, 8.0)))),)


def test_a_zone_not_filled_has_no_copper() -> None:
    text = (
        "(zone (net 1) (layer F.Cu) (min_thickness 0.2) (polygon (pts (xy 0 0) (xy 1 0) (xy 1 1))))"
    )
    (zone,) = layout(text).zones
    assert (zone.fills, zone.grow_mm, zone.net) == ((), 0.0, "GND")


KEEPOUT = """(zone (net 0) (net_name "") (layers F&B.Cu)
 (keepout (tracks not_allowed) (vias allowed) (copperpour not_allowed))
 (polygon (pts {points})))"""


@pytest.mark.parametrize(
    "points",
    [
        "(xy 102 199) (xy 102 198) (xy 103 199)",  # on the board
        "(xy 1 2) (xy 2 2) (xy 1 3)",  # in the footprint
    ],
)
def test_a_rule_area_inside_a_footprint(points: str) -> None:
    inside = f"(fp_text reference U7 (at 0 0)) {KEEPOUT.format(points=points)}"
    (zone,) = layout(f"(footprint x (layer F.Cu) (at 100 200 90) {inside})").zones
    assert isinstance(zone, Zone)
    assert (zone.owner, zone.net) == ("U7", None)
    assert zone.keepout == KeepOut(tracks=True, copper=True)
    assert zone.outlines[0].points[0] == (102.0, 199.0)


def test_an_arc_among_the_points_of_an_outline() -> None:
    body = KEEPOUT.format(points="(arc (start 0 0) (mid 1 1) (end 2 0)) (xy 2 -1) (xy 0 -1)")
    points = layout(body).zones[0].outlines[0].points
    assert (points[0], points[-1]) == ((0.0, 0.0), (0.0, -1.0))
    on_arc = points[:-2]
    assert len(on_arc) > 20
    assert all(abs(math.dist(point, (1.0, 0.0)) - 1.0) < 1e-5 for point in on_arc)
