"""What is to be bought, as the BOM says; where it is to be placed, as the placement file says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from counterpoise.model.circuit import NO_FIELDS
from counterpoise.model.facts import Origin


@dataclass(frozen=True, slots=True)
class BomLine:
    """One row. ``refs`` with ranges spelt out; ``quantity`` None when the file has no such column or
    the cell is empty; ``fitted`` None when the row says nothing about it; text fields "" when absent."""

    refs: tuple[str, ...]
    quantity: int | None = None
    value: str = ""
    footprint: str = ""
    order_code: str = ""
    maker: str = ""
    description: str = ""
    fitted: bool | None = None
    fields: Mapping[str, str] = field(default_factory=lambda: NO_FIELDS)
    origin: Origin | None = None


@dataclass(frozen=True, slots=True)
class Bom:
    """All rows in file order. ``columns`` names the columns that were recognised (value, quantity …)."""

    lines: tuple[BomLine, ...] = ()
    columns: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Placement:
    """One row of a placement file, as written: its own origin, y up; ``side`` front or back."""

    ref: str
    x_mm: float
    y_mm: float
    angle: float
    side: str
    value: str = ""
    footprint: str = ""
    origin: Origin | None = None
