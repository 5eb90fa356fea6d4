"""Where an antenna radiates: its body on the board and the zone it wants clear of copper."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from counterpoise.geometry.bodies import (
    FreeEnd,
    body_box,
    free_end,
    local,
    on_board,
    pads_box,
)
from counterpoise.geometry.pads import drawing_cores, pad_shape
from counterpoise.geometry.strokes import Box, path
from counterpoise.model.layout import XY, Footprint, Layout, Pad

TRACE_MM = 6.0
"""A copper shape longer than this, drawn in an antenna's footprint or as its pad, is the radiator:
chip antennas have short pads, printed ones for 2.4 GHz are 7 mm long at least."""

_TRIM_MM = 0.3
_LEAST_BODY_MM = 1.0
_MODULE_PADS, _MODULE_MM, _REACH_MM = 10, 8.0, 1.0
_FREE_END_MM = 3.0
"""Pad-free depth from which the end of a module's body is taken for its antenna."""


@dataclass(frozen=True, slots=True)
class Radiator:
    """An antenna on the layout.

    ``body`` is what radiates, ``kind`` is "trace", "chip" or "module"; ``box`` and ``feed`` (the
    feed's pads, None when unknown) are extents in the footprint's frame.
    """

    footprint: Footprint
    kind: str
    box: Box
    body: BaseGeometry
    feed: Box | None = None


def radiator(footprint: Footprint, feed_pins: frozenset[str]) -> Radiator | None:
    """The radiating body of an antenna's footprint; None when it shows none (a wire's pad)."""
    feed = _extent_of(footprint, [p for p in footprint.pads if p.number in feed_pins and p.copper])
    drawn = [
        core.grown()
        for d in footprint.drawings
        if d.layer.endswith(".Cu")
        for core in drawing_cores(d)
    ]
    shapes = [pad_shape(p) for p in footprint.pads if p.copper]
    printed = [shapely.union_all(drawn)] if drawn else []
    if any(_length(s) >= TRACE_MM for s in printed + shapes):
        box = _local_box(footprint, shapely.union_all(printed + shapes))
        return None if _flat(box) else _radiator(footprint, "trace", _trimmed(box, feed), feed)
    box_drawn = body_box(footprint)
    if box_drawn is None or not shapes:
        return None
    if _flat(box_drawn) or max(_spans(box_drawn)) < _LEAST_BODY_MM:
        return None
    return _radiator(footprint, "chip", box_drawn, feed)


def _spans(box: Box) -> tuple[float, float]:
    return box[2] - box[0], box[3] - box[1]


def _flat(box: Box) -> bool:
    return min(_spans(box)) <= 0


def _radiator(footprint: Footprint, kind: str, box: Box, feed: Box | None) -> Radiator:
    return Radiator(footprint, kind, box, on_board(footprint, box), feed)


def _extent_of(footprint: Footprint, pads: list[Pad]) -> Box | None:
    shape = shapely.union_all([pad_shape(p) for p in pads])
    return None if shape.is_empty else _local_box(footprint, shape)


def _side(box: Box, feed: Box) -> int:
    """The side of the box nearest to the feed: 0 low x, 1 low y, 2 high x, 3 high y."""
    gaps = (feed[0] - box[0], feed[1] - box[1], box[2] - feed[2], box[3] - feed[3])
    return min(range(4), key=lambda k: (round(gaps[k], 6), k % 2 == 0))


def _trimmed(box: Box, feed: Box | None) -> Box:
    """A printed antenna's box less the strip on the side where its feed meets the ground."""
    if feed is None:
        return box
    k = _side(box, feed)
    cut = list(box)
    cut[k] = feed[k + 2] + _TRIM_MM if k < 2 else feed[k - 2] - _TRIM_MM
    low_x, low_y, high_x, high_y = cut
    return (low_x, low_y, high_x, high_y) if low_x < high_x and low_y < high_y else box


def module_end(footprint: Footprint) -> Radiator | None:
    """The pad-free end of a module, deep enough to hold an antenna; None without one."""
    end: FreeEnd | None = free_end(footprint)
    if end is None or end.depth < _FREE_END_MM or _flat(end.extent):
        return None
    return Radiator(footprint, "module", end.extent, on_board(footprint, end.extent))


def _length(shape: BaseGeometry) -> float:
    x1, y1, x2, y2 = shape.bounds
    return max(x2 - x1, y2 - y1)


def _local_box(footprint: Footprint, shape: BaseGeometry) -> Box:
    points = [
        local(footprint, (float(x), float(y)))
        for x, y in shapely.get_coordinates(shape.convex_hull)
    ]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def stated_zones(
    found: Radiator, length: float, width: float, board: BaseGeometry | None
) -> list[BaseGeometry]:
    """Rectangles of the stated size about the body, wherever one may stand.

    ``length`` lies along the body's longer side. The sheet's zone holds the body somewhere inside
    and lies on the board, so only the places with the most board beneath them are given.
    """
    x1, y1, x2, y2 = found.box
    along_x = x2 - x1 >= y2 - y1
    size = (length, width) if along_x else (width, length)
    size = (max(size[0], x2 - x1), max(size[1], y2 - y1))
    spots: list[BaseGeometry] = [
        on_board(found.footprint, (ax, ay, ax + size[0], ay + size[1]))
        for ax in _starts(x1, x2, size[0])
        for ay in _starts(y1, y2, size[1])
    ]
    if board is None:
        return spots
    room = board.intersection(shapely.union_all(spots).envelope)
    shares = [spot.intersection(room).area for spot in spots]
    return [s for s, share in zip(spots, shares, strict=True) if share >= 0.98 * max(shares)]


def _starts(low: float, high: float, size: float) -> list[float]:
    slack = size - (high - low)
    return [low - slack * k / 4 for k in range(5)] if slack > 1e-9 else [low]


def margin_zone(found: Radiator, margin: float) -> BaseGeometry:
    """The body and ``margin`` mm round it, but not beyond it on the side of its feed, where the
    feed line and its ground have to come in."""
    x1, y1, x2, y2 = found.box
    sides = [x1 - margin, y1 - margin, x2 + margin, y2 + margin]
    if found.feed is not None:
        k = _side(found.box, found.feed)
        sides[k] = found.box[k]
    low_x, low_y, high_x, high_y = sides
    return on_board(found.footprint, (low_x, low_y, high_x, high_y))


def kept_clear(layout: Layout, found: Radiator, reach: float) -> BaseGeometry | None:
    """The part within ``reach`` mm of the body of the areas that the drawing keeps free of copper,
    where they cover most of the body; None where the drawing has none."""
    areas = [
        shapely.make_valid(shapely.Polygon(outline.points))
        for zone in layout.zones
        if zone.keepout is not None and zone.keepout.copper
        for outline in zone.outlines
        if len(outline.points) > 2
    ]
    near = [a for a in areas if a.intersects(found.body)]
    if not near:
        return None
    area = shapely.union_all(near)
    if area.intersection(found.body).area < 0.5 * found.body.area:
        return None
    return area.intersection(found.body.buffer(reach, join_style="mitre"))


def looks_like_module(footprint: Footprint) -> bool:
    """Whether a land pattern has the shape of a radio module with its antenna inside: a large body,
    pads along three sides, and one deep end that no pad reaches."""
    if sum(bool(p.copper) for p in footprint.pads) < _MODULE_PADS:
        return False
    body = body_box(footprint)
    if body is None or min(_spans(body)) < _MODULE_MM:
        return False
    pads, end = pads_box(footprint), module_end(footprint)
    if pads is None or end is None:
        return False
    gaps = sorted((pads[0] - body[0], pads[1] - body[1], body[2] - pads[2], body[3] - pads[3]))
    return gaps[2] <= _REACH_MM


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """Copper of a net that ends without a pad: where, and the copper from there on."""

    at: XY
    shape: BaseGeometry


def loose_end(layout: Layout, net: str) -> LooseEnd | None:
    """The longest copper of a net that leads to an end without pad, via or pour.

    Only lines at least ``TRACE_MM`` long from their last pad count: shorter ones are leftovers of
    routing. Copper drawn on the board itself that meets the net's copper belongs to it.
    """
    lines: list[tuple[str, BaseGeometry]] = [
        (track.layer, shapely.LineString(path(track.shape)).buffer(track.width / 2))
        for track in layout.tracks
        if track.net == net and track.width > 0
    ]
    lines += [
        (d.layer, core.grown())
        for d in layout.drawings
        if d.layer.endswith(".Cu") and d.net in (net, None)
        for core in drawing_cores(d)
    ]
    stops = _stops(layout, net)
    best: LooseEnd | None = None
    for layer in sorted({name for name, _ in lines}):
        copper = shapely.union_all([shape for name, shape in lines if name == layer])
        pads = shapely.union_all([shape for names, shape in stops if layer in names])
        for piece in shapely.get_parts(copper).tolist():
            end = _loose(piece, pads)
            if end is not None and (best is None or end.shape.area > best.shape.area):
                best = end
    return best


def _stops(layout: Layout, net: str) -> list[tuple[tuple[str, ...], BaseGeometry]]:
    """What copper of a net may end on: pads, vias and pours, by their layers."""
    found = [(p.copper, pad_shape(p)) for f in layout.footprints for p in f.pads if p.net == net]
    found += [
        (v.layers, shapely.Point(v.at).buffer(v.size / 2)) for v in layout.vias if v.net == net
    ]
    found += [
        ((name,), shapely.make_valid(shapely.Polygon(fill.points)))
        for zone in layout.zones
        if zone.net == net
        for name, fill in zone.fills
        if len(fill.points) > 2
    ]
    return found


def _loose(piece: BaseGeometry, pads: BaseGeometry) -> LooseEnd | None:
    """The point of one piece of copper farthest from any pad it meets, where that is an end."""
    if pads.is_empty or not piece.intersects(pads):
        return None
    corners = [shapely.Point(x, y) for x, y in shapely.get_coordinates(piece).tolist()]
    far = max(corners, key=lambda corner: float(corner.distance(pads)))
    if float(far.distance(pads)) < TRACE_MM:
        return None
    return LooseEnd((far.x, far.y), piece.difference(pads.buffer(TRACE_MM / 2)))
