"""How much of a layer is copper: areas that count overlapping copper of one net once."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from counterpoise.geometry.copper import Copper, LayerCopper
from counterpoise.geometry.pads import QUARTER


def copper_areas(copper: Copper) -> dict[str, float]:
    """Area of copper in mm² by layer, front to back.

    Copper of different nets never overlaps on a board that can be made, so that each net is united
    on its own: far cheaper than one union of the whole layer, and equal to it.
    """
    return {name: _area(layer) for name, layer in copper.layers.items()}


def _area(layer: LayerCopper) -> float:
    items: dict[str | None, list[BaseGeometry]] = defaultdict(list)
    pours: dict[str | None, list[BaseGeometry]] = defaultdict(list)
    if len(layer.cores):
        grown = shapely.buffer(layer.cores, layer.radii, quad_segs=QUARTER)
        flat = layer.radii <= 0
        grown[flat] = layer.cores[flat]
        for item, shape in zip(layer.items, grown, strict=True):
            items[item.net].append(shape)
    for pour in layer.pours:
        polygon = pour.polygon
        pours[pour.net].append(polygon.buffer(pour.grow, quad_segs=4) if pour.grow > 0 else polygon)
    nets = sorted({*items, *pours}, key=lambda net: net or "")
    return sum(_united(items[net], pours[net]) for net in nets)


def _united(items: list[BaseGeometry], pours: list[BaseGeometry]) -> float:
    """Area of the union of both. Most items lie wholly in a pour and add nothing; of the others
    only their overlap with the pours is needed, never a union of the large pours."""
    if not items or not pours:
        return float(shapely.union_all([*items, *pours]).area)
    first, second = shapely.STRtree(pours).query(pours, predicate="intersects")
    if (first < second).any():
        pours = shapely.get_parts(shapely.union_all(pours)).tolist()
    open_ = np.ones(len(items), dtype=bool)
    open_[shapely.STRtree(items).query(pours, predicate="covers")[1]] = False
    rest = shapely.get_parts(shapely.union_all(np.array(items, dtype=object)[open_]))
    which, part = shapely.STRtree(rest).query(pours, predicate="intersects")
    shared = shapely.intersection(np.array(pours, dtype=object)[which], rest[part])
    total = shapely.area(pours).sum() + shapely.area(rest).sum() - shapely.area(shared).sum()
    return float(total)
