"""Resistor dividers at feedback pins: which resistors stand above and below, and what they set."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.roles.evidence import Known
from counterpoise.values.ranges import Range

if TYPE_CHECKING:
    from counterpoise.roles.board import Board

_LEAST_OHM = 1e-3
"""What a resistor of 0 Ω is reckoned as, so that it divides."""

ADJUST_A = Range(0.0, 120e-6)
"""Amperes out of the adjusting pin of a regulator without ground pin: typically 50 µA, at most 100 µA
(TI SLVS044, LM317) or 120 µA (LM1117); from memory."""


def halves(
    board: Board, output: Iterable[str], feedback: str
) -> tuple[Mapping[str, Part], Mapping[str, Part]]:
    """The resistors by ref from the output's nets to the feedback net, and from there to ground."""
    above = {
        part.ref: part
        for net in sorted(output)
        for part in board.between(net, feedback, "resistor")
    }
    return above, {part.ref: part for part in board.to_ground(feedback, "resistor")}


def side_by_side(board: Board, parts: Mapping[str, Part], share: float) -> Range | Need:
    """Ohms of resistors side by side; ``share`` is the tolerance of one that states none."""
    low = high = 0.0
    for ref in sorted(parts):
        value = board.value(parts[ref])
        if isinstance(value, Need):
            return value
        stated = board.known(parts[ref], "tolerance")
        spread = stated.value.high * 1e-6 if isinstance(stated, Known) else share
        ohms = Range.around(max(value.value.middle, _LEAST_OHM), spread)
        low, high = low + 1 / ohms.low, high + 1 / ohms.high
    return Range(1 / low, 1 / high)


def divided(reference: Range, above: Range, below: Range, *, grounded: bool = True) -> Range:
    """The volts that a divider sets: ``above`` from output to feedback, ``below`` from there to
    ground, in ohms.

    Vref (1 + above/below). Without a ground pin the reference stands between output and adjusting
    pin: Vref (1 + below/above) + Iadj below (TI SLVS044, LM317, output voltage).
    """
    if grounded:
        return reference * (above / below + 1.0)
    return reference * (below / above + 1.0) + ADJUST_A * below
