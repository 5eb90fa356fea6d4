"""The rule cell-peak-current: what the cell must give at the worst moment."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from counterpoise.catalog.rules import Rule
from counterpoise.checks._power_convert import made_by
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.cells import capacity_of, chemistry_of
from counterpoise.roles.evidence import Known
from counterpoise.roles.paths import bypass, loads_on, plus_nets, stated_cell, walk
from counterpoise.roles.rails import Rail
from counterpoise.roles.wording import amount, listed

_LITHIUM = ("li-po", "li-ion")


def cell_peak_current(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the modes' peak, seen from the cell (A), with the cell's limit, and the voltage left
    after the drop over its resistance (V) with what its loads need."""
    for cell in board.parts_as("cell"):
        if not stated_cell(board, cell):
            continue
        peak = _peak(board, rule, cell)
        if isinstance(peak, Need):
            yield Unknown(cell.ref, (peak,))
            continue
        most = _most(board, rule, cell)
        yield _limited(board, rule, cell, peak, most)
        if isinstance(most, Need) or peak.amperes <= most.amperes:
            yield from _sag(board, cell, peak)


@dataclass(frozen=True, slots=True)
class _Amount:
    amperes: float
    because: str


def _peak(board: Board, rule: Rule, cell: Part) -> _Amount | Need:
    modes = board.manifest.modes
    if not modes:
        return Need("the currents of the board's modes", 'board.toml: [modes.hold] peak = "14 mA"')
    worst = max(modes, key=lambda m: m.peak_a or m.current_a)
    load = worst.peak_a or worst.current_a
    stepped = _stepped_up(board, rule, cell, load)
    return stepped or _Amount(load, f"mode {worst.name}")


def _stepped_up(board: Board, rule: Rule, cell: Part, load: float) -> _Amount | None:
    """The cell's current where a step-up converter stands between: Vout I / (efficiency Vcell)."""
    nets = walk(board, plus_nets(board, cell))
    for part in board.parts_as("boost", "buck-boost"):
        fed = board.nets_for(part, "supply")
        rail = next((board.volts(n) for n in fed if n in nets), None)
        made = made_by(board, part)
        if not isinstance(rail, Rail) or isinstance(made, Need) or rail.volts.low <= 0:
            continue
        share = board.known(part, "efficiency")
        efficiency = share.value.low if isinstance(share, Known) else rule.limit("efficiency").low
        drawn = made[1].volts.middle * load / (efficiency * rail.volts.low)
        says = f"{amount(load, 'A')} behind {part.ref} from {amount(rail.volts.low, 'V')}"
        return _Amount(max(drawn, load), says)
    return None


def _most(board: Board, rule: Rule, cell: Part) -> _Amount | Need:
    facts = board.manifest.cell
    if facts.peak_limit_a is not None:
        return _Amount(facts.peak_limit_a, "the stated limit")
    chemistry = chemistry_of(board, cell)
    need = Need(f"the peak current of {cell.ref}", 'board.toml: [cell] peak_limit = "15 mA"')
    if isinstance(chemistry, Need):
        return need
    if chemistry.name == "li-mno2-coin":
        return _Amount(rule.limit("coin").high, "usual for a coin cell's pulses")
    capacity = capacity_of(board, cell)
    if chemistry.name in _LITHIUM and not isinstance(capacity, Need):
        times = rule.limit("lithium-rate").high
        return _Amount(times * capacity, f"{times:g}C, usual for a small pouch cell")
    return need


def _limited(board: Board, rule: Rule, cell: Part, peak: _Amount, most: _Amount | Need) -> Verdict:
    if isinstance(most, Need):
        return Unknown(cell.ref, (most,))
    if peak.amperes <= most.amperes:
        return Pass(cell.ref)
    reservoir = bypass(board, walk(board, plus_nets(board, cell))).farads
    if reservoir >= rule.limit("reservoir").low:
        return Pass(cell.ref)
    return Fail(
        (cell.ref,),
        "peak",
        {
            "peak": amount(peak.amperes, "A"),
            "because": peak.because,
            "most": amount(most.amperes, "A"),
            "limit": most.because,
            "reservoir": amount(rule.limit("reservoir").low, "F"),
        },
        measured=Measured(round(peak.amperes * 1e3, 3), "mA"),
        limit=Limit(None, round(most.amperes * 1e3, 3), "mA"),
    )


def _sag(board: Board, cell: Part, peak: _Amount) -> Iterator[Verdict]:
    ohms = board.manifest.cell.resistance_ohm
    if ohms is None:
        need = Need(
            f"the inner resistance of {cell.ref}", 'board.toml: [cell] resistance = "250 mohm"'
        )
        yield Unknown(cell.ref, (need,))
        return
    nets = walk(board, plus_nets(board, cell))
    rails = [rail for net in nets if isinstance(rail := board.volts(net), Rail)]
    if not rails:
        return
    left = min(rail.volts.low for rail in rails) - ohms * peak.amperes
    asked = {
        load.ref: known.value.low
        for load in loads_on(board, nets)
        if board.role(load.ref).name != "charger"
        and isinstance(known := board.known(load, "supply"), Known)
    }
    short = sorted(ref for ref, low in asked.items() if low > left)
    if short:
        words = {
            "peak": amount(peak.amperes, "A"),
            "drop": amount(ohms * peak.amperes, "V"),
            "left": amount(left, "V"),
            "who": listed(short),
            "asked": amount(max(asked[r] for r in short), "V"),
        }
        yield Fail((cell.ref, *short), "sag", words, measured=Measured(round(left, 3), "V"))
