"""The answer of ``check`` for one board, before it is written in any form."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.model.design import SourceFile
from counterpoise.model.facts import Need
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
    what is not a part; ``shared`` names the uncertainty it shares with other items ("" for its own);
    ``kind`` is bare (as it comes from the board house), solder, part, cell or extra."""

    name: str
    ref: str
    mass: Estimate
    basis: str
    shared: str = ""
    kind: str = "part"


@dataclass(frozen=True, slots=True)
class Mass:
    """The ledger and its sum in grams. ``unknown`` lists parts whose mass could only be estimated from
    their envelope, or bounded."""

    total: Estimate
    items: tuple[MassItem, ...]
    worst_low_g: float
    worst_high_g: float
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ModeLine:
    """One mode: the current drawn from the rail as stated, what the cell gives for it (A), and the
    share of the time, None when neither stated nor to be told."""

    name: str
    current_a: float
    cell_a: Estimate
    share: float | None


@dataclass(frozen=True, slots=True)
class Drain:
    """A current that flows from the cell in every mode (A), and why."""

    name: str
    ref: str
    current_a: Estimate
    basis: str


@dataclass(frozen=True, slots=True)
class Peak:
    """The strongest pull: current from the cell (A), volts lost in it, volts left on the rail."""

    current_a: float
    sag_v: Estimate | None
    rail_v: float | None


@dataclass(frozen=True, slots=True)
class CellChoice:
    """A cell one may choose: grams, hours with this board's modes, hours to charge at 0.5C and 1C."""

    name: str
    mass_g: Estimate
    capacity_ah: float
    hours: Estimate | None
    charge_half_h: float | None
    charge_full_h: float | None
    fits: bool


@dataclass(frozen=True, slots=True)
class Endurance:
    """Run time in hours and what it rests on; None where a fact is missing (``needs`` says which).

    ``capacity_ah`` is what the load really gets of the rated capacity. ``path`` says in words how the
    cell's current reaches the rail. ``shelf_months`` is the time to empty with the load off.
    ``assumed`` says what the capacity was reckoned with: temperature, rate, cut-off.
    """

    capacity_ah: Estimate | None
    modes: tuple[ModeLine, ...]
    drains: tuple[Drain, ...]
    hours: Estimate | None
    charge_hours: float | None
    peak: Peak | None
    needs: tuple[Need, ...] = ()
    path: str = ""
    shelf_months: Estimate | None = None
    choices: tuple[CellChoice, ...] = ()
    assumed: tuple[str, ...] = ()


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
