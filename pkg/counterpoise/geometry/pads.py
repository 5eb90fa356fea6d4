"""Pads as copper shapes: exact cores with a radius, and polygons.

A core is a point, a line or a polygon; the copper is everything within ``radius`` of it. Round,
oval and rounded pads are exact that way; chamfered corners and custom outlines are polygons.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString, Point
from shapely.geometry import Polygon as Shapely
from shapely.geometry.base import BaseGeometry

from counterpoise.geometry.strokes import path
from counterpoise.model.layout import XY, Circle, Drawing, Pad, Polygon

QUARTER = 16
"""Chords a quarter circle of a buffered polygon has: 0.5 % of the radius short at most."""


@dataclass(frozen=True, slots=True)
class Core:
    """Copper within ``radius`` mm of ``shape``."""

    shape: BaseGeometry
    radius: float = 0.0

    def grown(self, by: float = 0.0) -> BaseGeometry:
        """The copper, and ``by`` mm more, as a polygon."""
        size = self.radius + by
        return self.shape.buffer(size, quad_segs=QUARTER) if size > 0 else self.shape

    def distance(self, other: Core) -> float:
        """Clear distance in mm; 0 where they touch or overlap."""
        return max(0.0, float(self.shape.distance(other.shape)) - self.radius - other.radius)


def turn(p: XY, degrees: float) -> XY:
    """A vector turned counter-clockwise on the screen (y down)."""
    a = math.radians(degrees)
    c, s = math.cos(a), math.sin(a)
    return p[0] * c + p[1] * s, -p[0] * s + p[1] * c


def placed(points: list[XY], at: XY, degrees: float) -> list[XY]:
    """Points of an unturned shape about the origin, turned and moved to ``at``."""
    moved = (turn(p, degrees) for p in points)
    return [(at[0] + x, at[1] + y) for x, y in moved]


def pad_cores(pad: Pad) -> tuple[Core, ...]:
    """The copper of a pad on each of its copper layers; several cores for a custom pad."""
    return (_anchor(pad), *(c for d in pad.extra for c in drawing_cores(d)))


def pad_shape(pad: Pad) -> BaseGeometry:
    """The copper of a pad as one polygon."""
    return polygonal(shapely.union_all([core.grown() for core in pad_cores(pad)]))


def polygonal(shape: BaseGeometry) -> BaseGeometry:
    """The shape made valid, less the lines and points that repairing it may leave."""
    if not shape.is_valid:
        shape = _repaired(shape)
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return shape
    parts = [p for p in shapely.get_parts(shape).tolist() if p.geom_type.endswith("Polygon")]
    return shapely.union_all(parts) if parts else Shapely()


def _repaired(shape: BaseGeometry) -> BaseGeometry:
    # A pour whose holes are slit open is the usual case, and closing the slits this way takes a
    # tenth of the time. Where lobes cross or overlap, areas differ and the full repair is needed.
    closed = shape.buffer(0)
    if abs(closed.area - shape.area) <= 1e-9 * (1.0 + shape.area):
        return closed
    return shapely.make_valid(shape)


def _anchor(pad: Pad) -> Core:
    width, height = pad.size
    short, long = min(width, height), max(width, height)
    if short <= 0:
        return Core(Point(pad.at))
    if pad.shape == "circle":
        return Core(Point(pad.at), width / 2)
    rounded = pad.shape in ("roundrect", "custom")  # of a custom pad: its anchor
    if pad.shape == "oval" or (rounded and pad.ratio >= 0.5 and not pad.corners):
        return _stadium(pad.at, width, height, pad.angle)
    radius = min(pad.ratio, 0.5) * short if rounded else 0.0
    if pad.corners and pad.chamfer > 0:
        return Core(_chamfered(pad, radius))
    if radius > 0 and long > 2 * radius:
        inner = (width / 2 - radius, height / 2 - radius)
        return Core(Shapely(placed(_box(*inner), pad.at, pad.angle)), radius)
    shape = polygonal(Shapely(placed(_corners(pad), pad.at, pad.angle)))
    return Core(Point(pad.at) if shape.is_empty else shape)


def _stadium(at: XY, width: float, height: float, angle: float) -> Core:
    half = abs(width - height) / 2
    if half < 1e-9:
        return Core(Point(at), width / 2)
    tip = (half, 0.0) if width > height else (0.0, half)
    ends = placed([(-tip[0], -tip[1]), tip], at, angle)
    return Core(LineString(ends), min(width, height) / 2)


def _box(x: float, y: float) -> list[XY]:
    return [(-x, -y), (x, -y), (x, y), (-x, y)]


def _corners(pad: Pad) -> list[XY]:
    x, y = pad.size[0] / 2, pad.size[1] / 2
    if pad.shape != "trapezoid":
        return _box(x, y)
    # delta[0] makes the left side longer than the right, delta[1] the lower than the upper.
    dx, dy = pad.delta[0] / 2, pad.delta[1] / 2
    return [(-x + dy, -y - dx), (x - dy, -y + dx), (x + dy, y - dx), (-x - dy, y + dx)]


_CORNERS = (
    ("top_left", -1, -1),
    ("top_right", 1, -1),
    ("bottom_right", 1, 1),
    ("bottom_left", -1, 1),
)


def _chamfered(pad: Pad, radius: float) -> Shapely:
    x, y = pad.size[0] / 2, pad.size[1] / 2
    cut = min(pad.chamfer, 0.5) * min(pad.size)
    points: list[XY] = []
    for k, (name, sx, sy) in enumerate(_CORNERS):
        size = cut if name in pad.corners else radius
        before = (sx * x, sy * (y - size)) if k % 2 == 0 else (sx * (x - size), sy * y)
        after = (sx * (x - size), sy * y) if k % 2 == 0 else (sx * x, sy * (y - size))
        if name not in pad.corners and radius > 0:
            centre = (sx * (x - radius), sy * (y - radius))
            start = math.pi + k * math.pi / 2
            steps = (start + i * math.pi / 2 / 8 for i in range(9))
            points += [
                (centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in steps
            ]
        else:
            points += [before, after]
    return Shapely(placed(points, pad.at, pad.angle))


def drawing_cores(drawing: Drawing) -> tuple[Core, ...]:
    """What a drawn shape covers: its stroke, and its inside when it is filled."""
    half = drawing.width / 2
    shape = drawing.shape
    if isinstance(shape, Circle):
        if drawing.filled:
            return (Core(Point(shape.centre), shape.radius + half),)
        return (Core(LineString(path(shape)), half),)
    points = path(shape)
    if len(points) < 2:
        return ()
    if isinstance(shape, Polygon) and drawing.filled and len(points) > 3:
        inside = Shapely(points)
        filled = polygonal(inside)
        return () if filled.is_empty else (Core(filled, half),)
    return (Core(LineString(points), half),)
