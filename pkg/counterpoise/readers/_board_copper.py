"""Tracks, vias and zones."""

from __future__ import annotations

import math

from counterpoise.model.layout import Arc, KeepOut, Line, Polygon, Track, Via, Zone
from counterpoise.readers import _names
from counterpoise.readers._board_context import BoardContext, Heads, atom, by_head
from counterpoise.readers._board_shapes import BOARD, Frame, polygon
from counterpoise.readers.sexpr import Node

_EXACT_FILLS = 20211226
"""From this version on a stored fill is the copper itself; before, only where the file says so."""


def read_segment(context: BoardContext, node: Node) -> Track:
    """A straight track.

    Raises:
        InputError: it lacks an end or its width, or a number is none.
    """
    heads = by_head(node)
    shape = Line(
        context.xy(context.need(node, heads, "start")),
        context.xy(context.need(node, heads, "end")),
    )
    return _track(context, node, heads, shape)


def read_arc(context: BoardContext, node: Node) -> Track:
    """A curved track, by three points in every version.

    Raises:
        InputError: it lacks a point or its width, or a number is none.
    """
    heads = by_head(node)
    start, mid, end = (
        context.xy(context.need(node, heads, head)) for head in ("start", "mid", "end")
    )
    return _track(context, node, heads, Arc(start, mid, end))


def _track(context: BoardContext, node: Node, heads: Heads, shape: Line | Arc) -> Track:
    return Track(
        shape,
        context.number(context.need(node, heads, "width"), 1),
        context.layer(heads.get("layer")),
        context.net(heads.get("net")),
    )


def read_via(context: BoardContext, node: Node, usual_drill: dict[str, float]) -> Via:
    """A via. Older files leave out the drill where it is the one of its net class.

    Raises:
        InputError: it lacks its place or size, its drill is nowhere stated, or a number is none.
    """
    heads = by_head(node)
    net = context.net(heads.get("net"))
    drill = context.optional(heads, "drill")
    if drill is None:
        drill = usual_drill.get(net or "", usual_drill.get(""))
    if drill is None:
        raise context.error(node, "(drill …) in this via")
    kind = {"blind": "blind", "buried": "blind", "micro": "micro"}.get(atom(node, 1), "through")
    ends = context.layers(heads.get("layers"))
    return Via(
        context.xy(context.need(node, heads, "at")),
        context.number(context.need(node, heads, "size"), 1),
        drill,
        context.copper if kind == "through" else context.between(ends),
        net,
        kind,
    )


def read_zone(context: BoardContext, node: Node, owner: str = "", frame: Frame = BOARD) -> Zone:
    """A copper area or a rule area; ``frame`` is that of the footprint it belongs to.

    Inside a footprint the points are written on the board, by all writers known (from memory, no
    source); a file that has them relative is told by their lying nearer the footprint when placed.

    Raises:
        InputError: an outline is without points, or a number is none.
    """
    heads = by_head(node)
    layers = context.layers(heads.get("layers")) or context.layers(heads.get("layer"))
    outlines: list[Polygon] = []
    fills: list[tuple[str, Polygon]] = []
    for child in node:
        if isinstance(child, Node) and child:
            if child[0] == "polygon":
                outlines.append(polygon(context, child))
            elif child[0] == "filled_polygon":
                layer = context.layer(by_head(child).get("layer"))
                fills.append((layer or (layers[0] if layers else ""), polygon(context, child)))
    if frame is not BOARD and outlines and _is_relative(outlines[0], frame):
        outlines = [_placed(outline, frame) for outline in outlines]
        fills = [(layer, _placed(fill, frame)) for layer, fill in fills]
    keepout = heads.get("keepout")
    return Zone(
        tuple(outlines),
        layers,
        None if keepout is not None else _zone_net(context, heads),
        atom(heads.get("name"), 1),
        tuple(fills),
        _growth(context, heads) if fills else 0.0,
        _keepout(keepout) if keepout is not None else None,
        owner,
        round(context.optional(heads, "priority") or 0.0),
        context.origin(node),
    )


def _is_relative(outline: Polygon, frame: Frame) -> bool:
    if not outline.points:
        return False
    at = (frame.x, frame.y)
    as_written = min(math.dist(at, point) for point in outline.points)
    return min(math.hypot(*point) for point in outline.points) < as_written


def _placed(shape: Polygon, frame: Frame) -> Polygon:
    return Polygon(tuple(map(frame.place, shape.points)))


def _zone_net(context: BoardContext, heads: Heads) -> str | None:
    named = _names.unescaped(atom(heads.get("net_name"), 1))
    return context.net(heads.get("net")) or named or None


def _growth(context: BoardContext, heads: Heads) -> float:
    """Half the pen's width, where the stored fill is the path of a pen's centre."""
    said = atom(heads.get("filled_areas_thickness"), 1)
    if said == "no" or context.version >= _EXACT_FILLS:
        return 0.0
    return (context.optional(heads, "min_thickness") or 0.0) / 2.0


def _keepout(node: Node) -> KeepOut:
    barred = {head for head, child in by_head(node).items() if atom(child, 1) == "not_allowed"}
    return KeepOut(
        "tracks" in barred,
        "vias" in barred,
        "pads" in barred,
        "copperpour" in barred,
        "footprints" in barred,
    )
