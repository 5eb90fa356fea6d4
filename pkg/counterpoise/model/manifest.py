"""What the maker states in board.toml. Every key is optional; None means not stated."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TypeVar

from counterpoise.model.facts import Origin
from counterpoise.values.ranges import Range

V = TypeVar("V")


RECHARGEABLE = ("li-po", "li-ion", "li-ion-coin", "lifepo4", "nimh", "nicd", "li-mn-coin")
"""Cell chemistries that can be charged. "li-ion-coin" is the LIR size, "li-mn-coin" the ML size; a
high-voltage cell is "li-po" or "li-ion" with its charge_voltage stated."""

PRIMARY = (
    "alkaline",
    "zinc-carbon",
    "silver-oxide",
    "li-mno2-coin",
    "lithium-fes2",
    "lithium-primary",
)
"""Cell chemistries that must never be charged (IEC 60086: LR, R, SR, CR coin, FR, further lithium)."""

CHEMISTRIES = RECHARGEABLE + PRIMARY
"""All that [cell] chemistry may say."""


def _none() -> MappingProxyType[str, V]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True)
class BoardFacts:
    """The [board] table; file names are relative to the manifest's folder."""

    name: str = ""
    netlist: str | None = None
    layout: str | None = None
    bom: str | None = None
    centroid: str | None = None
    thickness_mm: float | None = None
    copper_mm: float | None = None
    inner_copper_mm: float | None = None
    front: str | None = None
    fab: str | None = None
    stray_f: Range | None = None
    finish: str | None = None
    outline: str | None = None
    radio: str | None = None
    density_g_cm3: float | None = None


@dataclass(frozen=True, slots=True)
class CellFacts:
    """The [cell] table: volts, amperes, ampere-hours, grams, ohms, degrees Celsius in use."""

    ref: str | None = None
    chemistry: str | None = None
    capacity_ah: float | None = None
    mass_g: Range | None = None
    protected: bool | None = None
    charge_limit_a: float | None = None
    charge_limit_c: float | None = None
    charge_voltage_v: float | None = None
    end_voltage_v: float | None = None
    peak_limit_a: float | None = None
    resistance_ohm: float | None = None
    cells: int = 1
    outside_charger: bool | None = None
    removable: bool | None = None
    size_mm: tuple[float, float, float] | None = None
    temperature_c: Range | None = None


@dataclass(frozen=True, slots=True)
class OwnCell:
    """One [[cells]] table: a cell that could be used instead, to be weighed against the others."""

    name: str
    chemistry: str
    capacity_ah: float
    mass_g: Range


@dataclass(frozen=True, slots=True)
class Limits:
    """The [limits] table."""

    mass_g: float | None = None
    area_mm2: float | None = None
    bounding_mm2: float | None = None
    endurance_h: float | None = None
    height_mm: float | None = None
    charge_time_h: float | None = None
    bend_mm: float | None = None
    press_n: float | None = None
    width_mm: float | None = None
    length_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Mode:
    """One [modes.NAME] table: the current drawn from the rail and the share of time spent in it."""

    name: str
    current_a: float
    share: float | None = None
    peak_a: float | None = None


@dataclass(frozen=True, slots=True)
class Extra:
    """One [[extra]] table: something that is weighed but not on the board."""

    name: str
    mass_g: Range
    count: int = 1


@dataclass(frozen=True, slots=True)
class PartFacts:
    """One [parts.REF] table. ``facts`` holds every further stated fact by its key: a Range in SI units,
    a text or a truth value; ``terminals`` maps common, open, closed to pin numbers."""

    role: str | None = None
    card: str | None = None
    fitted: bool | None = None
    faces: str | None = None
    plunger: str | None = None
    terminals: Mapping[str, str] = field(default_factory=_none)
    facts: Mapping[str, Range | str | bool] = field(default_factory=_none)
    origin: Origin | None = None


@dataclass(frozen=True, slots=True)
class RuleOverride:
    """One [rules.SLUG] table: a severity ("stop", "caution", "off") and limits in SI units."""

    severity: str | None = None
    limits: Mapping[str, Range] = field(default_factory=_none)


@dataclass(frozen=True, slots=True)
class Waiver:
    """One [[waivers]] table; ``until`` an ISO date (kept as text: reports read no clock)."""

    rule: str
    subject: str
    reason: str
    until: str | None = None
    origin: Origin | None = None


@dataclass(frozen=True, slots=True)
class Weighed:
    """The [weighed] table: what the scale said, in grams."""

    bare_g: float | None = None
    assembled_g: float | None = None
    total_g: float | None = None


@dataclass(frozen=True, slots=True)
class Compare:
    """The [compare] table: refs or patterns whose wiring must stay."""

    keep: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Manifest:
    """The whole of board.toml. ``stated`` is False when there is none, and every fact is unstated."""

    board: BoardFacts = BoardFacts()
    cell: CellFacts = CellFacts()
    limits: Limits = Limits()
    modes: tuple[Mode, ...] = ()
    extras: tuple[Extra, ...] = ()
    parts: Mapping[str, PartFacts] = field(default_factory=_none)
    rules: Mapping[str, RuleOverride] = field(default_factory=_none)
    waivers: tuple[Waiver, ...] = ()
    weighed: Weighed = Weighed()
    compare: Compare = Compare()
    cells: tuple[OwnCell, ...] = ()
    stated: bool = False
