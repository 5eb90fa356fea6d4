"""A footprint's extents in its own frame, and directions as a person sees them."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon as Shapely

from counterpoise.geometry.pads import Core, pad_cores, placed, turn
from counterpoise.geometry.strokes import Box, box, strokes
from counterpoise.model.layout import BACK, XY, Drawing, Footprint

EDGES = {"top": (0.0, -1.0), "bottom": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}
"""Edges of the board as drawn on the screen, seen from the front, and the way to each (y down)."""

SIDES = {"up": (0.0, -1.0), "down": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}
"""Sides of a footprint as drawn unturned."""


def points_to(footprint: Footprint, side: str) -> XY:
    """Where a side of the footprint, as drawn unturned on the front, points on the board.

    On the back a footprint is mirrored top to bottom before it is turned.
    """
    x, y = SIDES[side]
    return turn((x, -y if footprint.side == BACK else y), footprint.angle)


def edge_word(way: XY) -> str:
    """The board edge that a direction points to: top, bottom, left or right."""
    return max(EDGES, key=lambda name: EDGES[name][0] * way[0] + EDGES[name][1] * way[1])


def angle_between(a: XY, b: XY) -> float:
    """Degrees between two directions, 0 to 180."""
    dot = (a[0] * b[0] + a[1] * b[1]) / (math.hypot(*a) * math.hypot(*b))
    return math.degrees(math.acos(max(-1.0, min(1.0, dot))))


def local(footprint: Footprint, p: XY) -> XY:
    """A point on the board in the frame of the footprint: its place taken away, its turn undone."""
    return turn((p[0] - footprint.at[0], p[1] - footprint.at[1]), -footprint.angle)


def drawn_box(footprint: Footprint, *kinds: str) -> Box | None:
    """Extent, in the footprint's frame, of what is drawn on the first of the layer kinds (Fab,
    CrtYd, SilkS) that has anything."""
    for kind in kinds:
        found = [d for d in footprint.drawings if d.layer.endswith(f".{kind}")]
        if found:
            return _extent(local(footprint, p) for d in found for p in _marks(d))
    return None


def _marks(drawing: Drawing) -> list[XY]:
    run = strokes(drawing.shape)
    if not run:
        return []
    x1, y1, x2, y2 = box(run)
    straight = [s.start for s in run] + [s.end for s in run]
    return straight if all(s.bulge == 0 for s in run) else [(x1, y1), (x2, y1), (x2, y2), (x1, y2)]


def pads_box(footprint: Footprint) -> Box | None:
    """Extent of the copper of its pads in its own frame; None without any."""
    return _extent(
        (x + dx, y + dy)
        for pad in footprint.pads
        if pad.copper
        for core in pad_cores(pad)
        for x, y in _local_points(footprint, core)
        for dx, dy in ((-core.radius, -core.radius), (core.radius, core.radius))
    )


def _local_points(footprint: Footprint, core: Core) -> list[XY]:
    points = shapely.get_coordinates(core.shape).tolist()
    return [local(footprint, (x, y)) for x, y in points]


def body_box(footprint: Footprint) -> Box | None:
    """Extent of the body: as drawn on the fab layer, else the silk, else the courtyard."""
    return drawn_box(footprint, "Fab", "SilkS", "CrtYd")


def _extent(points: Iterable[XY]) -> Box | None:
    found = list(points)
    if not found:
        return None
    xs, ys = [p[0] for p in found], [p[1] for p in found]
    return min(xs), min(ys), max(xs), max(ys)


def on_board(footprint: Footprint, extent: Box) -> Shapely:
    """A box of the footprint's frame as a polygon on the board."""
    x1, y1, x2, y2 = extent
    return Shapely(placed([(x1, y1), (x2, y1), (x2, y2), (x1, y2)], footprint.at, footprint.angle))


@dataclass(frozen=True, slots=True)
class FreeEnd:
    """The end of a body that no pad reaches: box in the footprint's frame, depth in mm."""

    extent: Box
    depth: float


def free_end(footprint: Footprint) -> FreeEnd | None:
    """The deepest pad-free end of the body, as modules with an antenna have one; None without."""
    body, pads = body_box(footprint), pads_box(footprint)
    if body is None or pads is None:
        return None
    x1, y1, x2, y2 = body
    ends = (
        FreeEnd((x1, y1, x2, min(pads[1], y2)), pads[1] - y1),
        FreeEnd((x1, max(pads[3], y1), x2, y2), y2 - pads[3]),
        FreeEnd((x1, y1, min(pads[0], x2), y2), pads[0] - x1),
        FreeEnd((max(pads[2], x1), y1, x2, y2), x2 - pads[2]),
    )
    best = max(ends, key=lambda e: e.depth)
    return best if best.depth > 0 else None
