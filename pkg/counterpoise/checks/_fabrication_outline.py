"""Whether the edge closes and keeps clear of itself."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import CLOSED, place
from counterpoise.estimates.area import board_outline
from counterpoise.geometry.outline import Gap, Loop
from counterpoise.model.facts import Need
from counterpoise.model.layout import FRONT, XY
from counterpoise.model.verdicts import Fail, Measured, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board

BOARD = "the board"
_MOST = 20
"""Findings of one kind that are told; a drawing with more needs redrawing, not a longer list."""


def open_ends(board: Board, rule: Rule) -> Iterator[Verdict]:
    """One finding a gap; without any stroke there is no outline to judge."""
    edge = board_outline(board)
    if not edge.drawn:
        need = Need(
            "the board outline", "the board file: draw a closed edge on the layer Edge.Cuts"
        )
        yield Unknown(BOARD, (need,))
    elif not edge.gaps:
        yield Pass(BOARD)
    for gap in sorted(edge.gaps, key=lambda g: (g.stray, -g.size, g.at))[:_MOST]:
        yield _gap(gap)


def _gap(gap: Gap) -> Fail:
    spot = place(gap.at, FRONT)
    words = {"x": f"{spot.x_mm:g}", "y": f"{spot.y_mm:g}", "measured": f"{gap.size:.3g} mm"}
    return Fail(
        (gap.owner,) if gap.owner else (),
        "stray" if gap.stray else "gap",
        words,
        place=spot,
        measured=Measured(round(gap.size, 4), "mm"),
        severity=Severity.CAUTION if gap.stray else None,
    )


def crossings(board: Board, rule: Rule) -> Iterator[Verdict]:
    """One finding a place."""
    edge = board_outline(board)
    loops = [loop for b in edge.boards for loop in (b.outer, *b.cutouts)]
    if not loops:
        yield Unknown(BOARD, (CLOSED,))
        return
    spots = [("self", p, loop.owner) for loop in loops for p in _own_crossings(loop)]
    spots += [("overlap", p, owner) for p, owner in _overlaps(loops)]
    if not spots:
        yield Pass(BOARD)
    for case, (x, y), owner in spots[:_MOST]:
        spot = place((x, y), FRONT)
        words = {"x": f"{spot.x_mm:g}", "y": f"{spot.y_mm:g}"}
        yield Fail((owner,) if owner else (), case, words, place=spot)


def _own_crossings(loop: Loop) -> list[XY]:
    ring = shapely.LinearRing(loop.points)
    if ring.is_simple:
        return []
    noded = shapely.node(ring)
    parts = shapely.get_parts(noded)
    ends: dict[XY, int] = {}
    for part in parts:
        for x, y in (part.coords[0], part.coords[-1]):
            key = (round(x, 4), round(y, 4))
            ends[key] = ends.get(key, 0) + 1
    return sorted(p for p, count in ends.items() if count > 2)


def _overlaps(loops: list[Loop]) -> Iterator[tuple[XY, str]]:
    rings = [shapely.LinearRing(loop.points) for loop in loops]
    tree = shapely.STRtree(rings)
    for i, j in sorted(tree.query(rings, predicate="intersects").T.tolist()):
        if i < j:
            shared = rings[i].intersection(rings[j])
            point = shared.representative_point()
            yield (point.x, point.y), loops[i].owner or loops[j].owner
