"""The answer of ``check`` for one board, before it is written in any form."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.model.design import SourceFile
from counterpoise.model.verdicts import Coverage, Finding, Severity
from counterpoise.values.ranges import Estimate


@dataclass(frozen=True, slots=True)
class Area:
    """Areas in mm², sizes in mm. ``board_mm2`` is the outline less its cut-outs and edge-drawn holes;
    ``holes_mm2`` is the area of cut-outs and drilled holes."""

    board_mm2: float
    bounding_mm2: float
    width_mm: float
    height_mm: float
    holes_mm2: float


@dataclass(frozen=True, slots=True)
class MassItem:
    """One line of the ledger, in grams. ``basis`` says where the figure comes from; ``ref`` is "" for
    what is not a part; ``shared`` names the uncertainty it shares with other items ("" for its own)."""

    name: str
    ref: str
    mass: Estimate
    basis: str
    shared: str = ""


@dataclass(frozen=True, slots=True)
class Mass:
    """The ledger and its sum in grams. ``unknown`` lists parts whose mass could only be bounded."""

    total: Estimate
    items: tuple[MassItem, ...]
    worst_low_g: float
    worst_high_g: float
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Endurance:
    """Run time in hours; None where a fact is missing (``needs`` then says which)."""

    hours: Estimate | None
    needs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Estimates:
    """What was computed beside the rules; None where the files do not allow it."""

    area: Area | None = None
    mass: Mass | None = None
    endurance: Endurance | None = None


@dataclass(frozen=True, slots=True)
class Report:
    """All that ``check`` says of one board."""

    board: str
    files: tuple[SourceFile, ...]
    parts: int
    nets: int
    findings: tuple[Finding, ...]
    coverage: tuple[Coverage, ...]
    estimates: Estimates
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def count(self, severity: Severity) -> int:
        """How many findings of that severity stand, waived ones left out."""
        return sum(f.severity is severity and f.waived is None for f in self.findings)
