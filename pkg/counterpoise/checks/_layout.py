"""What every rule on the layout asks for: copper, board material, places."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from counterpoise.estimates.area import board_outline
from counterpoise.geometry.copper import Copper
from counterpoise.geometry.outline import Loop
from counterpoise.geometry.pads import drawing_cores, polygonal
from counterpoise.model.facts import Need, Place
from counterpoise.model.layout import BACK, XY, Footprint, Layout
from counterpoise.roles.board import Board

CLOSED = Need("a closed outline", "the board file: draw a closed edge on the layer Edge.Cuts")


def layout_of(board: Board) -> Layout:
    """The layout; an empty one where there is none."""
    return board.layout or Layout()


def copper_of(board: Board) -> Copper:
    """All copper by layer."""
    return board.once("copper", lambda: Copper(layout_of(board)))


def ring(loop: Loop) -> BaseGeometry:
    """The flattened inside of a loop."""
    return polygonal(shapely.Polygon(loop.points))


def material(board: Board) -> BaseGeometry | None:
    """The board (all boards of a panel) less its cut-outs; None while the edge is not closed."""

    def work() -> BaseGeometry | None:
        edge = board_outline(board)
        if not edge.closed:
            return None
        made = [
            ring(b.outer).difference(shapely.union_all([ring(c) for c in b.cutouts]))
            for b in edge.boards
        ]
        return shapely.union_all(made)

    return board.once("material", work)


def edge_lines(board: Board) -> BaseGeometry | None:
    """The edge itself, outer and inner; None while it is not closed."""
    shape = material(board)
    return None if shape is None or shape.is_empty else shape.boundary


def body_of(footprint: Footprint) -> BaseGeometry | None:
    """The part's room on the board: the hull of its courtyard, else of what fab and silk draw."""
    for kind in (".CrtYd", ".Fab", ".SilkS"):
        cores = [
            core.shape
            for d in footprint.drawings
            if d.layer.endswith(kind)
            for core in drawing_cores(d)
        ]
        hull = shapely.union_all(cores).convex_hull
        if hull.area > 0:
            return hull
    return None


def place(at: XY, side: str) -> Place:
    """A place for a finding, rounded to a micrometre."""
    return Place(round(at[0], 3) + 0.0, round(at[1], 3) + 0.0, side)


def side_of(layer: str) -> str:
    """The side a person looks at to see the layer: back for B.Cu, else front."""
    return BACK if layer.startswith("B.") else "front"


def mm(value: float) -> str:
    """A length for people: two figures after the point, no more than it needs."""
    return f"{value:.2f}".rstrip("0").rstrip(".") + " mm"
