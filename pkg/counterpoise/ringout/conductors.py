"""Parts that beep by themselves, so that a beep over them proves no copper."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from counterpoise.model.circuit import Part
from counterpoise.ringout.pins import Pins, bits
from counterpoise.roles.board import Board
from counterpoise.values.partvalue import read_value
from counterpoise.values.ranges import Range

USUAL_TOLERANCE = 0.05
"""Fraction, where a resistor states none: common practice, no source."""

_ALWAYS = {
    "inductor": "a coil",
    "ferrite": "a ferrite bead",
    "fuse": "a fuse",
    "link": "a link",
}
_INSIDE = {
    "push-switch": "a switch",
    "change-over-switch": "a switch",
    "slide-switch": "a switch",
    "encoder": "an encoder",
    "balun": "a balun",
    "antenna": "an antenna",
    "motor": "a motor",
}
SWITCHES = ("a switch", "an encoder")


@dataclass(frozen=True, slots=True)
class Conductor:
    """A part through which a meter may beep.

    ``sure`` is True for those that do so all the time (a coil); False where it depends on the
    inside or the position (a switch) or on a value that nobody stated.
    """

    ref: str
    called: str
    pins: tuple[int, ...]
    sure: bool

    @property
    def pairs(self) -> tuple[tuple[int, int], ...]:
        """Each two of its pins."""
        return tuple(combinations(self.pins, 2))

    @property
    def label(self) -> str:
        """ "L1 (a coil, 4u7)"."""
        return f"{self.ref} ({self.called})"


def conductors(board: Board, pins: Pins, beep_below: float) -> tuple[Conductor, ...]:
    """The parts through which a meter that beeps below so many ohms may beep."""
    found = []
    for part in board.circuit.parts:
        known = _conductor(board.role(part.ref).name, part, beep_below)
        places = tuple(bits(pins.of_part.get(part.ref, 0)))
        if known is not None and len(places) > 1:
            found.append(Conductor(part.ref, known[0], places, known[1] and len(places) == 2))
    return tuple(sorted(found, key=lambda c: c.pins))


def resistance(part: Part) -> Range | None:
    """The ohms that a resistor's value and tolerance allow; None when it states no value."""
    value = read_value(part.value, "resistor")
    if value is None:
        return None
    spread = USUAL_TOLERANCE if value.tolerance is None else value.tolerance
    low = Range.around(value.possible.low, spread).low
    return Range(max(low, 0.0), Range.around(value.possible.high, spread).high)


def _conductor(role: str, part: Part, beep_below: float) -> tuple[str, bool] | None:
    value = f", {part.value}" if part.value else ""
    if role in _ALWAYS:
        return _ALWAYS[role] + value, True
    if role in _INSIDE:
        return _INSIDE[role], False
    if role != "resistor":
        return None
    ohms = resistance(part)
    if ohms is None:
        return "a resistor of no stated value", False
    return ("a resistor" + value, True) if ohms.low < beep_below else None
