"""Thin places of the board: webs between cut-outs, holes and the edge, and narrow arms."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString, Point
from shapely.geometry.base import BaseGeometry

from counterpoise.geometry.outline import Piece
from counterpoise.geometry.pads import placed
from counterpoise.model.layout import XY, Drill, Layout

SMALL_HOLE_MM = 1.0
"""Smaller holes and cut-outs are vias, pins or the perforation of a break-off tab, no webs."""

SCREW_MM = 2.0
"""Plated holes from this width on are for screws and posts."""


@dataclass(frozen=True, slots=True)
class Web:
    """Board between two openings: its width in mm, its middle, both ends in words.

    ``drilled`` when one of them is a drilled hole.
    """

    width: float
    at: XY
    first: str
    second: str
    drilled: bool = False


def drill_shape(drill: Drill) -> tuple[BaseGeometry, float]:
    """A drilled hole as its centre line and half width."""
    half = abs(drill.width - drill.height) / 2
    if half < 1e-9:
        return Point(drill.at), drill.width / 2
    tip = (half, 0.0) if drill.width > drill.height else (0.0, half)
    ends = placed([(-tip[0], -tip[1]), tip], drill.at, drill.angle)
    return LineString(ends), min(drill.width, drill.height) / 2


def webs(piece: Piece, layout: Layout, within: float) -> list[Web]:
    """Webs narrower than ``within`` mm between cut-outs, large holes and the edge, thinnest first.

    Openings that touch are no web: rule outline-self-crossing tells them.
    """
    names: list[str] = []
    shapes: list[BaseGeometry] = []
    radii: list[float] = []
    inside = shapely.make_valid(shapely.Polygon(piece.outer.points))
    shapely.prepare(inside)
    for k, loop in enumerate(piece.cutouts):
        x1, y1, x2, y2 = loop.box
        if max(x2 - x1, y2 - y1) >= SMALL_HOLE_MM:
            owner = f" of {loop.owner}" if loop.owner else ""
            names.append(f"cut-out {k + 1}{owner}")
            shapes.append(shapely.make_valid(shapely.Polygon(loop.points)))
            radii.append(0.0)
    for footprint in layout.footprints:
        for pad in footprint.pads:
            drill = pad.drill
            if drill is None or not _weakens(drill):
                continue
            shape, radius = drill_shape(drill)
            if not shape.intersects(inside):
                continue  # on another board of the panel
            owner = f" of {footprint.ref}" if footprint.ref else ""
            names.append(f"{2 * radius:g} mm hole{owner}")
            shapes.append(shape)
            radii.append(radius)
    names.append("edge")
    shapes.append(shapely.LinearRing(piece.outer.points))
    radii.append(0.0)
    return sorted(_near(names, shapes, radii, within), key=lambda w: (w.width, w.at))


def _weakens(drill: Drill) -> bool:
    """Bare holes, and plated ones as wide as a screw's; narrower plated ones hold a pin's solder."""
    least = SCREW_MM if drill.plated else SMALL_HOLE_MM
    return min(drill.width, drill.height) >= least


def _near(
    names: list[str], shapes: list[BaseGeometry], radii: list[float], within: float
) -> list[Web]:
    found = []
    last = len(names) - 1
    # Both must be grown: a hole is kept as its centre line and its radius.
    wide = [s.buffer(r).envelope if r else s for s, r in zip(shapes, radii, strict=True)]
    grown = [s.buffer(r + within).envelope for s, r in zip(shapes, radii, strict=True)]
    first, second = shapely.STRtree(wide).query(grown)
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        if i >= j:
            continue
        width = float(shapes[i].distance(shapes[j])) - radii[i] - radii[j]
        # A hole that lies outside, in a cut-out or across the edge has no web.
        inside = j == last or not shapes[i].intersects(shapes[j])
        if 0 < width < within and inside:
            middle = shapely.shortest_line(shapes[i], shapes[j]).interpolate(0.5, normalized=True)
            drilled = radii[i] > 0 or radii[j] > 0
            found.append(Web(width, (middle.x, middle.y), names[i], names[j], drilled))
    return found


def necks(material: BaseGeometry, within: float) -> list[Web]:
    """Places where the outline narrows to less than ``within`` mm between two wider parts."""
    eroded = material.buffer(-within / 2, join_style="mitre")
    wide = shapely.get_parts(eroded.buffer(within / 2 + 1e-6, join_style="mitre"))
    if len(wide) < 2:
        return []
    opened = shapely.union_all(wide)
    found = []
    for bridge in shapely.get_parts(material.difference(opened)):
        touched = [part for part in wide if part.distance(bridge) < 1e-3]
        if len(touched) >= 2 and bridge.area > 1e-6:
            length = float(touched[0].distance(touched[1]))
            width = bridge.area / length if length > 1e-6 else 0.0
            centre = bridge.representative_point()
            if 0 < width < within:
                found.append(Web(width, (centre.x, centre.y), "edge", "edge"))
    return sorted(found, key=lambda w: (w.width, w.at))


@dataclass(frozen=True, slots=True)
class Arm:
    """A narrow arm of the board, held at one end: from its root to a point on it, and its width."""

    length: float
    width: float
    root: XY


class Arms:
    """The parts of a board that are narrower than ``widest`` mm."""

    def __init__(self, material: BaseGeometry, widest: float) -> None:
        half = widest / 2
        wide = material.buffer(-half, join_style="mitre").buffer(half, join_style="mitre")
        self._wide = wide.buffer(1e-3, join_style="mitre")
        narrow = material.difference(wide.buffer(1e-6, join_style="mitre"))
        parts = [] if wide.is_empty else shapely.get_parts(narrow).tolist()
        self._narrow = shapely.STRtree(parts)

    def at(self, at: XY) -> Arm | None:
        """The arm that carries the point; None where it stands on wider board, or on an arm that
        is held at both ends or shorter than it is wide."""
        spot = Point(at)
        near = sorted(self._narrow.query(spot, predicate="dwithin", distance=1e-3).tolist())
        if not near:
            return None
        arm = self._narrow.geometries[near[0]]
        root = arm.intersection(self._wide)
        if root.is_empty or len([p for p in shapely.get_parts(root) if p.area > 1e-6]) != 1:
            return None
        length = float(root.distance(spot))
        x1, y1, x2, y2 = arm.minimum_rotated_rectangle.bounds
        sides = _sides(arm)
        width = arm.area / sides[1] if sides[1] > 0 else 0.0
        if width <= 0 or sides[1] < width or length <= 0:
            return None
        middle = root.centroid
        return Arm(length, min(width, math.hypot(x2 - x1, y2 - y1)), (middle.x, middle.y))


def _sides(shape: BaseGeometry) -> tuple[float, float]:
    corners = shapely.get_coordinates(shape.minimum_rotated_rectangle).tolist()
    a, b = math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2])
    return min(a, b), max(a, b)
