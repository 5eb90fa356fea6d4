"""What cells do, by chemistry, and cells to weigh against each other."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from counterpoise.catalog.materials import triple
from counterpoise.catalog.tables import pattern, table
from counterpoise.catalog.toml import Table
from counterpoise.values.ranges import Estimate


@dataclass(frozen=True, slots=True)
class CellKind:
    """One chemistry.

    ``usable`` is the share of the rated capacity that a load gets, ``new_to_old`` what is left of it
    at old age, ``month`` the share lost a month on the shelf, ``resistance`` in Ω·Ah (times the
    capacity), ``left`` volts against share of charge left, from full to empty; ``rate`` and ``cold``
    the share that is left at multiples of the capacity an hour, and at degrees Celsius. ``full_v``
    is the most that a fresh cell, or one on its charger, has; ``firm`` whether a stop may rest on
    ``end_v`` and ``full_v``; ``words`` what texts in capitals mean the chemistry.
    """

    name: str
    nominal_v: float
    full_v: float
    firm: bool
    words: re.Pattern[str]
    usable: Estimate
    new_to_old: float
    month: Estimate
    resistance: Estimate
    left: tuple[tuple[float, float], ...]
    rate: tuple[tuple[float, float], ...]
    cold: tuple[tuple[float, float], ...]
    source: str

    def at_rate(self, times: float) -> float:
        """The share of the capacity that a current of ``times`` the capacity an hour gets."""
        return _between(
            [(math.log(c), share) for c, share in self.rate], math.log(max(times, 1e-9))
        )

    def at_temperature(self, celsius: float) -> float:
        """The share of the capacity that is left at a temperature."""
        return _between(list(self.cold), celsius)

    def share_left(self, volts: float) -> float:
        """The share of charge still in a cell that rests at ``volts``; 0 below, 1 above the table."""
        previous = self.left[0]
        if volts >= previous[0]:
            return 1.0
        for point in self.left[1:]:
            if volts >= point[0]:
                return point[1] + (previous[1] - point[1]) * (volts - point[0]) / (
                    previous[0] - point[0]
                )
            previous = point
        return 0.0

    @property
    def end_v(self) -> float:
        """Volts at which it is empty."""
        return self.left[-1][0]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A cell that one may choose: capacity in Ah, mass in grams."""

    name: str
    chemistry: str
    capacity_ah: float
    mass: Estimate
    basis: str


def _between(points: list[tuple[float, float]], at: float) -> float:
    """Straight between the points, level outside them."""
    if at <= points[0][0]:
        return points[0][1]
    for (x1, y1), (x2, y2) in pairwise(points):
        if at <= x2:
            return y1 + (y2 - y1) * (at - x1) / (x2 - x1)
    return points[-1][1]


def _rising(owner: Table, key: str) -> tuple[tuple[float, float], ...]:
    points: Any = owner.take(key, list)
    curve = tuple((float(x), float(share)) for x, share in points)
    if not curve or sorted(curve) != list(curve) or not all(0 < s <= 1 for _, s in curve):
        raise owner.error(key, "expected rising pairs [figure, share], a share over 0 up to 1")
    return curve


def _curve(owner: Table) -> tuple[tuple[float, float], ...]:
    points: Any = owner.take("left", list)
    curve = tuple((float(v), float(s)) for v, s in points)
    if sorted(curve, reverse=True) != list(curve) or curve[0][1] != 1.0 or curve[-1][1] != 0.0:
        raise owner.error("left", "expected [volts, share] from full (1.0) down to empty (0.0)")
    return curve


def _whole_words(owner: Table) -> re.Pattern[str]:
    """The words as they stand alone, or behind a count: "2xLR6"."""
    found = pattern(owner, "words")
    if found is None:
        raise owner.error("words", "expected a pattern")
    return re.compile(rf"(?:(?<![A-Z0-9])|(?<=\dX))(?:{found.pattern})(?![A-Z0-9])")


@cache
def cell_kinds() -> Mapping[str, CellKind]:
    """Chemistries by name.

    Raises:
        CatalogError: with the chemistry and the key.
    """
    kinds = {}
    for name, data in table("cells")["chemistry"].items():
        owner = Table("cells.toml", f"chemistry.{name}", data)
        kinds[name] = CellKind(
            name=name,
            nominal_v=float(owner.take("nominal", float)),
            full_v=float(owner.take("full", float)),
            firm=owner.flag("firm", False),
            words=_whole_words(owner),
            usable=triple(owner, "usable"),
            new_to_old=float(owner.take("new_to_old", float)),
            month=triple(owner, "month"),
            resistance=triple(owner, "resistance"),
            left=_curve(owner),
            rate=_rising(owner, "rate"),
            cold=_rising(owner, "cold"),
            source=owner.text("source"),
        )
        owner.text("full_source")
        owner.done()
    return MappingProxyType(kinds)


@cache
def candidates() -> tuple[Candidate, ...]:
    """The cells of cells.toml in their order.

    Raises:
        CatalogError: with the cell's name and the key.
    """
    found = []
    for data in table("cells")["candidate"]:
        owner = Table("cells.toml", str(data.get("name", "candidate")), data)
        found.append(
            Candidate(
                name=owner.text("name"),
                chemistry=owner.text("chemistry"),
                capacity_ah=float(owner.take("capacity_mah", (int, float))) / 1000,
                mass=triple(owner, "mass_g"),
                basis=owner.text("basis"),
            )
        )
        owner.done()
    return tuple(found)
