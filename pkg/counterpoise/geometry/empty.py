"""Regions of a board that carry nothing: where material could be cut away."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely.geometry import Point
from shapely.geometry import Polygon as Shapely
from shapely.geometry.base import BaseGeometry

from counterpoise.geometry.bodies import drawn_box, on_board, pads_box
from counterpoise.geometry.copper import Copper
from counterpoise.geometry.outline import Piece
from counterpoise.model.layout import Layout

ROOM = 0.5
"""Millimetres kept at least round parts, tracks and vias: routing tolerance and a clearance."""


@dataclass(frozen=True, slots=True)
class Empty:
    """A region that could be cut out: its shape, area (mm²), centre, and the pour in it by layer (mm²)."""

    shape: BaseGeometry
    area: float
    at: tuple[float, float]
    pour: dict[str, float]


def board_shape(piece: Piece) -> Shapely:
    """The board as a polygon."""
    return Shapely(piece.outer.points, [c.points for c in piece.cutouts])


def empty_regions(
    layout: Layout,
    copper: Copper,
    piece: Piece,
    *,
    web: float,
    corner: float,
    least: float,
    kept: tuple[BaseGeometry, ...] = (),
    ground: frozenset[str] = frozenset(),
) -> list[Empty]:
    """Regions of at least ``least`` mm² that could be cut out, largest first.

    ``web`` mm of board stay round each and along the edge; corners are rounded to ``corner`` mm, as a
    milling cutter leaves them. Parts (by courtyard), pads, tracks, vias and ``kept`` stay; poured
    copper of the nets in ``ground`` may go with the board.
    """
    # Half a web on either side of a lone track, so that what stays between two cut-outs is a web.
    room = max(ROOM, web / 2)
    taken = [*_bodies(layout, room), *_wires(copper, room), *kept]
    free = board_shape(piece).buffer(-web).difference(shapely.union_all(taken))
    opened: BaseGeometry = free.buffer(-corner).buffer(corner, quad_segs=8)
    other = [p for layer in copper.layers.values() for p in layer.pours if p.net not in ground]
    if other:
        opened = opened.difference(shapely.union_all([p.polygon for p in other]))
    found: list[Empty] = []
    for region in sorted(_parts(opened), key=lambda r: (-r.area, r.bounds)):
        # Two lobes of one free area may come close where the cutter cannot pass: a web stays there.
        near = [e.shape for e in found if e.shape.distance(region) < web]
        if near:
            rest = region.difference(shapely.union_all(near).buffer(web))
            found += [
                _empty(p, copper)
                for p in _parts(rest.buffer(-corner).buffer(corner, quad_segs=8))
                if p.area >= least
            ]
        elif region.area >= least:
            found.append(_empty(region, copper))
    return sorted(found, key=lambda e: (-e.area, e.at))


def _parts(shape: BaseGeometry) -> list[BaseGeometry]:
    return [p for p in shapely.get_parts(shape).tolist() if not p.is_empty]


def _bodies(layout: Layout, room: float) -> list[BaseGeometry]:
    found: list[BaseGeometry] = []
    for footprint in layout.footprints:
        box = drawn_box(footprint, "CrtYd", "Fab", "SilkS") or pads_box(footprint)
        if box is not None:
            found.append(on_board(footprint, box).buffer(room))
        found += [
            Point(pad.drill.at).buffer(max(pad.drill.width, pad.drill.height) / 2 + room)
            for pad in footprint.pads
            if pad.drill is not None
        ]
    return found


def _wires(copper: Copper, room: float) -> list[BaseGeometry]:
    found: list[BaseGeometry] = []
    for layer in copper.layers.values():
        if len(layer.cores):
            found += list(shapely.buffer(layer.cores, layer.radii + room, quad_segs=4))
    return found


def _empty(shape: BaseGeometry, copper: Copper) -> Empty:
    # Pour keeps its clearance from the new edge too: that band goes as well.
    gone = shape.buffer(0.3)
    pour = {
        name: sum(p.within(gone).area for p in layer.pours) for name, layer in copper.layers.items()
    }
    inside = shape.representative_point()
    return Empty(shape, shape.area, (inside.x, inside.y), pour)
