"""LEDs and the polarity of parts that have one."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._led_turned import judge_turned
from counterpoise.model.verdicts import Verdict
from counterpoise.roles.board import Board


def led_reversed(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Follow both ends of each LED through resistors to ground, supplies and driving pins.

    An anode on ground can never light, nor a cathode on the supply with nothing higher at the
    anode. Between two driven pins nothing is claimed.
    """
    for led in board.parts_as("led"):
        yield judge_turned(board, led)
