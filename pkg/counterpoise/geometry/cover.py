"""How much of a layer is copper: areas that count overlapping copper of one net once."""

from __future__ import annotations

from collections import defaultdict

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
    shapes: dict[str | None, list[BaseGeometry]] = defaultdict(list)
    if len(layer.cores):
        grown = shapely.buffer(layer.cores, layer.radii, quad_segs=QUARTER)
        flat = layer.radii <= 0
        grown[flat] = layer.cores[flat]
        for item, shape in zip(layer.items, grown, strict=True):
            shapes[item.net].append(shape)
    for pour in layer.pours:
        polygon = pour.polygon
        shapes[pour.net].append(
            polygon.buffer(pour.grow, quad_segs=4) if pour.grow > 0 else polygon
        )
    return sum(shapely.union_all(shapes[net]).area for net in sorted(shapes, key=lambda n: n or ""))
