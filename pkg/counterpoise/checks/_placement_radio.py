"""Where antennas stand, and the line that feeds them."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace

import shapely
from shapely.geometry.base import BaseGeometry

from counterpoise.catalog.rules import Rule
from counterpoise.checks._antenna_zone import Zone, antennas, zone_of
from counterpoise.checks._feed import MATCHING, ends, walk
from counterpoise.checks._layout import (
    CLOSED,
    copper_of,
    layout_of,
    material,
    mm,
    place,
    side_of,
)
from counterpoise.estimates.rf import LineImpedance, coplanar, microstrip, wavelength_mm
from counterpoise.geometry.copper import LayerCopper
from counterpoise.geometry.strokes import path, strokes
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.layout import Layout, Track
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.values.ranges import Range

_BESIDE_MM = 10.0
"""Ground farther from a line than this is no part of it: laminates are 2 mm thick at most."""

_TOUCHING_MM = 0.01
_UNDER_MM = 0.2
"""Ground that ends this near to the middle of a line still lies under it."""

_UNCRITICAL = 20
"""A line shorter than this part of a wavelength may have any impedance."""

_EFFECTIVE = 3.3
"""Permittivity that a wave on a 50 Ω microstrip over FR-4 meets (Hammerstad and Jensen 1980)."""


def at_edge(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Distance of each radiating body from the outer edge."""
    shape = material(board)
    for part in antennas(board):
        zone = zone_of(board, part)
        if not isinstance(zone, Zone):
            yield zone
        elif shape is None:
            yield Unknown(part.ref, (CLOSED,))
        else:
            yield _edge(part, zone, shape, rule.limit("distance").high)


def _edge(part: Part, zone: Zone, shape: BaseGeometry, most: float) -> Verdict:
    outer = shapely.union_all([shapely.Polygon(p.exterior) for p in _polygons(shape)])
    body = zone.radiator.body
    gap = float(outer.boundary.distance(body))
    if gap <= most or not outer.contains(body):
        return Pass(part.ref)
    centre = body.centroid
    return Fail(
        (part.ref,),
        "inside",
        {"measured": mm(gap)},
        place=place((centre.x, centre.y), zone.radiator.footprint.side),
        measured=Measured(round(gap, 2), "mm"),
        limit=Limit(None, most, "mm"),
        doubt=zone.guessed,
    )


def _polygons(shape: BaseGeometry) -> list[shapely.Polygon]:
    return [p for p in shapely.get_parts(shape).tolist() if isinstance(p, shapely.Polygon)]


# -- feed ---------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Feed:
    """The line on one net of the feed: its tracks, its length and its usual width, in mm."""

    net: str
    tracks: tuple[Track, ...]
    length: float
    width: float
    layer: str


def feeds(board: Board, part: Part) -> list[Feed]:
    """The nets from the antenna through series parts to the radio, longest line first."""
    starts = [net for net in part.nets if not ends(board, net)]
    nets = {net for start in starts for net in walk(board, part, start, through=()).nets}
    by_net = board.once("tracks by net", lambda: _tracks_by_net(layout_of(board)))
    found = [_feed(net, by_net[net]) for net in sorted(nets) if net in by_net]
    return sorted(found, key=lambda f: (-f.length, f.net))


def _tracks_by_net(layout: Layout) -> dict[str, list[Track]]:
    by_net: dict[str, list[Track]] = defaultdict(list)
    for track in layout.tracks:
        if track.net is not None and track.width > 0:
            by_net[track.net].append(track)
    return by_net


def _feed(net: str, tracks: list[Track]) -> Feed:
    spans: dict[tuple[float, str], float] = defaultdict(float)
    for track in tracks:
        spans[(track.width, track.layer)] += sum(s.length for s in strokes(track.shape))
    width, layer = max(spans, key=lambda kind: spans[kind])
    return Feed(net, tuple(tracks), sum(spans.values()), width, layer)


def feed_length(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Length of a feed without any matching part, against the wavelength on the board."""
    wave = wavelength_mm(rule.limit("frequency").high, rule.limit("permittivity").low)
    most = rule.limit("share").high * wave
    for part in board.parts_as("antenna", "antenna-connector"):
        lines = feeds(board, part)
        if not lines:
            yield _no_line(board, part)
            continue
        line = lines[0]
        if line.length <= most or any(_tunable(board, one.net) for one in lines):
            yield Pass(part.ref)
        else:
            words = {"net": line.net, "measured": mm(line.length), "limit": mm(most)}
            yield Fail(
                (part.ref,),
                "long",
                words,
                nets=(line.net,),
                measured=Measured(round(line.length, 2), "mm"),
                limit=Limit(None, round(most, 2), "mm"),
            )


def _tunable(board: Board, net: str) -> bool:
    """Whether the net has pads for a matching part, fitted or not."""
    pins = board.circuit.pins_on(net)
    return any(board.role(pin.ref).name in (*MATCHING, "balun") for pin in pins)


def _no_line(board: Board, part: Part) -> Verdict:
    if layout_of(board).tracks:
        return Pass(part.ref)  # the feed is joined pad to pad or by a poured area
    return Unknown(part.ref, (Need("the tracks of the board", "the board file: lay it out first"),))


def feed_impedance(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Impedance of the longest line of each feed over every permittivity it may have."""
    least = wavelength_mm(rule.limit("frequency").high, _EFFECTIVE) / _UNCRITICAL
    for part in board.parts_as("antenna", "antenna-connector"):
        lines = feeds(board, part)
        if not lines:
            yield _no_line(board, part)
            continue
        guided = [g for g in (_guided(board, part, line) for line in lines) if g is not None]
        line = max(guided, key=lambda g: g.length, default=None)
        if line is None or line.length < least:
            yield Pass(part.ref)
        else:
            yield _impedance(board, rule, part, line)


def _guided(board: Board, part: Part, line: Feed) -> Feed | None:
    """The line outside the antenna's clear zone: what lies inside belongs to the antenna."""
    zone = zone_of(board, part) if board.role(part.ref).name == "antenna" else None
    if not isinstance(zone, Zone):
        return line
    room = shapely.union_all([*zone.spots, zone.radiator.body])
    outside = [t for t in line.tracks if not room.covers(_middle(t))]
    length = sum(float(shapely.LineString(path(t.shape)).difference(room).length) for t in outside)
    return replace(_feed(line.net, outside), length=length) if outside else None


def _impedance(board: Board, rule: Rule, part: Part, line: Feed) -> Verdict:
    ground = _ground_beneath(board, line)
    if isinstance(ground, Need):
        return Unknown(part.ref, (ground,))
    height, stated = ground
    usual = rule.limit("permittivity")
    low, high = (stated, stated) if stated else (usual.low, usual.high)
    gap = _gap_beside(board, line)
    copper = board.manifest.board.copper_mm or 0.035

    def line_of(permittivity: float) -> LineImpedance:
        if gap < 2 * height:
            return coplanar(line.width, gap, height, permittivity)
        return microstrip(line.width, height, permittivity, copper)

    ohms = Range(line_of(high).ohms, line_of(low).ohms)
    wanted = rule.limit("impedance")
    inside = ohms.within(wanted.low, wanted.high)
    if inside:
        return Pass(part.ref)
    if inside is None:
        what = "the permittivity of the laminate under the feed"
        return Unknown(part.ref, (Need(what, "the board file: state the stack-up"),))
    words = {
        "net": line.net,
        "width": mm(line.width),
        "height": mm(height),
        "measured": f"{ohms.middle:.0f} Ω",
    }
    return Fail(
        (part.ref,),
        "off",
        words,
        nets=(line.net,),
        place=place(line.tracks[0].shape.start, side_of(line.layer)),
        measured=Measured(round(ohms.middle, 1), "Ω"),
        limit=Limit(wanted.low, wanted.high, "Ω"),
    )


def _ground_beneath(board: Board, line: Feed) -> tuple[float, float | None] | Need:
    """Laminate between the line and the nearest layer whose ground lies under most of it, and its
    permittivity where the stack-up states it."""
    names = list(layout_of(board).copper_layers)
    if line.layer not in names:
        where = "the board file: list it among the copper layers"
        return Need(f"where the layer {line.layer} lies, on which net {line.net} runs", where)
    middles = [_middle(t) for t in line.tracks if t.layer == line.layer]
    order = sorted(
        (abs(names.index(n) - names.index(line.layer)), n) for n in names if n != line.layer
    )
    for _, name in order:
        layer = copper_of(board).layers.get(name)
        hits = [m for m in middles if layer and _on_ground(board, layer, m)]
        if len(hits) >= 0.6 * len(middles):
            return _laminate(board, line.layer, name)
    return Need(
        f"the ground under the feed of net {line.net}", "the board file: fill all zones and save"
    )


def _on_ground(board: Board, layer: LayerCopper, at: shapely.Point) -> bool:
    near = (p for p in layer.pours_near(at, _UNDER_MM) if board.is_ground(p.net))
    return any(p.polygon.distance(at) < _UNDER_MM for p in near)


def _middle(track: Track) -> shapely.Point:
    (stroke,) = strokes(track.shape)
    return shapely.Point(
        (stroke.start[0] + stroke.end[0]) / 2, (stroke.start[1] + stroke.end[1]) / 2
    )


def _laminate(board: Board, first: str, second: str) -> tuple[float, float | None] | Need:
    layout = layout_of(board)
    names = [s.name for s in layout.stack]
    if first in names and second in names:
        a, b = sorted((names.index(first), names.index(second)))
        between = [s for s in layout.stack[a + 1 : b] if s.kind != "copper"]
        heights = [s.thickness_mm for s in between if s.thickness_mm]
        known = [s.permittivity for s in between if s.permittivity]
        if heights and len(heights) == len(between):
            every = len(known) == len(between)
            return math.fsum(heights), math.fsum(known) / len(known) if every else None
    thickness = board.manifest.board.thickness_mm or layout.thickness_mm or 0.0
    height = thickness - 2 * (board.manifest.board.copper_mm or 0.035)
    if height > 0 and len(layout.copper_layers) == 2:
        return height, None
    what = f"the laminate between {first} and {second}"
    return Need(what, "the board file: state the stack-up with thicknesses")


def _to_ground(board: Board, layer: LayerCopper, at: shapely.Point) -> float:
    """Distance in mm to the nearest pour of ground that comes within reach of a coplanar line."""
    grounds = (p for p in layer.pours_near(at, _BESIDE_MM) if board.is_ground(p.net))
    return min((float(p.polygon.distance(at)) - p.grow for p in grounds), default=math.inf)


def _gap_beside(board: Board, line: Feed) -> float:
    """Usual distance in mm from the line to ground copper on its own layer; without end where
    there is none near it, or where it touches the line."""
    layer = copper_of(board).layers[line.layer]
    gaps = sorted(
        _to_ground(board, layer, _middle(t)) - t.width / 2
        for t in line.tracks
        if t.layer == line.layer
    )
    gap = gaps[len(gaps) // 2]
    return gap if gap > _TOUCHING_MM else math.inf
