"""LEDs and the polarity of parts that have one."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._led_chain import judge_chain
from counterpoise.checks._led_current import judge_current
from counterpoise.checks._led_turned import judge_turned
from counterpoise.checks._turned import is_polar, judge_capacitor, judge_diode
from counterpoise.model.verdicts import Verdict
from counterpoise.roles.board import Board


def led_reversed(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Follow both ends of each LED through resistors to ground, supplies and driving pins.

    An anode on ground can never light, nor a cathode on the supply with nothing higher at the
    anode. Between two driven pins nothing is claimed.
    """
    for led in board.parts_as("led"):
        yield judge_turned(board, led)


def led_current(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Work out each LED's current in amperes: (supply - forward voltage) / resistors.

    The supply is a range, the forward voltage stated or of the LED's colour.
    """
    for led in board.parts_as("led"):
        yield judge_current(board, rule, led)


def led_chain(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that each addressable LED's data input follows an output, and compare its supply in volts
    with the least it takes."""
    for led in board.parts_as("addressable-led"):
        yield judge_chain(board, led)


def polar_cap_reversed(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the ranges in volts at the pads of each polarised capacitor."""
    for part in board.parts_as("capacitor"):
        if is_polar(part):
            yield judge_capacitor(board, part)


def diode_reversed(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for diodes that conduct from a supply to ground, clamps with the cathode on ground, and
    series diodes whose cathode is at the source."""
    for part in board.parts_as("diode", "zener", "clamp"):
        yield judge_diode(board, part)
