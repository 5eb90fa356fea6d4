"""What thinner or missing board does to arms that carry switches, and to antennas."""

from __future__ import annotations

from typing import TYPE_CHECKING

from counterpoise.estimates.area import main_piece
from counterpoise.estimates.stiffness import cantilever
from counterpoise.model.facts import Need
from counterpoise.model.layout import Layout
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from counterpoise.geometry.webs import Arm

SWITCHES = ("push-switch", "change-over-switch", "slide-switch", "encoder")
_WIDEST_MM = 16.0
_PRESS_N = 1.0
"""A firm press where none is stated; common practice, no source."""
_ANTENNA_MM = 6.0
"""Board kept round an antenna: laminate and ground there are part of its tuning."""


def arms_bend(board: Board, before_mm: float, after_mm: float) -> str:
    """How much more the arm that bends most gives way at another thickness; "" without an arm."""
    worst = ("", 0.0, 0.0, 0.0)
    for ref, arm, force in _arms(board):
        was = cantilever(force, arm.length, arm.width, before_mm).deflection_mm.high
        then = cantilever(force, arm.length, arm.width, after_mm).deflection_mm.high
        if then > worst[2]:
            worst = (ref, was, then, force)
    ref, was, then, force = worst
    if not ref:
        return ""
    return f"the arm of {ref} bends up to {then:.2g} mm under {force:g} N, now {was:.2g} mm"


def _arms(board: Board) -> list[tuple[str, Arm, float]]:
    """Each switch on an arm of the board, the arm, and the force (N) on it."""
    piece = main_piece(board)
    if isinstance(piece, Need):
        return []

    def work() -> list[tuple[str, Arm, float]]:
        from counterpoise.geometry.empty import board_shape
        from counterpoise.geometry.webs import Arms

        shape = board_shape(piece)
        x1, y1, x2, y2 = shape.bounds
        arms = Arms(shape, min(_WIDEST_MM, 0.6 * min(x2 - x1, y2 - y1)))
        found = []
        for part in board.parts_as(*SWITCHES):
            footprint = (board.layout or Layout()).footprint(part.ref)
            arm = arms.at(footprint.at) if footprint is not None else None
            if arm is not None:
                known = board.known(part, "travel_force")
                stated = board.manifest.limits.press_n or _PRESS_N
                force = known.value.high if isinstance(known, Known) else stated
                found.append((part.ref, arm, force))
        return found

    return board.once("shave-arms", work)


def kept_whole(board: Board) -> tuple[BaseGeometry, ...]:
    """What no cut-out may touch: the surroundings of antennas, areas kept free of copper, and arms
    that carry a switch from their root to the switch."""
    from shapely.geometry import LineString, Polygon

    from counterpoise.geometry.antenna import module_end, radiator

    layout = board.layout or Layout()
    kept: list[BaseGeometry] = []
    for part in board.parts_as("antenna", "radio-module", "radio", "controller", "chip"):
        footprint = layout.footprint(part.ref)
        if footprint is None:
            continue
        antenna = board.role(part.ref).name == "antenna"
        found = radiator(footprint, frozenset()) if antenna else module_end(footprint)
        if found is not None:
            kept.append(found.body.buffer(_ANTENNA_MM))
    kept += [
        Polygon(outline.points).buffer(0)
        for zone in layout.zones
        if zone.keepout is not None and zone.keepout.copper
        for outline in zone.outlines
        if len(outline.points) > 2
    ]
    for ref, arm, _ in _arms(board):
        footprint = layout.footprint(ref)
        if footprint is not None:
            kept.append(LineString([arm.root, footprint.at]).buffer(arm.width / 2))
    return tuple(kept)
