"""Metal near antennas: cells, shells and screws on the board, and the cell that lies beside it."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from counterpoise.catalog.rules import Rule
from counterpoise.checks._antenna_zone import Zone, antennas, zone_of
from counterpoise.checks._layout import body_of, layout_of, material, mm, place
from counterpoise.geometry.bodies import on_board, pads_box
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.layout import Footprint
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import key_of

_METAL = {"cell": "cell", "usb-connector": "metal shell", "motor": "motor"}
_SCREW_MM = 2.0


def near_metal(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Distance of cells, shells and screws from each radiating body."""
    least = rule.limit("distance").low
    metal = list(_metal(board))
    for part in antennas(board):
        zone = zone_of(board, part)
        if not isinstance(zone, Zone):
            yield zone
            continue
        near = []
        for footprint, what, body in metal:
            gap = float(body.distance(zone.radiator.body))
            if gap < least:
                near.append((gap, footprint, what))
        for gap, footprint, what in sorted(near, key=lambda n: (n[0], n[1].ref)):
            words = {"other": footprint.ref, "what": what, "measured": mm(gap), "limit": mm(least)}
            yield Fail(
                (part.ref, footprint.ref),
                "near",
                words,
                place=place(footprint.at, footprint.side),
                measured=Measured(round(gap, 2), "mm"),
                limit=Limit(least, None, "mm"),
                doubt=zone.guessed,
            )
        if not near:
            yield _off_board(board, part, zone, least)


def _metal(board: Board) -> Iterator[tuple[Footprint, str, BaseGeometry]]:
    for footprint in layout_of(board).footprints:
        role = board.role(footprint.ref).name
        if role in _METAL:
            body = body_of(footprint) or _pads_of(footprint)
            if body is not None:
                yield footprint, _METAL[role], body
        elif role == "mechanical":
            for pad in footprint.pads:
                if pad.drill is not None and pad.drill.width >= _SCREW_MM:
                    head = shapely.Point(pad.drill.at).buffer(pad.drill.width)
                    yield footprint, "screw", head


def _pads_of(footprint: Footprint) -> BaseGeometry | None:
    """The room of the pads, which is the least that a part takes whose body nobody draws."""
    box = pads_box(footprint)
    return None if box is None else on_board(footprint, box)


# -- metal that is not on the board --------------------------------------------------------------
def _off_board(board: Board, part: Part, zone: Zone, least: float) -> Verdict:
    """By the stated distance; else by whether a loose cell of the stated size finds a place over
    the board that keeps clear of the antenna."""
    what = f"how far the cell lies from the antenna {part.ref}"
    where = f'board.toml: [parts.{key_of(part.ref)}] metal_distance = "10 mm"'
    unknown = Unknown(part.ref, (Need(what, where),))
    stated = board.known(part, "metal_distance")
    if not isinstance(stated, Known):
        return Pass(part.ref) if _cell_keeps_clear(board, zone, least) else unknown
    enough = stated.value.at_least(least)
    if enough is None:
        return unknown
    if enough:
        return Pass(part.ref)
    gap = stated.value.high
    return Fail(
        (part.ref,),
        "beside",
        {"measured": mm(gap), "limit": mm(least)},
        measured=Measured(round(gap, 2), "mm"),
        limit=Limit(least, None, "mm"),
    )


def _cell_keeps_clear(board: Board, zone: Zone, least: float) -> bool:
    """Whether the cell is none that lies loose over the board, or has a place there far enough
    away. The farthest place of a rectangle is always one of the corners of the room."""
    size, cell, shape = board.manifest.cell.size_mm, board.cell, material(board)
    if size is None or cell is None or shape is None:
        return True
    a, b = sorted(size)[1:]
    footprint = layout_of(board).footprint(cell.ref)
    body = body_of(footprint) if footprint is not None else None
    if body is not None and body.area > 0.5 * a * b:
        return True  # a holder: it is on the board, and measured there
    x1, y1, x2, y2 = shape.bounds
    for w, h in ((a, b), (b, a)):
        if w > x2 - x1 or h > y2 - y1:
            continue
        for x in (x1, x2 - w):
            for y in (y1, y2 - h):
                if shapely.box(x, y, x + w, y + h).distance(zone.radiator.body) >= least:
                    return True
    return False
