"""The layout against the placement file: side, position and rotation of each row."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from statistics import median

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import layout_of, mm, place
from counterpoise.checks._turned import is_polar
from counterpoise.geometry.bodies import pads_box
from counterpoise.geometry.pads import turn
from counterpoise.model.bom import Placement
from counterpoise.model.facts import Need
from counterpoise.model.layout import BACK, FRONT, XY, Footprint
from counterpoise.model.verdicts import Fail, Measured, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.refdes import natural

BOARD = "the board"
_EVEN_ROLES = (
    "resistor",
    "capacitor",
    "inductor",
    "ferrite",
    "fuse",
    "crystal",
    "resonator",
    "link",
)


@dataclass(frozen=True, slots=True)
class Sense:
    """How a file writes one side: x as drawn (1) or mirrored (-1), its offset, and angles as
    ``sign * angle + shift``."""

    x_sign: int
    offset: XY
    sign: int
    shift: int


Pair = tuple[Placement, Footprint]


def centroid(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Solve offset, mirror and sense of rotation for each side, then compare part by part."""
    pairs = _pairs(board)
    if not pairs:
        what = "placement rows for parts on the layout"
        yield Unknown(BOARD, (Need(what, 'board.toml: [board] centroid = "…"'),))
        return
    found: list[Verdict] = []
    right = [pair for pair in pairs if pair[0].side == pair[1].side]
    for row, footprint in pairs:
        if row.side != footprint.side:
            words = {"file": row.side, "layout": footprint.side}
            spot = place(footprint.at, footprint.side)
            found.append(Fail((row.ref,), "side", words, place=spot))
    for side in (FRONT, BACK):
        found += _outliers(board, rule, [pair for pair in right if pair[1].side == side])
    yield from found or [Pass(BOARD)]


def _pairs(board: Board) -> list[Pair]:
    layout = layout_of(board)
    counts = Counter(f.ref for f in layout.footprints)
    found = []
    for row in board.design.placements or ():
        footprint = layout.footprint(row.ref)
        if footprint is not None and counts[row.ref] == 1:
            found.append((row, footprint))
    return sorted(found, key=lambda pair: natural(pair[0].ref))


def _offset(pairs: list[Pair], x_sign: int) -> XY:
    x = median(row.x_mm - x_sign * f.at[0] for row, f in pairs)
    return x, median(row.y_mm + f.at[1] for row, f in pairs)


def _miss(row: Placement, footprint: Footprint, x_sign: int, offset: XY) -> float:
    """Distance from where the row puts the part to its origin or the middle of its pads."""
    spots = [footprint.at]
    box = pads_box(footprint)
    if box is not None:
        x, y = turn(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), footprint.angle)
        spots.append((footprint.at[0] + x, footprint.at[1] + y))
    return min(
        math.hypot(row.x_mm - x_sign * x - offset[0], row.y_mm + y - offset[1]) for x, y in spots
    )


def _solve(pairs: list[Pair], most: float) -> Sense:
    """The reading that fits most parts of one side, to ``most`` mm; a tie goes to the plainer one."""
    offsets = {x_sign: _offset(pairs, x_sign) for x_sign in (1, -1)}

    def close(x_sign: int) -> int:
        return sum(_miss(row, f, x_sign, offsets[x_sign]) <= most for row, f in pairs)

    def agree(turn: tuple[int, int]) -> int:
        sign, shift = turn
        return sum(_same(row.angle, sign * f.angle + shift, 1) for row, f in pairs)

    x_sign = max(offsets, key=close)
    sign, shift = max(product((1, -1), (0, 90, 180, 270)), key=agree)
    return Sense(x_sign, offsets[x_sign], sign, shift)


def _same(a: float, b: float, period: int) -> bool:
    full = 360 / period
    return abs((a - b + full / 2) % full - full / 2) < 0.5


def _outliers(board: Board, rule: Rule, pairs: list[Pair]) -> Iterator[Verdict]:
    if len(pairs) < 2:
        return  # a lone part tells the file's sense and nothing against it
    most = rule.limit("distance").high
    sense = _solve(pairs, most)
    for row, footprint in pairs:
        spot = place(footprint.at, footprint.side)
        miss = _miss(row, footprint, sense.x_sign, sense.offset)
        expected = (sense.sign * footprint.angle + sense.shift) % 360
        period = 2 if _even(board, row.ref) else 1
        if miss > most:
            size = Measured(round(miss, 2), "mm")
            words = {"measured": mm(miss)}
            yield Fail((row.ref,), "position", words, place=spot, measured=size)
        elif not _same(row.angle, expected, period):
            words = {"file": f"{row.angle:g}°", "layout": f"{expected:g}°"}
            size = Measured(round(row.angle - expected, 1) % 360, "°")
            yield Fail((row.ref,), "rotation", words, place=spot, measured=size)


def _even(board: Board, ref: str) -> bool:
    """Whether the part is the same after half a turn."""
    part = board.circuit.part(ref)
    polar = part is not None and is_polar(part)
    return board.role(ref).name in _EVEN_ROLES and not polar
