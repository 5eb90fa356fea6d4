"""How far a pin's pad stands from the nearest of some parts' pads on the same net."""

from __future__ import annotations

import math
from collections.abc import Iterable

from counterpoise.model.circuit import Pin
from counterpoise.model.layout import Pad
from counterpoise.roles.board import Board


def nearest_pad(board: Board, pin: Pin, refs: Iterable[str]) -> tuple[float, str] | None:
    """Least distance (mm, edge to edge of the pads' boxes) and the ref it leads to; None when the
    layout does not show both."""
    if board.layout is None:
        return None
    footprint = board.layout.footprint(pin.ref)
    mine = [pad for pad in footprint.pads if pad.number == pin.number] if footprint else []
    found: list[tuple[float, str]] = []
    for ref in refs:
        other = board.layout.footprint(ref)
        theirs = [pad for pad in other.pads if pad.net == pin.net] if other else []
        found += [(pad_gap(a, b), ref) for a in mine for b in theirs]
    return min(found) if found else None


def pad_gap(a: Pad, b: Pad) -> float:
    """Gap in mm between two pads, each taken as the box around its turned copper."""
    (ax, ay), (bx, by) = _half(a), _half(b)
    dx = max(0.0, abs(a.at[0] - b.at[0]) - ax - bx)
    dy = max(0.0, abs(a.at[1] - b.at[1]) - ay - by)
    return math.hypot(dx, dy)


def _half(pad: Pad) -> tuple[float, float]:
    c, s = abs(math.cos(math.radians(pad.angle))), abs(math.sin(math.radians(pad.angle)))
    w, h = pad.size
    return (w * c + h * s) / 2, (w * s + h * c) / 2
