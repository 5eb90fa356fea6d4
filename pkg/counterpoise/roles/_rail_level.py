"""A voltage range on its way through the circuit, with its reasons."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from counterpoise.catalog.tables import pattern, section
from counterpoise.values.ranges import Range
from counterpoise.values.units import quantity_range

_ALTERNATES = 4


@dataclass(frozen=True, slots=True)
class Level:
    """A range in volts, who drives it, why, and whether every step was firm."""

    volts: Range
    drivers: tuple[str, ...]
    because: str
    firm: bool = True

    def joined(self, other: Level) -> Level:
        """Either of the two may hold: alternates."""
        if other == self:
            return self
        reasons = dict.fromkeys([*self.because.split(", or "), *other.because.split(", or ")])
        return Level(
            self.volts.joined(other.volts),
            tuple(dict.fromkeys([*self.drivers, *other.drivers])),
            ", or ".join([*reasons][:_ALTERNATES]),
            self.firm and other.firm,
        )


def written(volts: Range) -> str:
    """A range as people write it: "3.3 V", "3 V to 4.2 V"."""
    low, high = f"{volts.low:.3g}", f"{volts.high:.3g}"
    return f"{low} V" if low == high else f"{low} V to {high} V"


@cache
def path_volts(key: str) -> Range:
    """One of the [paths] ranges of the roles table, in volts."""
    return quantity_range(section("roles", "paths").text(key), "voltage")


@cache
def path_words(key: str) -> re.Pattern[str]:
    """One of the [paths] patterns of the roles table."""
    owner = section("roles", "paths")
    found = pattern(owner, key)
    if found is None:
        raise owner.error(key, "this key is required")
    return found
