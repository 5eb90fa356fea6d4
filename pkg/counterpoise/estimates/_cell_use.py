"""What of a cell's rated capacity a load gets: rate, temperature, age, and where it is cut off."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from counterpoise.catalog.cells import CellKind
from counterpoise.estimates.run_time import sag_v
from counterpoise.estimates.supply_path import LOADS, SupplyPath
from counterpoise.model.report import Drain, ModeLine
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.values.ranges import Estimate, Range

ROOM_C = Range(20.0, 25.0)
"""Degrees Celsius where the manifest states none."""

EMPTY = "empty"


@dataclass(frozen=True, slots=True)
class Source:
    """A cell (or several in series) as a source: chemistry, ampere-hours of one, how many, ohms of
    one where stated."""

    kind: CellKind
    rated_ah: float
    count: int = 1
    ohms: float | None = None

    @property
    def volts(self) -> float:
        """Nominal volts of all."""
        return self.kind.nominal_v * self.count

    @property
    def resistance(self) -> Estimate:
        """Ohms of all in series."""
        if self.ohms is not None:
            return Estimate.sure(self.ohms * self.count)
        return self.kind.resistance.scaled(self.count / self.rated_ah)


@dataclass(frozen=True, slots=True)
class CutOff:
    """The least volts of one cell that the board makes use of, and what sets them."""

    volts: float
    because: str


def least_load_v(board: Board) -> float:
    """The highest of the loads' lowest supply voltages: below it something stops."""
    lows = [
        known.value.low
        for part in board.parts_as(*LOADS)
        if isinstance(known := board.known(part, "supply"), Known)
    ]
    return max(lows, default=0.0)


def cut_off(board: Board, path: SupplyPath, source: Source, *, own: bool) -> CutOff:
    """The highest of: empty, the stated end voltage, the protector's cut, what the converters and the
    load need. ``own`` False for a cell that is not on the board: its end voltage is not stated."""
    least = path.least_cell_v(least_load_v(board)) / source.count
    found = [CutOff(source.kind.end_v, EMPTY), CutOff(least, "what the load needs")]
    stated = board.manifest.cell.end_voltage_v
    if own and stated is not None:
        found.append(CutOff(stated, "stated end voltage"))
    for part in board.parts_as("protector"):
        known = board.known(part, "cut_low")
        if isinstance(known, Known) and known.value.middle < source.kind.nominal_v:
            found.append(CutOff(known.value.middle, f"{part.ref} cuts"))
    return max(found, key=lambda c: (c.volts, c.because != EMPTY))


def usable(
    source: Source, cut: CutOff, degrees: Range, modes: Iterable[ModeLine], peak_a: float
) -> Estimate:
    """Ampere-hours that the load gets.

    Rated capacity, times what a load like this gets of it, times the share left at the temperature,
    times the share drained before the cell, sagging under ``peak_a``, falls to the cut-off. The
    spreads of label and temperature are independent (quadrature); ``low`` is an old cell.
    """
    kind = source.kind
    at_rest = cut.volts
    if cut.because != EMPTY:
        at_rest += sag_v(peak_a, source.resistance.likely / source.count)
    drained = 1 - (kind.share_left(at_rest) if at_rest > kind.end_v else 0.0)
    label, cold = kind.usable, _cold(kind, degrees)
    likely = source.rated_ah * label.likely * cold.likely * drained * rate_share(source, modes)
    low = math.exp(-math.hypot(fall(label), fall(cold)))
    high = math.exp(math.hypot(rise(label), rise(cold)))
    return Estimate(likely * low * kind.new_to_old, likely, likely * high)


def rate_share(source: Source, modes: Iterable[ModeLine]) -> float:
    """The share of the capacity that these modes get: charge drawn over charge used up for it."""
    drawn = used = 0.0
    for mode in modes:
        part = mode.cell_a.likely * (mode.share or 0.0)
        drawn += part
        used += part / source.kind.at_rate(mode.cell_a.likely / source.rated_ah)
    return drawn / used if used > 0 else 1.0


def _cold(kind: CellKind, degrees: Range) -> Estimate:
    low, high = (kind.at_temperature(t) for t in (degrees.low, degrees.high))
    return Estimate(low, min(max(kind.at_temperature(degrees.middle), low), high), high)


def fall(estimate: Estimate) -> float:
    """How far low lies below likely, as a logarithm; 0 where there is no likely value."""
    return math.log(estimate.likely / estimate.low) if estimate.low > 0 else 0.0


def rise(estimate: Estimate) -> float:
    """How far high lies above likely, as a logarithm."""
    return math.log(estimate.high / estimate.likely) if estimate.likely > 0 else 0.0


def mean_currents(modes: Iterable[ModeLine], steady: Iterable[Drain]) -> Estimate:
    """Mean current from the cell (A): the modes share the converters' efficiency, so that their
    spreads add up; each steady drain is independent of them (quadrature)."""
    spreads = [
        Estimate(
            *(math.fsum(getattr(m.cell_a, e) * (m.share or 0.0) for m in modes) for e in _ENDS)
        )
    ]
    spreads += [drain.current_a for drain in steady]
    likely = math.fsum(s.likely for s in spreads)
    low = likely - math.sqrt(math.fsum((s.likely - s.low) ** 2 for s in spreads))
    high = likely + math.sqrt(math.fsum((s.high - s.likely) ** 2 for s in spreads))
    return Estimate(min(max(low, 0.0), likely), likely, max(high, likely))


_ENDS = ("low", "likely", "high")


def hours(capacity: Estimate, current: Estimate, age: float) -> Estimate | None:
    """Hours at a mean current; capacity and current are independent, so their spreads add in
    quadrature. ``age`` is the share left in an old cell, which ``capacity.low`` holds already."""
    if current.likely <= 0 or capacity.likely <= 0:
        return None
    likely = capacity.likely / current.likely
    worn = math.log(capacity.likely / capacity.low) + math.log(age) if capacity.low > 0 else 0.0
    low = age * math.exp(-math.hypot(max(worn, 0.0), rise(current)))
    high = math.exp(math.hypot(rise(capacity), fall(current)))
    return Estimate(likely * low, likely, likely * high)
