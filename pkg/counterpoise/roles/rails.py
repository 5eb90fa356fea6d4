"""Which voltage each net may have, reasoned from what drives it."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.values.ranges import Range


@dataclass(frozen=True, slots=True)
class Rail:
    """A net's possible range in volts while it is powered, who drives it, and why.

    ``firm`` is False where a guessed role, a net's name or a figure from memory carries the answer.
    ``drivers`` are refs. ``because`` is the chain in words: "U2 makes 3.3 V", "cell BT1 3.0 to 4.2 V
    through D1".
    """

    net: str
    volts: Range
    drivers: tuple[str, ...]
    because: str
    firm: bool = True
