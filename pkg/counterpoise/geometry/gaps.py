"""Which copper of different nets comes near to which, layer by layer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from counterpoise.geometry.copper import Item, LayerCopper, Pour, Shapes
from counterpoise.model.layout import XY


@dataclass(frozen=True, slots=True)
class Near:
    """Two pieces of copper of different nets: their clear distance in mm (0 where they touch)."""

    distance: float
    first: Item
    second: Item
    layer: str
    at: XY


def near_pairs(layer: LayerCopper, within: float) -> Iterator[Near]:
    """Pairs of different nets nearer than ``within`` mm.

    Copper without a net is left out: it belongs to whatever it touches.
    """
    nets = _numbers(layer)
    yield from _items(layer, nets, within)
    yield from _pours(layer, within)


def _numbers(layer: LayerCopper) -> NDArray[np.int64]:
    known: dict[str, int] = {}
    return np.array(
        [-1 if i.net is None else known.setdefault(i.net, len(known)) for i in layer.items],
        dtype=np.int64,
    )


def _boxes(shapes: Shapes, wide: NDArray[np.float64]) -> Shapes:
    x1, y1, x2, y2 = shapely.bounds(shapes).T
    boxes: Shapes = shapely.box(x1 - wide, y1 - wide, x2 + wide, y2 + wide)
    return boxes


def _items(layer: LayerCopper, nets: NDArray[np.int64], within: float) -> Iterator[Near]:
    live = np.flatnonzero(nets >= 0)
    if not len(live):
        return
    cores, radii, own = layer.cores[live], layer.radii[live], nets[live]
    boxes = _boxes(cores, radii + within / 2)
    a, b = shapely.STRtree(boxes).query(boxes)
    keep = (a < b) & (own[a] != own[b])
    a, b = a[keep], b[keep]
    gaps = shapely.distance(cores[a], cores[b]) - radii[a] - radii[b]
    for k in np.flatnonzero(gaps < within).tolist():
        i, j = int(live[a[k]]), int(live[b[k]])
        at = _between(layer.cores[i], layer.cores[j])
        yield Near(max(0.0, float(gaps[k])), layer.items[i], layer.items[j], layer.name, at)


def _between(a: BaseGeometry, b: BaseGeometry) -> XY:
    middle = shapely.shortest_line(a, b).interpolate(0.5, normalized=True)
    return float(middle.x), float(middle.y)


def _pours(layer: LayerCopper, within: float) -> Iterator[Near]:
    pours = [p for p in layer.pours if p.net is not None]
    if not pours:
        return
    rings = [np.asarray((*p.points, p.points[0])) for p in pours]
    ends = [np.stack((r[:-1], r[1:]), axis=1) for r in rings]
    strokes: Shapes = np.atleast_1d(np.asarray(shapely.linestrings(np.concatenate(ends))))
    owner = np.repeat(np.arange(len(pours)), [len(e) for e in ends])
    grow = np.array([p.grow for p in pours])
    ids = {net: k for k, net in enumerate(sorted({p.net for p in pours if p.net}))}
    net_of = np.array([ids[p.net or ""] for p in pours])
    tree = shapely.STRtree(_boxes(strokes, grow[owner] + within / 2))
    yield from _pour_items(layer, pours, strokes, owner, tree, within)
    yield from _pour_pours(layer, pours, strokes, owner, net_of, tree, within)


def _pour_items(
    layer: LayerCopper,
    pours: list[Pour],
    strokes: Shapes,
    owner: NDArray[np.int64],
    tree: shapely.STRtree,
    within: float,
) -> Iterator[Near]:
    live = np.array([k for k, i in enumerate(layer.items) if i.net is not None], dtype=np.int64)
    if not len(live):
        return
    radii = layer.radii[live]
    a, s = tree.query(_boxes(layer.cores[live], radii + within / 2))
    other = np.array([p.net for p in pours], dtype=object)
    names = np.array([layer.items[k].net for k in live], dtype=object)
    keep = names[a] != other[owner[s]]
    a, s = a[keep], s[keep]
    grow = np.array([p.grow for p in pours])[owner[s]]
    gaps = shapely.distance(layer.cores[live[a]], strokes[s]) - radii[a] - grow
    best: dict[tuple[int, int], tuple[float, int]] = {}
    for k in np.flatnonzero(gaps < within).tolist():
        key = (int(live[a[k]]), int(owner[s[k]]))
        if key not in best or gaps[k] < best[key][0]:
            best[key] = (float(gaps[k]), int(s[k]))
    for (index, which), (gap, stroke) in sorted(best.items()):
        at = _between(layer.cores[index], strokes[stroke])
        item = Item("fill", pours[which].net, at, order=pours[which].order)
        yield Near(max(0.0, gap), layer.items[index], item, layer.name, at)


def _pour_pours(
    layer: LayerCopper,
    pours: list[Pour],
    strokes: Shapes,
    owner: NDArray[np.int64],
    net_of: NDArray[np.int64],
    tree: shapely.STRtree,
    within: float,
) -> Iterator[Near]:
    if len(set(net_of.tolist())) < 2:
        return
    a, b = tree.query(tree.geometries)
    keep = (a < b) & (net_of[owner[a]] != net_of[owner[b]])
    a, b = a[keep], b[keep]
    grow = np.array([p.grow for p in pours])
    gaps = shapely.distance(strokes[a], strokes[b]) - grow[owner[a]] - grow[owner[b]]
    best: dict[tuple[int, int], int] = {}
    for k in np.flatnonzero(gaps < within).tolist():
        key = (int(owner[a[k]]), int(owner[b[k]]))
        if key not in best or gaps[k] < gaps[best[key]]:
            best[key] = k
    for (i, j), k in sorted(best.items()):
        at = _between(strokes[a[k]], strokes[b[k]])
        first = Item("fill", pours[i].net, at, order=pours[i].order)
        second = Item("fill", pours[j].net, at, order=pours[j].order)
        yield Near(max(0.0, float(gaps[k])), first, second, layer.name, at)
