"""Drawn shapes: lines, arcs in both written forms, rectangles, circles, polygons and curves.

Positions come out on the board: those inside a footprint are turned and moved by its frame.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from counterpoise.model.layout import XY, Arc, Circle, Curve, Drawing, Line, Polygon, Shape
from counterpoise.readers._board_context import LARGEST, BoardContext, Heads, atom, by_head
from counterpoise.readers.sexpr import Node, Points

SAGITTA_MM = 0.001
"""How far a chord may lie from the arc it stands for, where an arc becomes points."""

_QUARTERS = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}


@dataclass(frozen=True, slots=True)
class Frame:
    """Where something stands: its origin on the board and the cosine and sine of its angle."""

    x: float
    y: float
    cos: float
    sin: float

    @classmethod
    def at(cls, x: float, y: float, angle: float) -> Frame:
        """A frame turned by ``angle`` degrees, counter-clockwise as seen on the screen."""
        exact = _QUARTERS.get(angle % 360.0)
        if exact is None:
            turn = math.radians(angle)
            exact = (math.cos(turn), math.sin(turn))
        return cls(x, y, *exact)

    def place(self, point: XY) -> XY:
        """A point of the frame on the board, to the file's own resolution of 1 nm."""
        px, py = point
        return (
            round(self.x + px * self.cos + py * self.sin, 6),
            round(self.y - px * self.sin + py * self.cos, 6),
        )


BOARD = Frame(0.0, 0.0, 1.0, 0.0)
"""The board itself."""


def drawing(
    context: BoardContext, node: Node, kind: str, frame: Frame = BOARD, owner: str = ""
) -> Drawing | None:
    """A graphic item, or None for what is no geometry (texts, pictures, dimensions).

    ``kind`` is the head without its prefix: line, rect, circle, arc, poly, curve.
    """
    build = _BUILDERS.get(kind)
    if build is None:
        return None
    heads = by_head(node)
    return Drawing(
        build(context, node, heads, frame),
        context.layer(heads.get("layer")),
        _width(context, heads),
        _filled(heads, kind),
        owner,
        context.net(heads.get("net")),
        context.origin(node),
    )


def primitive(context: BoardContext, node: Node, frame: Frame, layer: str) -> Drawing | None:
    """One copper shape of a custom pad."""
    kind = atom(node, 0).removeprefix("gr_")
    drawn = drawing(context, node, kind, frame)
    if drawn is None:
        return None
    # A circle of no line width is the older way to write a disc.
    filled = drawn.filled or (kind == "circle" and drawn.width == 0.0)
    return Drawing(drawn.shape, layer, drawn.width, filled, origin=drawn.origin)


def points(context: BoardContext, node: Node, frame: Frame = BOARD) -> tuple[XY, ...]:
    """The points of a ``(pts …)`` list; arcs among them become points on the arc.

    Raises:
        InputError: something in it is neither a point nor an arc, or not a number.
    """
    found = _plain_points(node) if isinstance(node, Points) else None
    if found is None:
        whole = node.unpacked() if isinstance(node, Points) else node
        found = list(_mixed_points(context, whole))
    return tuple(found) if frame is BOARD else tuple(map(frame.place, found))


def _plain_points(node: Points) -> list[XY] | None:
    """The points of a run read all at once; None when a number in it is doubtful."""
    try:
        flat = node.numbers()
    except ValueError:
        return None
    # A sum is finite only when every term is, which finds what comparing misses: a NaN.
    near = math.isfinite(sum(flat)) and -LARGEST < min(flat) <= max(flat) < LARGEST
    if not near or len(flat) % 2 or "_" in node[1]:
        return None
    return list(zip(flat[::2], flat[1::2], strict=True))


def _mixed_points(context: BoardContext, node: Node) -> Iterator[XY]:
    """The points one by one: for arcs among them, and for the place of what is wrong."""
    for child in node[1:]:
        head = child[0] if isinstance(child, Node) and child else ""
        if isinstance(child, Node) and head == "xy":
            yield context.xy(child)
        elif isinstance(child, Node) and head == "arc":
            yield from arc_points(_arc(context, child, by_head(child), BOARD))
        else:
            raise context.error(node, "(xy X Y) or (arc …)")


def polygon(context: BoardContext, node: Node, frame: Frame = BOARD) -> Polygon:
    """The polygon whose ``(pts …)`` a list holds.

    Raises:
        InputError: it holds none.
    """
    return Polygon(points(context, context.need(node, by_head(node), "pts"), frame))


def arc_points(arc: Arc | Line | Circle) -> Iterator[XY]:
    """Points along an arc, both ends with it, no chord further than ``SAGITTA_MM`` from it."""
    centre = _centre(arc) if isinstance(arc, Arc) else None
    if not isinstance(arc, Arc) or centre is None:
        if not isinstance(arc, Circle):
            yield from (arc.start, arc.end)
        return
    cx, cy = centre
    radius = math.dist(centre, arc.start)
    first, mid, last = (math.atan2(y - cy, x - cx) for x, y in (arc.start, arc.mid, arc.end))
    sweep = (last - first) % math.tau
    if (mid - first) % math.tau > sweep:
        sweep -= math.tau
    steps = _steps(radius, sweep)
    yield arc.start
    for step in range(1, steps):
        turn = first + sweep * step / steps
        yield (round(cx + radius * math.cos(turn), 6), round(cy + radius * math.sin(turn), 6))
    yield arc.end


def _steps(radius: float, sweep: float) -> int:
    if radius <= SAGITTA_MM:
        return 1
    return max(1, math.ceil(abs(sweep) / (2.0 * math.acos(1.0 - SAGITTA_MM / radius))))


def _centre(arc: Arc) -> XY | None:
    """The centre of the circle through three points; None when they lie on one line."""
    (ax, ay), (bx, by), (cx, cy) = arc.start, arc.mid, arc.end
    bx, by, cx, cy = bx - ax, by - ay, cx - ax, cy - ay
    double = 2.0 * (bx * cy - by * cx)
    if abs(double) < 1e-9:
        return None
    b, c = bx * bx + by * by, cx * cx + cy * cy
    return (ax + (cy * b - by * c) / double, ay + (bx * c - cx * b) / double)


def _line(context: BoardContext, node: Node, heads: Heads, frame: Frame) -> Line:
    start = context.xy(context.need(node, heads, "start"))
    end = context.xy(context.need(node, heads, "end"))
    return Line(frame.place(start), frame.place(end))


def _arc(context: BoardContext, node: Node, heads: Heads, frame: Frame) -> Arc | Circle:
    start = context.xy(context.need(node, heads, "start"))
    end = context.xy(context.need(node, heads, "end"))
    if "mid" in heads:
        mid = context.xy(heads["mid"])
        return Arc(frame.place(start), frame.place(mid), frame.place(end))
    # The older form: "start" is the centre, "end" the first point, and the angle turns it onwards.
    angle = context.number(context.need(node, heads, "angle"), 1)
    if abs(angle) >= 360.0:
        return Circle(frame.place(start), math.dist(start, end))
    mid, last = _turned(start, end, angle / 2.0), _turned(start, end, angle)
    return Arc(frame.place(end), frame.place(mid), frame.place(last))


def _turned(centre: XY, point: XY, angle: float) -> XY:
    # A frame turns counter-clockwise on the screen; the written angle counts clockwise there.
    frame = Frame.at(centre[0], centre[1], -angle)
    return frame.place((point[0] - centre[0], point[1] - centre[1]))


def _rect(context: BoardContext, node: Node, heads: Heads, frame: Frame) -> Polygon:
    (x1, y1) = context.xy(context.need(node, heads, "start"))
    (x2, y2) = context.xy(context.need(node, heads, "end"))
    radius = context.optional(heads, "radius") or 0.0
    x1, x2, y1, y2 = min(x1, x2), max(x1, x2), min(y1, y2), max(y1, y2)
    radius = min(radius, (x2 - x1) / 2.0, (y2 - y1) / 2.0)
    if radius <= 0.0:
        corners = [(x1, y1), (x2, y1), (x2, y2), (x1, y2)]
    else:
        corners = list(_rounded(x1, y1, x2, y2, radius))
    return Polygon(tuple(map(frame.place, corners)))


def _rounded(x1: float, y1: float, x2: float, y2: float, radius: float) -> Iterator[XY]:
    steps = _steps(radius, math.pi / 2.0)
    left, right, top, bottom = x1 + radius, x2 - radius, y1 + radius, y2 - radius
    for quarter, (cx, cy) in enumerate(
        ((left, top), (right, top), (right, bottom), (left, bottom))
    ):
        for step in range(steps + 1):
            turn = math.pi * (1.0 + quarter / 2.0 + step / steps / 2.0)
            yield (cx + radius * math.cos(turn), cy + radius * math.sin(turn))


def _circle(context: BoardContext, node: Node, heads: Heads, frame: Frame) -> Circle:
    centre = context.xy(context.need(node, heads, "center"))
    edge = context.xy(context.need(node, heads, "end"))
    return Circle(frame.place(centre), round(math.dist(centre, edge), 6))


def _poly(context: BoardContext, node: Node, heads: Heads, frame: Frame) -> Polygon:
    return Polygon(points(context, context.need(node, heads, "pts"), frame))


def _curve(context: BoardContext, node: Node, heads: Heads, frame: Frame) -> Curve:
    found = points(context, context.need(node, heads, "pts"), frame)
    if len(found) != 4:
        raise context.error(node, f"four points for a curve, found {len(found)}")
    return Curve((found[0], found[1], found[2], found[3]))


_BUILDERS: dict[str, Callable[[BoardContext, Node, Heads, Frame], Shape]] = {
    "line": _line,
    "rect": _rect,
    "circle": _circle,
    "arc": _arc,
    "poly": _poly,
    "curve": _curve,
}


def _width(context: BoardContext, heads: Heads) -> float:
    stroke = heads.get("stroke")
    found = heads.get("width") if stroke is None else by_head(stroke).get("width")
    return 0.0 if found is None else context.number(found, 1)


def _filled(heads: Heads, kind: str) -> bool:
    fill = heads.get("fill")
    if fill is None:
        return kind == "poly"  # a polygon of the older writers is always solid
    return atom(fill, 1) in ("solid", "yes")
