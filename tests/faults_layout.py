"""Single faults drawn into a sound layout, by roles and geometry, whoever drew it.

``LAYOUT`` holds them as ``faults.KINDS`` does. Lengths in mm; blame is empty where the rule names no part.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from counterpoise.model.circuit import Circuit
from counterpoise.model.design import Design
from counterpoise.model.layout import (
    XY,
    Arc,
    Circle,
    Drawing,
    Footprint,
    Layout,
    Line,
    Pad,
    Polygon,
    Shape,
    Track,
    Zone,
)
from counterpoise.roles.board import Board
from faults import Fault, Kind, fault
from layouts import EDGE, moved_shape, turned

LAYOUT: dict[str, Kind] = {}
SWITCHES = ("push-switch", "change-over-switch")


def kind(function: Kind) -> Kind:
    LAYOUT[function.__name__] = function
    return function


def drawn(board: Board, **more: object) -> Design:
    """The design with parts of its layout replaced."""
    assert board.layout is not None
    return replace(board.design, layout=replace(board.layout, **more))  # type: ignore[arg-type]


def with_footprint(board: Board, changed: Footprint) -> Design:
    assert board.layout is not None
    feet = board.layout.footprints
    return drawn(board, footprints=tuple(changed if f.ref == changed.ref else f for f in feet))


def footprints(board: Board, *roles: str) -> Iterator[Footprint]:
    refs = {p.ref for p in board.parts_as(*roles)}
    yield from (f for f in (board.layout.footprints if board.layout else ()) if f.ref in refs)


def placed(foot: Footprint, move: Callable[[XY], XY], turn: float = 0.0) -> Footprint:
    """The footprint with every point moved, pads and angle turned with it."""

    def pad(p: Pad) -> Pad:
        drill = p.drill
        if drill is not None:
            drill = replace(drill, at=move(drill.at), angle=drill.angle + turn)
        return replace(p, at=move(p.at), angle=(p.angle + turn) % 360, drill=drill)

    return replace(
        foot,
        at=move(foot.at),
        angle=(foot.angle + turn) % 360,
        pads=tuple(map(pad, foot.pads)),
        drawings=tuple(replace(d, shape=moved_shape(d.shape, move)) for d in foot.drawings),
    )


def rotated(foot: Footprint, degrees: float) -> Footprint:
    """Turned about its own origin."""

    def move(p: XY) -> XY:
        x, y = turned((p[0] - foot.at[0], p[1] - foot.at[1]), degrees)
        return foot.at[0] + x, foot.at[1] + y

    return placed(foot, move, degrees)


def shifted(foot: Footprint, dx: float, dy: float) -> Footprint:
    return placed(foot, lambda p: (p[0] + dx, p[1] + dy))


def mirrored(foot: Footprint) -> Footprint:
    """Drawn from below: left and right change places about its own upright axis."""

    def move(p: XY) -> XY:
        x, y = turned((p[0] - foot.at[0], p[1] - foot.at[1]), -foot.angle)
        x, y = turned((-x, y), foot.angle)
        return foot.at[0] + x, foot.at[1] + y

    return placed(foot, move)


# -- switches ------------------------------------------------------------------------------------
@kind
def switch_turned(board: Board) -> Iterator[Fault]:
    for foot in footprints(board, "change-over-switch"):
        for degrees in (90, 180, 270):
            made = with_footprint(board, rotated(foot, degrees))
            what = f"{foot.ref} by {degrees}"
            yield fault(board, "switch_turned", what, made, "switch-facing", foot.ref)


@kind
def switch_drawn_from_below(board: Board) -> Iterator[Fault]:
    for foot in footprints(board, "change-over-switch"):
        made = with_footprint(board, mirrored(foot))
        rules = "switch-mirrored"
        yield fault(board, "switch_drawn_from_below", foot.ref, made, rules, foot.ref)


# -- antenna -------------------------------------------------------------------------------------
def _box(foot: Footprint, out: float) -> Polygon:
    xs, ys = [p.at[0] for p in foot.pads], [p.at[1] for p in foot.pads]
    x1, x2, y1, y2 = min(xs) - out, max(xs) + out, min(ys) - out, max(ys) + out
    return Polygon(((x1, y1), (x2, y1), (x2, y2), (x1, y2)))


@kind
def plane_under_the_antenna(board: Board) -> Iterator[Fault]:
    layout = board.layout
    for foot in footprints(board, "antenna"):
        for layer in layout.copper_layers if layout else ():
            shape = _box(foot, 1.0)
            net = sorted(board.grounds)[0]
            zone = Zone((shape,), (layer,), net, fills=((layer, shape),))
            made = drawn(board, zones=(*(layout.zones if layout else ()), zone))
            rules = "antenna-clear-zone"
            yield fault(board, "plane_under_the_antenna", layer, made, rules, foot.ref)


@kind
def track_under_the_antenna(board: Board) -> Iterator[Fault]:
    layout = board.layout
    for foot in footprints(board, "antenna"):
        (x1, y1), _, (x2, y2), _ = _box(foot, 1.0).points
        back = layout.copper_layers[-1] if layout else ""
        track = Track(Line((x1, y1), (x2, y2)), 0.3, back, next(iter(board.circuit.nets)))
        made = drawn(board, tracks=(*(layout.tracks if layout else ()), track))
        rules = "antenna-clear-zone"
        yield fault(board, "track_under_the_antenna", back, made, rules, foot.ref)


# -- outline -------------------------------------------------------------------------------------
def _length(shape: Shape) -> float:
    match shape:
        case Line(a, b):
            return math.dist(a, b)
        case _:
            return 0.0


def _edges(layout: Layout) -> list[int]:
    """The places of the straight edge strokes, the longest first."""
    found = [
        i
        for i, d in enumerate(layout.drawings)
        if d.layer == EDGE and isinstance(d.shape, Line) and _length(d.shape) > 1
    ]
    return sorted(found, key=lambda i: -_length(layout.drawings[i].shape))


@kind
def edge_with_a_gap(board: Board) -> Iterator[Fault]:
    layout = board.layout
    for at in _edges(layout)[:4] if layout else []:
        shape = layout.drawings[at].shape if layout else None
        assert layout is not None
        assert isinstance(shape, Line)
        for gap in (0.1, 0.6):
            share = gap / _length(shape)
            (ax, ay), (bx, by) = shape.start, shape.end
            short = Line(shape.start, (bx - (bx - ax) * share, by - (by - ay) * share))
            drawings = list(layout.drawings)
            drawings[at] = replace(drawings[at], shape=short)
            made = drawn(board, drawings=tuple(drawings))
            yield fault(board, "edge_with_a_gap", f"{gap} mm", made, "outline-open")


@kind
def edge_stroke_left_out(board: Board) -> Iterator[Fault]:
    layout = board.layout
    for at in _edges(layout)[:4] if layout else []:
        assert layout is not None
        left = tuple(d for i, d in enumerate(layout.drawings) if i != at)
        made = drawn(board, drawings=left)
        yield fault(board, "edge_stroke_left_out", str(at), made, "outline-open")


@kind
def edge_scaled(board: Board) -> Iterator[Fault]:
    layout = board.layout
    if layout is None or board.manifest.limits.area_mm2 is None:
        return

    def move(p: XY) -> XY:
        return p[0] * 1.5, p[1] * 1.5

    def one(d: Drawing) -> Drawing:
        shape = d.shape
        if d.layer != EDGE:
            return d
        if isinstance(shape, Circle):
            return replace(d, shape=Circle(move(shape.centre), shape.radius * 1.5))
        return replace(d, shape=moved_shape(shape, move))

    made = drawn(board, drawings=tuple(map(one, layout.drawings)))
    yield fault(board, "edge_scaled", "1.5", made, "area-over")


# -- fabrication ---------------------------------------------------------------------------------
@kind
def track_shrunk(board: Board) -> Iterator[Fault]:
    layout = board.layout
    for at, track in list(enumerate(layout.tracks if layout else ()))[::97]:
        assert layout is not None
        tracks = list(layout.tracks)
        tracks[at] = replace(track, width=0.04)
        made = drawn(board, tracks=tuple(tracks))
        yield fault(board, "track_shrunk", track.net or "", made, "track-too-thin")


@kind
def via_hole_shrunk(board: Board) -> Iterator[Fault]:
    layout = board.layout
    for at, via in list(enumerate(layout.vias if layout else ()))[::29]:
        assert layout is not None
        vias = list(layout.vias)
        vias[at] = replace(via, drill=0.08)
        made = drawn(board, vias=tuple(vias))
        yield fault(board, "via_hole_shrunk", str(via.at), made, "hole-too-small")


@kind
def via_ring_shrunk(board: Board) -> Iterator[Fault]:
    layout = board.layout
    for at, via in list(enumerate(layout.vias if layout else ()))[::29]:
        assert layout is not None
        vias = list(layout.vias)
        vias[at] = replace(via, size=via.drill + 0.06)
        made = drawn(board, vias=tuple(vias))
        yield fault(board, "via_ring_shrunk", str(via.at), made, "ring-too-thin")


@kind
def tracks_too_close(board: Board) -> Iterator[Fault]:
    """A second track of another net 0.03 mm beside the first."""
    layout = board.layout
    for track in list(layout.tracks if layout else ())[::149]:
        shape = track.shape
        if not isinstance(shape, Line) or layout is None or _length(shape) < 0.5:
            continue
        (ax, ay), (bx, by) = shape.start, shape.end
        out = (track.width + 0.2) / 2 + 0.03
        nx, ny = -(by - ay) / _length(shape) * out, (bx - ax) / _length(shape) * out
        net = next(n for n in sorted(board.circuit.nets) if n != track.net)
        beside = Track(Line((ax + nx, ay + ny), (bx + nx, by + ny)), 0.2, track.layer, net)
        made = drawn(board, tracks=(*layout.tracks, beside))
        yield fault(board, "tracks_too_close", track.net or "", made, "gap-too-small")


@kind
def web_thinned(board: Board) -> Iterator[Fault]:
    """A round hole 0.2 mm off the longest edge."""
    layout = board.layout
    for at in _edges(layout)[:2] if layout else []:
        assert layout is not None
        shape = layout.drawings[at].shape
        assert isinstance(shape, Line)
        (ax, ay), (bx, by) = shape.start, shape.end
        mid, long = ((ax + bx) / 2, (ay + by) / 2), _length(shape)
        middle = _middle(layout)
        nx, ny = -(by - ay) / long, (bx - ax) / long
        if (middle[0] - mid[0]) * nx + (middle[1] - mid[1]) * ny < 0:
            nx, ny = -nx, -ny
        hole = Circle((mid[0] + nx * 1.2, mid[1] + ny * 1.2), 1.0)
        made = drawn(board, drawings=(*layout.drawings, Drawing(hole, EDGE, 0.1)))
        yield fault(board, "web_thinned", str(mid), made, "web-too-thin")


def _middle(layout: Layout) -> XY:
    points = [p for d in layout.drawings if d.layer == EDGE for p in _ends(d.shape)]
    return (
        (min(x for x, _ in points) + max(x for x, _ in points)) / 2,
        (min(y for _, y in points) + max(y for _, y in points)) / 2,
    )


def _ends(shape: Shape) -> tuple[XY, ...]:
    match shape:
        case Line(a, b):
            return a, b
        case Arc(a, _, b):
            return a, b
        case Circle(c, _):
            return (c,)
        case _:
            return shape.points


# -- places --------------------------------------------------------------------------------------
@kind
def hole_under_a_pad(board: Board) -> Iterator[Fault]:
    layout = board.layout
    for foot in list(footprints(board, "resistor", "capacitor"))[::9]:
        assert layout is not None
        hole = Circle(foot.pads[0].at, 0.4)
        made = drawn(board, drawings=(*layout.drawings, Drawing(hole, EDGE, 0.1)))
        yield fault(board, "hole_under_a_pad", foot.ref, made, "part-in-hole", foot.ref)


@kind
def part_off_the_board(board: Board) -> Iterator[Fault]:
    for foot in list(footprints(board, "resistor", "capacitor"))[::9]:
        made = with_footprint(board, shifted(foot, 300.0, 0.0))
        rules = "part-overhang part-in-hole"
        yield fault(board, "part_off_the_board", foot.ref, made, rules, foot.ref)


@kind
def pad_on_another_net(board: Board) -> Iterator[Fault]:
    """In the board file alone."""
    design = board.design
    if design.drawn is None or design.netlist is None:
        return
    for part in design.drawn.parts[::7]:
        pin = next((p for p in part.pins if p.net), None)
        nets = sorted(design.netlist.nets)
        if pin is None or len(nets) < 2:
            continue
        net = nets[0] if pin.net != nets[0] else nets[1]
        pins = tuple(replace(p, net=net) if p.number == pin.number else p for p in part.pins)
        changed = replace(part, pins=pins)
        parts = tuple(changed if p.ref == part.ref else p for p in design.drawn.parts)
        made = replace(design, drawn=Circuit(parts))
        what = f"{pin.label} on {net}"
        yield fault(board, "pad_on_another_net", what, made, "layout-netlist-differs", part.ref)


@kind
def part_left_out_of_the_layout(board: Board) -> Iterator[Fault]:
    design = board.design
    if design.drawn is None or design.netlist is None:
        return
    for part in [p for p in design.drawn.parts if p.nets][::7]:
        parts = tuple(p for p in design.drawn.parts if p.ref != part.ref)
        feet = board.layout.footprints if board.layout else ()
        made = drawn(board, footprints=tuple(f for f in feet if f.ref != part.ref))
        made = replace(made, drawn=Circuit(parts))
        rules = "layout-netlist-differs"
        yield fault(board, "part_left_out_of_the_layout", part.ref, made, rules, part.ref)


@kind
def placed_otherwise(board: Board) -> Iterator[Fault]:
    """One row of the placement file turned, on the other side, or elsewhere."""
    rows = board.design.placements or ()
    for at, row in list(enumerate(rows))[::5]:
        other = "back" if row.side == "front" else "front"
        passive = board.role(row.ref).name in ("resistor", "capacitor")
        for change in (
            {"angle": (row.angle + 90) % 360},
            # Two equal ends: half a turn of a resistor changes nothing.
            {"angle": (row.angle + (90 if passive else 180)) % 360},
            {"side": other},
            {"x_mm": row.x_mm + 3.0},
        ):
            changed = list(rows)
            changed[at] = replace(row, **change)
            made = replace(board.design, placements=tuple(changed))
            what = f"{row.ref} {change}"
            yield fault(board, "placed_otherwise", what, made, "centroid-rotation", row.ref)
