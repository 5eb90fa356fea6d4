"""Tracks, holes, rings, gaps and the edge against what a board house makes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Point
from shapely.geometry.base import BaseGeometry

from counterpoise.catalog.rules import Rule
from counterpoise.checks._fabrication_limits import Bound, against, bound
from counterpoise.checks._layout import (
    CLOSED,
    copper_of,
    edge_lines,
    layout_of,
    place,
    side_of,
)
from counterpoise.geometry.copper import Item, LayerCopper
from counterpoise.geometry.pads import pad_shape
from counterpoise.geometry.webs import drill_shape
from counterpoise.model.layout import FRONT, XY, Drill, Footprint, Pad
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Unknown, Verdict
from counterpoise.roles.board import Board

BOARD = "the board"
MOST = 25
"""Findings of one rule that are told one by one."""


@dataclass(frozen=True, slots=True)
class Thing:
    """Something measured: its size in mm, what it is in words, its subjects, net and place."""

    size: float
    subjects: tuple[str, ...]
    at: XY
    side: str = FRONT
    nets: tuple[str, ...] = ()
    what: str = ""
    case: str = "small"


def told(things: Iterable[Thing], limit: Bound, seen: bool = False) -> Iterator[Verdict]:
    """Verdicts over everything measured: the smallest of each subject that fails, one need for all
    that only some board houses make, else one pass; ``seen`` where more was looked at than that."""
    worst: dict[tuple[str, ...], Thing] = {}
    between: Thing | None = None
    for thing in things:
        seen = True
        holds = limit.holds(thing.size)
        if holds is False:
            other = worst.get(thing.subjects)
            if other is None or thing.size < other.size:
                worst[thing.subjects] = thing
        elif holds is None and (between is None or thing.size < between.size):
            between = thing
    ranked = sorted(worst.values(), key=lambda t: (t.size, t.subjects, t.at))
    # Without a stated profile one remark says it all: which board house, or what to widen.
    for thing in ranked[: MOST if limit.stated else 1]:
        yield failed(thing, limit, 0 if limit.stated else len(ranked) - 1)
    if between is not None and not worst and limit.need is not None:
        yield Unknown(between.subjects[0], (limit.need,))
    elif seen and not worst:
        yield Pass(BOARD)


def failed(thing: Thing, limit: Bound, others: int) -> Fail:
    """The finding for one thing under the limit, and for as many others as it stands for."""
    more = f"{others} more like it" if others else ""
    measured, least = against(thing.size, limit.least.low)
    words = {
        "what": thing.what,
        "measured": measured,
        "limit": least,
        "basis": limit.basis,
        "net": thing.nets[0] if thing.nets else "copper without a net",
    }
    return Fail(
        thing.subjects,
        thing.case,
        words,
        nets=thing.nets,
        place=place(thing.at, thing.side),
        measured=Measured(round(thing.size, 4), "mm"),
        limit=Limit(limit.least.low, None, "mm"),
        firm=limit.firm,
        doubt="; ".join(filter(None, (more, limit.doubt))),
    )


def tracks(board: Board, rule: Rule) -> Iterator[Verdict]:
    """The narrowest track of each net."""
    found = (
        Thing(
            t.width, (t.net or BOARD,), t.shape.start, side_of(t.layer), (t.net,) if t.net else ()
        )
        for t in layout_of(board).tracks
    )
    return told(found, bound(board, rule, "track"))


def holes(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Plated holes and bare ones, each kind against its own limit."""
    yield from told(_plated(board), bound(board, rule, "hole", "plated"))
    yield from told(_bare(board), bound(board, rule, "bare-hole", "bare"))


def _drills(board: Board) -> Iterator[tuple[Footprint, Pad, Drill]]:
    for footprint in layout_of(board).footprints:
        for pad in footprint.pads:
            if pad.drill is not None and min(pad.drill.width, pad.drill.height) > 0:
                yield footprint, pad, pad.drill


def _plated(board: Board) -> Iterator[Thing]:
    for f, pad, drill in _drills(board):
        if drill.plated:
            size = min(drill.width, drill.height)
            yield Thing(size, (f.ref,), drill.at, what=f"pad {f.ref}.{pad.number}")
    for via in layout_of(board).vias:
        nets = (via.net,) if via.net else ()
        yield Thing(via.drill, nets or (BOARD,), via.at, nets=nets, what="a via")


def _bare(board: Board) -> Iterator[Thing]:
    for f, _, drill in _drills(board):
        if not drill.plated:
            size = min(drill.width, drill.height)
            yield Thing(size, (f.ref,), drill.at, what=f"a bare hole of {f.ref}", case="bare")


def rings(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Copper round each plated hole at its thinnest; holes cut by the edge (castellations) are left
    out, and so are thermal holes inside a larger pad of the same number."""
    return told(_rings(board), bound(board, rule, "ring"))


def _rings(board: Board) -> Iterator[Thing]:
    edge = edge_lines(board)
    for f, pad, drill in _drills(board):
        if not drill.plated or not pad.copper:
            continue
        ring = _ring(pad, drill)
        if _cut(edge, drill) or _inside_larger(f, pad):
            continue
        yield Thing(max(ring, 0.0), (f.ref,), drill.at, what=f"pad {f.ref}.{pad.number}")
    for via in layout_of(board).vias:
        nets = (via.net,) if via.net else ()
        ring = (via.size - via.drill) / 2
        yield Thing(max(ring, 0.0), nets or (BOARD,), via.at, nets=nets, what="a via")


def _ring(pad: Pad, drill: Drill) -> float:
    round_both = drill.width == drill.height and pad.shape in (
        "circle",
        "oval",
        "rect",
        "roundrect",
    )
    if round_both and not pad.extra and math.dist(pad.at, drill.at) < 1e-6:
        return (min(pad.size) - drill.width) / 2
    core, radius = drill_shape(drill)
    shape = pad_shape(pad)
    if not shape.contains(core):
        return 0.0
    return float(shape.boundary.distance(core)) - radius


def _cut(edge: BaseGeometry | None, drill: Drill) -> bool:
    if edge is None:
        return False
    core, radius = drill_shape(drill)
    return float(edge.distance(core)) < radius + 0.05


def _inside_larger(footprint: Footprint, pad: Pad) -> bool:
    spot = Point(pad.at)
    return any(
        other.number == pad.number
        and other.size[0] * other.size[1] > 2 * pad.size[0] * pad.size[1]
        and pad_shape(other).contains(spot)
        for other in footprint.pads
    )


# -- edge ---------------------------------------------------------------------------------------
_CUT_MM = 0.05
_AT_EDGE = (
    "connector", "usb-connector", "antenna-connector", "antenna", "radio-module", "mechanical",
    "push-switch", "change-over-switch", "slide-switch", "encoder", "potentiometer", "cell",
)  # fmt: skip
"""Parts that are made to sit at the edge: their own pads may come as near as their maker says."""


def near_edge(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Tracks, vias, pours and pads nearer to the edge than copper may be."""
    edge = edge_lines(board)
    if edge is None:
        return iter((Unknown(BOARD, (CLOSED,)),))
    limit = bound(board, rule, "edge")
    return told(_near_edge(board, edge, limit.least.high), limit, bool(copper_of(board).layers))


def _near_edge(board: Board, edge: BaseGeometry, limit: float) -> Iterator[Thing]:
    lines = shapely.get_parts(edge)
    strokes = np.array(
        [LineString(pair) for line in lines for pair in pairwise(line.coords)], dtype=object
    )
    tree = shapely.STRtree(strokes)
    for layer in copper_of(board).layers.values():
        if len(layer.cores):
            x1, y1, x2, y2 = shapely.bounds(layer.cores).T
            wide = layer.radii + limit
            grown = shapely.box(x1 - wide, y1 - wide, x2 + wide, y2 + wide)
            which = sorted(set(tree.query(grown)[0].tolist()))
            for index in which:
                item = layer.items[index]
                core = layer.cores[index]
                # A corner cuts a pad with two strokes, both at no distance.
                nearest = shapely.MultiLineString(strokes[tree.query_nearest(core)].tolist())
                gap = float(nearest.distance(core)) - float(layer.radii[index])
                if not _may_touch(board, item, layer, index, nearest):
                    yield _edge_thing(item, gap, layer.name)
        for pour in layer.pours:
            ring = shapely.LinearRing(np.array(pour.points))
            near = strokes[tree.query(shapely.box(*pour.box).buffer(limit))]
            if len(near):
                gap = float(shapely.MultiLineString(near.tolist()).distance(ring)) - pour.grow
                spot = shapely.shortest_line(ring, edge).coords[0]
                nets = (pour.net,) if pour.net else ()
                what = f"copper area {pour.net or 'without net'}"
                at = (float(spot[0]), float(spot[1]))
                yield Thing(max(gap, 0.0), nets or (BOARD,), at, side_of(layer.name), nets, what)


def _may_touch(
    board: Board, item: Item, layer: LayerCopper, index: int, edge: BaseGeometry
) -> bool:
    if item.kind == "drawing":
        return bool(item.ref) or item.net is None
    if item.kind != "pad":
        return False
    # A pad that the edge cuts well inside is a castellation or reaches over on purpose.
    inner = layer.shape(index).buffer(-_CUT_MM)
    return bool(inner.intersects(edge)) or board.role(item.ref).name in _AT_EDGE


def _edge_thing(item: Item, gap: float, layer: str) -> Thing:
    nets = (item.net,) if item.net else ()
    what = f"pad {item.ref}.{item.pin}" if item.kind == "pad" else f"{item.kind} {item.net or ''}"
    subjects = (item.ref,) if item.ref else nets or (BOARD,)
    return Thing(max(gap, 0.0), subjects, item.at, side_of(layer), nets, what.strip())
