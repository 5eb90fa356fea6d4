"""How long the board runs and charges, how hard it pulls, and what another cell would change."""

from __future__ import annotations

import math
from dataclasses import dataclass

from counterpoise.catalog.cells import CellKind, cell_kinds
from counterpoise.estimates._cell_table import cells_to_weigh
from counterpoise.estimates._cell_use import (
    ROOM_C,
    CutOff,
    Source,
    cut_off,
    hours,
    mean_currents,
    usable,
)
from counterpoise.estimates.drains import drains, shelf_drain
from counterpoise.estimates.run_time import charge_hours, sag_v
from counterpoise.estimates.supply_path import LOADS, SupplyPath, supply_path
from counterpoise.model.facts import Fact, Need
from counterpoise.model.manifest import RECHARGEABLE, Mode
from counterpoise.model.report import CellChoice, Drain, Endurance, ModeLine, Peak
from counterpoise.roles.board import Board
from counterpoise.roles.cells import capacity_of, chemistry_of
from counterpoise.roles.charging import charge_current
from counterpoise.roles.evidence import Known
from counterpoise.values.ranges import Estimate, Range

_NO_MODES = Need(
    "the current of each mode", 'board.toml: [modes.hold] current = "6.2 mA", share = 0.7'
)
_MONTH_H = 730.5
_CONSTANT_VOLTAGE = ("li-po", "li-ion", "li-ion-coin", "lifepo4")
"""Chemistries charged at constant current, then constant voltage."""


def endurance(board: Board) -> Endurance:
    """Run time, charge time, peak and cell choices; what is missing stands in ``needs``."""
    return board.once("endurance", lambda: _work(board))


@dataclass(frozen=True, slots=True)
class _Load:
    """What the board draws, whatever the cell: modes with shares, steady drains, the strongest pull."""

    path: SupplyPath
    modes: tuple[Mode, ...]
    shares: dict[str, float] | None
    steady: tuple[Drain, ...]
    peak_a: float | None
    degrees: Range


def _work(board: Board) -> Endurance:
    cell, facts = board.cell, board.manifest.cell
    stated, chemistry = capacity_of(board, cell), chemistry_of(board, cell)
    kind = None if isinstance(chemistry, Need) else cell_kinds().get(chemistry.name)
    rated = None if isinstance(stated, Need) else stated
    path = supply_path(board)
    source = Source(kind, rated, facts.cells, facts.resistance_ohm) if kind and rated else None
    volts = kind.nominal_v * facts.cells if kind else None
    load = _Load(
        path=path,
        modes=board.manifest.modes,
        shares=_shares(board.manifest.modes),
        steady=drains(board, path, volts),
        peak_a=_strongest(board),
        degrees=facts.temperature_c or ROOM_C,
    )
    lines = _lines(load, volts)
    cut = cut_off(board, path, source, own=True) if source else None
    shelf = shelf_drain(source.kind, source.rated_ah) if source else ()
    steady = (*load.steady, *shelf)
    capacity = _capacity(load, source, cut, lines)
    charge = _charge(board, rated)
    told = load.shares is not None and bool(lines) and source is not None
    return Endurance(
        capacity_ah=capacity,
        modes=lines,
        drains=steady,
        hours=_hours(capacity, source, lines, steady) if told else None,
        charge_hours=None if isinstance(charge, Need) else charge,
        peak=_peak(load, kind, source, facts.cells),
        needs=tuple(dict.fromkeys(_needs(load, stated, chemistry, charge))),
        path=path.words if path.net else "",
        shelf_months=_shelf(capacity, source, steady),
        choices=_choices(board, load, volts),
        assumed=_assumed(load, source, cut),
    )


def _needs(load: _Load, *facts: object) -> list[Need]:
    needs = [fact for fact in facts if isinstance(fact, Need)]
    if not load.modes:
        needs.append(_NO_MODES)
    elif load.shares is None:
        first = next(m.name for m in load.modes if m.share is None)
        needs.append(Need(f"the share of mode {first}", f"board.toml: [modes.{first}] share = 0.7"))
    return needs


def _shares(modes: tuple[Mode, ...]) -> dict[str, float] | None:
    """The share of each mode; one mode alone runs all the time; one left open gets the rest."""
    if len(modes) == 1 and modes[0].share is None:
        return {modes[0].name: 1.0}
    open_ = [m for m in modes if m.share is None]
    stated = math.fsum(m.share for m in modes if m.share is not None)
    if len(open_) > 1:
        return None
    rest = max(1.0 - stated, 0.0)
    return {m.name: rest if m.share is None else m.share for m in modes}


def _lines(load: _Load, cell_v: float | None) -> tuple[ModeLine, ...]:
    found = []
    for mode in load.modes:
        through = (
            load.path.from_cell(mode.current_a, cell_v) if cell_v else Estimate.sure(mode.current_a)
        )
        share = None if load.shares is None else load.shares[mode.name]
        found.append(ModeLine(mode.name, mode.current_a, through, share))
    return tuple(found)


def _strongest(board: Board) -> float | None:
    """The strongest pull on the rail (A): the modes' peaks, else the radio's by its card."""
    modes = board.manifest.modes
    stated = [m.peak_a for m in modes if m.peak_a is not None]
    if not stated:
        cards = (board.known(p, "peak_current") for p in board.parts_as(*LOADS))
        stated = [known.value.high for known in cards if isinstance(known, Known)]
    return max([*stated, *(m.current_a for m in modes)], default=None)


def _capacity(
    load: _Load, source: Source | None, cut: CutOff | None, lines: tuple[ModeLine, ...]
) -> Estimate | None:
    if source is None or cut is None:
        return None
    pull = load.path.from_cell(load.peak_a or 0.0, source.volts).likely
    return usable(source, cut, load.degrees, lines, pull)


def _hours(
    capacity: Estimate | None,
    source: Source | None,
    lines: tuple[ModeLine, ...],
    steady: tuple[Drain, ...],
) -> Estimate | None:
    if capacity is None or source is None:
        return None
    return hours(capacity, mean_currents(lines, steady), source.kind.new_to_old)


def _shelf(
    capacity: Estimate | None, source: Source | None, steady: tuple[Drain, ...]
) -> Estimate | None:
    found = _hours(capacity, source, (), steady)
    return found.scaled(1 / _MONTH_H) if found else None


def _charge(board: Board, rated: float | None) -> Fact[float] | None:
    """Hours to charge; None where nothing on the board charges."""
    chargers = board.parts_as("charger")
    if rated is None or not chargers:
        return None
    current = charge_current(board, chargers[0])
    if isinstance(current, Need):
        return current
    likely = current.amperes.middle
    return charge_hours(rated, likely) if likely > 0 else None


def _peak(load: _Load, kind: CellKind | None, source: Source | None, count: int) -> Peak | None:
    if load.peak_a is None or kind is None:
        return None
    volts = kind.nominal_v * count
    current = load.path.from_cell(load.peak_a, volts).likely
    if source is None:
        return Peak(current, None, None)
    sag = Estimate(
        *(sag_v(current, getattr(source.resistance, e)) for e in ("low", "likely", "high"))
    )
    return Peak(current, sag, load.path.rail_v(max(volts - sag.likely, 0.0)))


def _assumed(load: _Load, source: Source | None, cut: CutOff | None) -> tuple[str, ...]:
    if source is None or cut is None:
        return ()
    low, high = load.degrees.low, load.degrees.high
    degrees = f"{low:g}" if low == high else f"{low:g} to {high:g}"
    each = " a cell" if source.count > 1 else ""
    return (
        f"Reckoned at {degrees} °C, down to {cut.volts:.3g} V{each} ({cut.because}); low is an old "
        f"cell ({source.kind.new_to_old:.0%} of a new one)",
    )


# -- other cells ----------------------------------------------------------------------------------
def _choices(board: Board, load: _Load, now_v: float | None) -> tuple[CellChoice, ...]:
    """Each cell of the table with this board's modes, as many in series as come nearest to the
    present voltage."""
    found = []
    for cell in cells_to_weigh(board):
        kind = cell_kinds()[cell.chemistry]
        count = max(1, round(now_v / kind.nominal_v)) if now_v else 1
        source = Source(kind, cell.capacity_ah, count)
        lines = _lines(load, source.volts)
        steady = (*load.steady, *shelf_drain(kind, cell.capacity_ah))
        cut = cut_off(board, load.path, source, own=False)
        capacity = _capacity(load, source, cut, lines)
        told = load.shares is not None and bool(lines)
        charged = cell.chemistry in RECHARGEABLE and cell.chemistry in _CONSTANT_VOLTAGE
        half, full = cell.capacity_ah / 2, cell.capacity_ah
        found.append(
            CellChoice(
                name=cell.name if count == 1 else f"{count} x {cell.name}",
                mass_g=cell.mass.scaled(count),
                capacity_ah=cell.capacity_ah,
                hours=_hours(capacity, source, lines, steady) if told else None,
                charge_half_h=charge_hours(cell.capacity_ah, half) if charged else None,
                charge_full_h=charge_hours(cell.capacity_ah, full) if charged else None,
                fits=_fits(board, load.path, source),
            )
        )
    return tuple(found)


def _fits(board: Board, path: SupplyPath, source: Source) -> bool:
    """Whether the board works from this cell at all: its first converter takes the cell's voltage, or
    where there is none, every load does."""
    full = source.kind.left[0][0] * source.count
    if path.stages:
        return path.stages[-1].takes(source.volts, full)
    supplies = [
        known.value
        for part in board.parts_as(*LOADS)
        if isinstance(known := board.known(part, "supply"), Known)
    ]
    return all(full <= s.high and source.volts >= s.low for s in supplies)
