"""How long the board runs and charges, how hard it pulls, and what another cell would change."""

from __future__ import annotations

import math

from counterpoise.catalog.cells import CellKind, candidates, cell_kinds
from counterpoise.estimates.drains import drains
from counterpoise.estimates.run_time import charge_hours, mean_current, run_hours, sag_v
from counterpoise.estimates.supply_path import LOADS, SupplyPath, supply_path
from counterpoise.model.facts import Need
from counterpoise.model.manifest import Mode
from counterpoise.model.report import CellChoice, Drain, Endurance, ModeLine, Peak
from counterpoise.roles.board import Board
from counterpoise.roles.cells import capacity_of, chemistry_of
from counterpoise.roles.charging import charge_current
from counterpoise.roles.evidence import Known
from counterpoise.values.ranges import Estimate

_NO_MODES = Need(
    "the current of each mode", 'board.toml: [modes.hold] current = "6.2 mA", share = 0.7'
)
_MONTH_H = 730.5


def endurance(board: Board) -> Endurance:
    """Run time, charge time, peak and cell choices; what is missing stands in ``needs``."""
    return board.once("endurance", lambda: _work(board))


def _work(board: Board) -> Endurance:
    cell = board.cell
    stated = capacity_of(board, cell)
    chemistry = chemistry_of(board, cell)
    kind = None if isinstance(chemistry, Need) else cell_kinds().get(chemistry.name)
    rated = None if isinstance(stated, Need) else stated
    count = board.manifest.cell.cells
    path = supply_path(board)
    needs = [fact for fact in (stated, chemistry) if isinstance(fact, Need)]
    shares = _shares(board.manifest.modes)
    if not board.manifest.modes:
        needs.append(_NO_MODES)
    elif shares is None:
        first = next(m.name for m in board.manifest.modes if m.share is None)
        needs.append(Need(f"the share of mode {first}", f"board.toml: [modes.{first}] share = 0.7"))
    steady = drains(board, path, kind, rated)
    cell_v = kind.nominal_v * count if kind else None
    modes = _modes(board.manifest.modes, shares, path, cell_v)
    usable = _usable(board, path, kind, rated, count)
    hours = _hours(usable, modes, steady) if shares is not None and modes and cell_v else None
    return Endurance(
        capacity_ah=usable,
        modes=modes,
        drains=steady,
        hours=hours,
        charge_hours=_charge(board, rated),
        peak=_peak(board, path, kind, rated, count),
        needs=tuple(dict.fromkeys(needs)),
        path=path.words if path.net else "",
        shelf_months=_shelf(usable, steady),
        choices=_choices(path, board.manifest.modes, shares, steady),
    )


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


def _modes(
    modes: tuple[Mode, ...], shares: dict[str, float] | None, path: SupplyPath, cell_v: float | None
) -> tuple[ModeLine, ...]:
    lines = []
    for mode in modes:
        through = (
            path.from_cell(mode.current_a, cell_v) if cell_v else Estimate.sure(mode.current_a)
        )
        lines.append(ModeLine(mode.name, mode.current_a, through, shares and shares[mode.name]))
    return tuple(lines)


def _least_load_v(board: Board) -> float:
    """The highest of the loads' lowest supply voltages: below it something stops."""
    lows = [
        known.value.low
        for part in board.parts_as(*LOADS)
        if isinstance(known := board.known(part, "supply"), Known)
    ]
    return max(lows, default=0.0)


def _usable(
    board: Board, path: SupplyPath, kind: CellKind | None, rated: float | None, count: int
) -> Estimate | None:
    """Ampere-hours that the load gets: rate and temperature, age, and what stays below its cut-off."""
    if kind is None or rated is None:
        return None
    least = board.manifest.cell.end_voltage_v or 0.0
    cut_off = max(least, path.least_cell_v(_least_load_v(board)) / count)
    lost = kind.share_left(cut_off) if cut_off > kind.end_v else 0.0
    kept = kind.usable.scaled(rated * (1 - lost))
    return Estimate(kept.low * kind.new_to_old, kept.likely, kept.high)


def _hours(
    usable: Estimate | None, modes: tuple[ModeLine, ...], steady: tuple[Drain, ...]
) -> Estimate | None:
    if usable is None:
        return None
    means = [
        mean_current((getattr(m.cell_a, end), m.share or 0.0) for m in modes)
        + math.fsum(getattr(d.current_a, end) for d in steady)
        for end in ("low", "likely", "high")
    ]
    if means[0] <= 0:
        return None
    return Estimate(
        run_hours(usable.low, means[2]),
        run_hours(usable.likely, means[1]),
        run_hours(usable.high, means[0]),
    )


def _shelf(usable: Estimate | None, steady: tuple[Drain, ...]) -> Estimate | None:
    hours = _hours(usable, (), steady)
    return hours.scaled(1 / _MONTH_H) if hours else None


def _charge(board: Board, rated: float | None) -> float | None:
    chargers = board.parts_as("charger")
    if rated is None or len(chargers) != 1:
        return None
    current = charge_current(board, chargers[0])
    if isinstance(current, Need) or current.amperes.middle <= 0:
        return None
    return charge_hours(rated, current.amperes.middle)


def _peak(
    board: Board, path: SupplyPath, kind: CellKind | None, rated: float | None, count: int
) -> Peak | None:
    modes = board.manifest.modes
    if not modes or kind is None:
        return None
    cell_v = kind.nominal_v * count
    strongest = max(m.peak_a if m.peak_a is not None else m.current_a for m in modes)
    current = path.from_cell(strongest, cell_v).likely
    stated = board.manifest.cell.resistance_ohm
    if stated is not None:
        sag = Estimate.sure(sag_v(current, stated))
    elif rated:
        sag = kind.resistance.scaled(count * current / rated)
    else:
        return Peak(current, None, None)
    return Peak(current, sag, _rail(path, cell_v - sag.likely))


def _rail(path: SupplyPath, at_cell: float) -> float:
    """Volts on the load's rail when the cell gives ``at_cell``."""
    volts = at_cell
    for stage in reversed(path.stages):
        volts = min(stage.out_v, max(volts - stage.dropout_v, 0.0)) if stage.linear else stage.out_v
    return volts


def _choices(
    path: SupplyPath,
    modes: tuple[Mode, ...],
    shares: dict[str, float] | None,
    steady: tuple[Drain, ...],
) -> tuple[CellChoice, ...]:
    """Each cell of the table with this board's modes."""
    own = tuple(d for d in steady if d.name != "self-discharge")
    found = []
    for cell in candidates():
        kind = cell_kinds()[cell.chemistry]
        lines = _modes(modes, shares, path, kind.nominal_v)
        kept = kind.usable.scaled(cell.capacity_ah)
        usable = Estimate(kept.low * kind.new_to_old, kept.likely, kept.high)
        hours = _hours(usable, lines, own) if shares and modes else None
        charged = cell.chemistry.startswith("li-") and kind.new_to_old < 1
        found.append(
            CellChoice(
                name=cell.name,
                mass_g=cell.mass,
                capacity_ah=cell.capacity_ah,
                hours=hours,
                charge_half_h=charge_hours(cell.capacity_ah, cell.capacity_ah / 2)
                if charged
                else None,
                charge_full_h=charge_hours(cell.capacity_ah, cell.capacity_ah) if charged else None,
                fits=_fits(path, kind),
            )
        )
    return tuple(found)


def _fits(path: SupplyPath, kind: CellKind) -> bool:
    """Whether the board's converters work from this cell at all: a linear regulator (or none) needs
    more than it gives out, a step-up converter less."""
    if not path.stages:
        return True
    first = path.stages[-1]
    if first.linear:
        return kind.nominal_v >= first.out_v + first.dropout_v
    return kind.left[0][0] <= first.out_v or first.part.symbol == ""
