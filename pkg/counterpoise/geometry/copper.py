"""All copper of a layout, layer by layer, ready for questions of nearness and cover.

Tracks, vias and pads keep centre line and half width (exact); poured copper keeps its polygons.
Nothing is ever united over the whole board: each question asks a search tree for what is near.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Point
from shapely.geometry import Polygon as Shapely
from shapely.geometry.base import BaseGeometry

from counterpoise.geometry.pads import QUARTER, drawing_cores, pad_cores, polygonal
from counterpoise.geometry.strokes import path
from counterpoise.model.layout import XY, Layout, Line, Pad

Shapes: TypeAlias = NDArray[np.object_]
Numbers: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Item:
    """What one piece of copper is.

    ``kind`` is track, via, pad, drawing or fill; ``ref`` and ``pin`` name the owner of pads and
    drawings; ``width`` in mm is a track's; ``order`` the place in its list of the layout.
    """

    kind: str
    net: str | None
    at: XY
    ref: str = ""
    pin: str = ""
    width: float = 0.0
    order: int = -1


@dataclass(frozen=True)
class LayerCopper:
    """The copper of one layer: items with core shapes and radii, and the poured areas."""

    name: str
    items: tuple[Item, ...]
    cores: Shapes
    radii: Numbers
    pours: tuple[Pour, ...]

    @cached_property
    def tree(self) -> shapely.STRtree:
        """Search tree over the cores."""
        return shapely.STRtree(self.cores)

    @cached_property
    def most(self) -> float:
        """The largest radius."""
        return float(self.radii.max()) if len(self.radii) else 0.0

    @cached_property
    def _pour_tree(self) -> shapely.STRtree:
        return shapely.STRtree([shapely.box(*pour.box) for pour in self.pours])

    def pours_near(self, zone: BaseGeometry, within: float = 0.0) -> list[Pour]:
        """The pours whose extent comes within ``within`` mm of that of ``zone``, in order."""
        if zone.is_empty or not self.pours:
            return []
        x1, y1, x2, y2 = zone.bounds
        near = shapely.box(x1 - within, y1 - within, x2 + within, y2 + within)
        return [self.pours[k] for k in sorted(self._pour_tree.query(near).tolist())]

    def near(self, zone: BaseGeometry, within: float = 0.0) -> list[int]:
        """Indices of items whose copper lies within ``within`` mm of ``zone``, in order."""
        if not len(self.cores):
            return []
        found = self.tree.query(zone.buffer(self.most + within).envelope)
        gaps = shapely.distance(self.cores[found], zone) - self.radii[found]
        return sorted(int(i) for i in found[gaps <= within])

    def shape(self, index: int) -> BaseGeometry:
        """The copper of one item as a polygon."""
        core, radius = self.cores[index], float(self.radii[index])
        grown: BaseGeometry = core.buffer(radius, quad_segs=QUARTER) if radius > 0 else core
        return grown


@dataclass(frozen=True)
class Pour:
    """One poured polygon as the file has it: holes slit open; ``grow`` mm wider all round."""

    net: str | None
    points: tuple[XY, ...]
    grow: float
    order: int

    @cached_property
    def polygon(self) -> BaseGeometry:
        """The copper, made valid, without its growth."""
        return polygonal(Shapely(np.array(self.points)))

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        """Its extent with its growth."""
        xs, ys = [p[0] for p in self.points], [p[1] for p in self.points]
        g = self.grow
        return min(xs) - g, min(ys) - g, max(xs) + g, max(ys) + g

    def within(self, zone: BaseGeometry) -> BaseGeometry:
        """The copper inside ``zone`` as a polygon."""
        if zone.is_empty:
            return Shapely()
        x1, y1, x2, y2 = zone.bounds
        a, b, c, d = self.box
        if a > x2 or b > y2 or c < x1 or d < y1:
            return Shapely()
        if self.grow <= 0:
            return self.polygon.intersection(zone)
        g = self.grow
        near = self.polygon.intersection(
            shapely.box(x1 - 2 * g, y1 - 2 * g, x2 + 2 * g, y2 + 2 * g)
        )
        return near.buffer(g, quad_segs=4).intersection(zone)


class Copper:
    """The copper of a whole layout by layer."""

    def __init__(self, layout: Layout) -> None:
        self._items: dict[str, list[Item]] = defaultdict(list)
        self._cores: dict[str, list[BaseGeometry]] = defaultdict(list)
        self._radii: dict[str, list[float]] = defaultdict(list)
        self._pours: dict[str, list[Pour]] = defaultdict(list)
        self._take_tracks(layout)
        self._take_vias(layout)
        self._take_pads(layout)
        self._take_drawings(layout)
        for order, zone in enumerate(layout.zones):
            for layer, fill in zone.fills:
                if len(fill.points) > 2:
                    self._pours[layer].append(Pour(zone.net, fill.points, zone.grow_mm, order))
        names = [n for n in layout.copper_layers if n in self._items or n in self._pours]
        self.layers = {name: self._layer(name) for name in names}

    def _layer(self, name: str) -> LayerCopper:
        cores = np.empty(len(self._cores[name]), dtype=object)
        cores[:] = self._cores[name]
        radii = np.array(self._radii[name], dtype=float)
        return LayerCopper(name, tuple(self._items[name]), cores, radii, tuple(self._pours[name]))

    def _add(self, layer: str, item: Item, core: BaseGeometry, radius: float) -> None:
        self._items[layer].append(item)
        self._cores[layer].append(core)
        self._radii[layer].append(radius)

    def _take_tracks(self, layout: Layout) -> None:
        runs = [
            (t.shape.start, t.shape.end) if isinstance(t.shape, Line) else path(t.shape)
            for t in layout.tracks
        ]
        counts = [len(run) for run in runs]
        flat = np.array([p for run in runs for p in run], dtype=float).reshape(-1, 2)
        ends = np.repeat(np.arange(len(runs)), counts)
        lines: object = shapely.linestrings(flat, indices=ends) if runs else []
        assert isinstance(lines, Iterable), "indices make a list"
        for order, (track, line) in enumerate(zip(layout.tracks, lines, strict=True)):
            item = Item("track", track.net, track.shape.start, width=track.width, order=order)
            self._add(track.layer, item, line, track.width / 2)

    def _take_vias(self, layout: Layout) -> None:
        span = {name: i for i, name in enumerate(layout.copper_layers)}
        for order, via in enumerate(layout.vias):
            ends = [span[name] for name in via.layers if name in span]
            if not ends:
                continue
            item, core = Item("via", via.net, via.at, order=order), Point(via.at)
            for name in layout.copper_layers[min(ends) : max(ends) + 1]:
                self._add(name, item, core, via.size / 2)

    def _take_pads(self, layout: Layout) -> None:
        for footprint in layout.footprints:
            for order, pad in enumerate(footprint.pads):
                if not pad.copper or _bare_hole(pad):
                    continue
                item = Item("pad", pad.net, pad.at, footprint.ref, pad.number, order=order)
                for core in pad_cores(pad):
                    for name in pad.copper:
                        self._add(name, item, core.shape, core.radius)

    def _take_drawings(self, layout: Layout) -> None:
        own = [("", d) for d in layout.drawings if d.layer.endswith(".Cu")]
        parts = [
            (f.ref, d) for f in layout.footprints for d in f.drawings if d.layer.endswith(".Cu")
        ]
        for ref, drawing in own + parts:
            for core in drawing_cores(drawing):
                at = core.shape.representative_point()
                item = Item("drawing", drawing.net, (at.x, at.y), ref, width=drawing.width)
                self._add(drawing.layer, item, core.shape, core.radius)


def _bare_hole(pad: Pad) -> bool:
    """A pad no larger than its hole has no copper, whatever layers it names."""
    drill = pad.drill
    return drill is not None and max(pad.size) <= max(drill.width, drill.height) + 1e-6


def segments(points: tuple[XY, ...]) -> list[LineString]:
    """The single strokes of a closed ring."""
    return [LineString(pair) for pair in pairwise((*points, points[0])) if pair[0] != pair[1]]
