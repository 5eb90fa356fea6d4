from __future__ import annotations

import math

import pytest

from boardtext import LAYERS, layout, near, pad, read
from counterpoise.model.layout import Circle, Drill, Line, Polygon


@pytest.mark.parametrize(
    ("at", "x", "y"),
    [
        ("10 20", 11.0, 22.0),
        ("10 20 90", 12.0, 19.0),  # counter-clockwise on the screen, y down
        ("10 20 180", 9.0, 18.0),
        ("10 20 -90", 8.0, 21.0),
        ("10 20 45", 10.0 + 3.0 / math.sqrt(2.0), 20.0 + 1.0 / math.sqrt(2.0)),
    ],
)
def test_a_child_is_turned_and_moved_with_its_footprint(at: str, x: float, y: float) -> None:
    assert near(pad('"1" smd rect (at 1 2) (size 1 1) (layers "F.Cu")', at).at, x, y)


def test_the_back_needs_no_further_mirroring() -> None:
    text = """(footprint "a:b" (layer "B.Cu") (at 10 20 90)
      (pad "1" smd rect (at 1 2 90) (size 1 1) (layers "B.Cu")))"""
    (found,) = layout(text).footprints
    assert found.side == "back"
    assert near(found.pads[0].at, 12.0, 19.0)


def test_a_pads_angle_is_absolute() -> None:
    assert pad('"1" smd rect (at 1 2 112) (size 1 1) (layers "F.Cu")', "0 0 112").angle == 112.0
    assert pad('"1" smd rect (at 1 2) (size 1 1) (layers "F.Cu")', "0 0 112").angle == 0.0


def test_the_drills_offset_moves_the_copper_not_the_hole() -> None:
    found = pad(
        '"1" thru_hole oval (at 0 0 90) (size 3 1) (drill oval 2 0.8 (offset 0.5 0)) (layers *.Cu)'
    )
    assert found.drill == Drill((10.0, 20.0), 2.0, 0.8, 90.0)
    assert near(found.at, 10.0, 19.5)
    round_hole = pad('"1" thru_hole circle (at 0 0) (size 2 2) (drill 0.9) (layers *.Cu)')
    assert round_hole.drill == Drill((10.0, 20.0), 0.9, 0.9)
    bare = pad('"1" smd rect (at 0 0) (size 2 1) (drill (offset 0.2 0)) (layers F.Cu)')
    assert bare.drill is None
    assert near(bare.at, 10.2, 20.0)


@pytest.mark.parametrize(
    ("written", "spelt"),
    [
        ('*.Cu *.Mask "F.Paste"', ("F.Cu", "In1.Cu", "B.Cu", "F.Mask", "B.Mask", "F.Paste")),
        ("F&B.Cu", ("F.Cu", "B.Cu")),
        ('"F.Paste"', ("F.Paste",)),
        ("", ()),
    ],
)
def test_wildcards_are_spelt_out(written: str, spelt: tuple[str, ...]) -> None:
    found = pad(f'"1" thru_hole circle (at 0 0) (size 1 1) (drill 0.5) (layers {written})')
    assert found.layers == spelt


def test_what_shapes_a_pad() -> None:
    found = pad(
        '"1" smd roundrect (at 0 0) (size 1 2) (layers F.Cu) (roundrect_rratio 0.25)'
        " (chamfer_ratio 0.2) (chamfer top_left bottom_right)"
    )
    assert (found.ratio, found.chamfer) == (0.25, 0.2)
    assert found.corners == ("top_left", "bottom_right")
    slanted = pad('"1" smd trapezoid (at 0 0) (size 1 2) (rect_delta 0 0.4) (layers F.Cu)')
    assert slanted.delta == (0.0, 0.4)


def test_a_custom_pad_brings_its_shapes_to_the_board() -> None:
    found = pad(
        '"1" smd custom (at 1 0 90) (size 0.5 0.5) (layers F.Cu F.Mask)'
        " (options (clearance outline) (anchor circle)) (primitives"
        " (gr_line (start 0 0) (end 1 0) (width 0.2))"
        " (gr_circle (center 1 0) (end 1.3 0) (width 0))"
        " (gr_poly (pts (xy 0 0) (xy 2 0) (xy 0 1)) (width 0)))",
        "10 20 90",
    )
    assert near(found.at, 10.0, 19.0)
    assert found.ratio == 0.5  # the anchor is round
    line, disc, corner = found.extra
    assert (line.shape, line.width, line.layer) == (Line((10.0, 19.0), (10.0, 18.0)), 0.2, "F.Cu")
    assert (disc.shape, disc.filled) == (Circle((10.0, 18.0), 0.3), True)
    assert corner.shape == Polygon(((10.0, 19.0), (10.0, 17.0), (11.0, 19.0)))
    assert corner.filled


@pytest.mark.parametrize(
    ("written", "net"),
    [
        ('(net 1 "GND")', "GND"),
        ("(net 32 9)", "9"),  # an unquoted name
        ("(net 9)", "VCC"),  # a number that the list has
        ('(net "9")', "9"),
        ('(net "A{slash}B")', "A/B"),
        ("(net X7)", "X7"),
        ('(net 0 "")', None),
        ("(net 0)", None),
        ('(net "")', None),
        ("", None),
    ],
)
def test_a_net_is_named_in_every_way_writers_do(written: str, net: str | None) -> None:
    (track,) = layout(f"(segment (start 0 0) (end 1 0) (width 0.2) (layer F.Cu) {written})").tracks
    assert track.net == net


def test_nets_listed_after_the_copper_are_found() -> None:
    body = "(segment (start 0 0) (end 1 0) (width 0.2) (layer F.Cu) (net 1)) (net 1 GND)"
    found = layout(body, f"(version 20171130) {LAYERS}")
    assert [track.net for track in found.tracks] == ["GND"]
    assert found.net_names == ("GND",)


def test_layers_listed_after_the_copper_are_found() -> None:
    found = layout(
        f'(footprint "a:b" (at 0 0) (pad 1 thru_hole circle (at 0 0) (size 1 1) (layers *.Cu)))'
        f"{LAYERS}",
        '(version 20171130) (net 1 "GND")',
    )
    assert found.footprints[0].pads[0].copper == ("F.Cu", "In1.Cu", "B.Cu")


def test_copper_named_by_the_user_goes_by_its_number() -> None:
    head = (
        "(version 4) (layers (0 Top signal) (1 Power mixed) (31 Bottom signal) (44 Edge.Cuts user))"
        "(net 1 A)"
    )
    found = layout(
        "(segment (start 0 0) (end 1 0) (width 0.2) (layer Bottom) (net 1))"
        "(segment (start 0 0) (end 1 0) (width 0.2) (layer Power) (net 1))",
        head,
    )
    assert found.copper_layers == ("F.Cu", "In1.Cu", "B.Cu")
    assert [track.layer for track in found.tracks] == ["B.Cu", "In1.Cu"]


def test_the_newest_layer_numbers_say_nothing_of_the_order() -> None:
    head = (
        '(version 20260206) (layers (0 "F.Cu" signal) (2 "B.Cu" signal) (4 "In1.Cu" signal)'
        ' (6 "In2.Cu" power) (1 "F.Mask" user))'
    )
    assert layout("", head).copper_layers == ("F.Cu", "In1.Cu", "In2.Cu", "B.Cu")


def test_pads_that_differ_by_layer_are_noted_once() -> None:
    one = '(pad "1" thru_hole circle (at 0 0) (size 1 1) (layers *.Cu) (padstack (mode custom)))'
    found = read(f'(footprint "a:b" (at 0 0) {one} {one})')
    assert found.notes == (
        "x.brd:2: a pad differs from layer to layer; its front shape stands for all",
    )
