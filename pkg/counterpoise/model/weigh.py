"""The answer of ``weigh``: the ledger, ways to shave grams, and the scale's word."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.model.report import Area, Mass


@dataclass(frozen=True, slots=True)
class Shave:
    """One way to save mass: what to change, grams saved, what it costs, how to do it."""

    change: str
    saves_g: float
    costs: str
    how: str


@dataclass(frozen=True, slots=True)
class Scale:
    """One weighing against the ledger: grams on the scale, grams as reckoned, and what follows."""

    what: str
    scale_g: float
    low_g: float
    likely_g: float
    high_g: float
    says: str


@dataclass(frozen=True, slots=True)
class Weigh:
    """All of it. ``filled`` is courtyard area over board area (both sides), ``least_mm2`` a board area
    that these parts could reasonably fit on; None without courtyards."""

    board: str
    area: Area
    mass: Mass
    shave: tuple[Shave, ...]
    scale: tuple[Scale, ...]
    mass_limit_g: float | None
    area_limit_mm2: float | None
    filled: float | None
    least_mm2: float | None
