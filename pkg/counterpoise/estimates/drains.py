"""Currents that flow from the cell whatever the mode: chips' own, dividers, pulls, lamps, the shelf."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from counterpoise.catalog.cells import CellKind
from counterpoise.estimates.supply_path import (
    Stage,
    SupplyPath,
    cell_nets,
    other_stages,
    spread,
)
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.report import Drain
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.rails import Rail
from counterpoise.values.ranges import Estimate

_MONTH_H = 730.5
_CHARGER = Estimate(0.0, 1e-6, 10e-6)
_PROTECTOR = Estimate(1e-6, 4e-6, 10e-6)
_DARK_V = Estimate(1.7, 2.0, 3.2)
"""Forward volts of an LED of unknown colour; common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Level:
    """Nets at one voltage, and the path from them to the cell; ``volts`` None when not known."""

    nets: frozenset[str]
    volts: Estimate | None
    path: SupplyPath


def drains(board: Board, path: SupplyPath, cell_v: float | None) -> tuple[Drain, ...]:
    """Every steady current from the cell that the netlist shows, in amperes; switches taken as on.

    ``cell_v`` are the cell's nominal volts, None when its chemistry is not known.
    """
    levels = _levels(board, path, cell_v)
    return (
        *_stages(board, path),
        *_guards(board),
        *(d for level in levels for d in _resistors(board, level, cell_v)),
        *(d for level in levels for d in _lamps(board, level, cell_v)),
    )


def shelf_drain(kind: CellKind, capacity_ah: float) -> tuple[Drain, ...]:
    """Self-discharge as a current."""
    current = kind.month.scaled(capacity_ah / _MONTH_H)
    basis = f"{kind.month.likely:.1%} a month ({kind.source})"
    return (Drain("self-discharge", "", current, basis),)


def _levels(board: Board, path: SupplyPath, cell_v: float | None) -> list[_Level]:
    nets = cell_nets(board)
    found = [
        _Level(nets, Estimate.sure(cell_v) if cell_v else _volts(board, nets), SupplyPath(None, ()))
    ]
    for position, stage in enumerate(path.stages):
        made = board.same_node(stage.net) - board.grounds
        found.append(_Level(made, Estimate.sure(stage.out_v), path.above(position)))
    return found


def _volts(board: Board, nets: frozenset[str]) -> Estimate | None:
    for net in sorted(nets):
        rail = board.volts(net)
        if isinstance(rail, Rail):
            return Estimate(rail.volts.low, rail.volts.middle, rail.volts.high)
    return None


def _stages(board: Board, path: SupplyPath) -> Iterator[Drain]:
    for stage in (*path.stages, *other_stages(board, path)):
        yield Drain("own current", stage.part.ref, stage.own_a, _own(stage))


def _own(stage: Stage) -> str:
    return "own current, by its card" if stage.own_known else "own current not known: usual range"


def _guards(board: Board) -> Iterator[Drain]:
    """What charger and protector take from the cell while nothing charges."""
    for role, usual in (("charger", _CHARGER), ("protector", _PROTECTOR)):
        for part in board.parts_as(role):
            known = spread(board.known(part, "quiescent"))
            basis = "from the cell, by its card" if known else "from the cell; usual range"
            yield Drain(f"{role}'s leak", part.ref, known or usual, basis)


def _ohms(board: Board, part: Part) -> float | None:
    value = board.value(part)
    return value.value.middle if isinstance(value, Known) and value.value.low > 0 else None


def _resistors(board: Board, level: _Level, cell_v: float | None) -> Iterator[Drain]:
    """Resistors to ground, dividers, and pulls that a resting contact holds down."""
    if level.volts is None:
        return
    for upper in _once(board, level, "resistor"):
        near = next(n for n in upper.nets if n in level.nets)
        ohms, far = _ohms(board, upper), board.across(upper, near)
        if ohms is None or far is None or far in level.nets:
            continue
        if board.is_ground(far):
            yield _drain("resistor to ground", upper.ref, level, ohms, cell_v)
            continue
        lower = [r for r in board.to_ground(far, "resistor") if r.ref != upper.ref]
        below = [o for r in lower if (o := _ohms(board, r)) is not None]
        held = _held(board, far)
        if held is not None:
            yield _drain(f"pull held down by {held} at rest", upper.ref, level, ohms, cell_v)
        elif len(lower) == 1 and below:
            refs = f"{upper.ref}, {lower[0].ref}"
            yield _drain("divider", refs, level, ohms + below[0], cell_v)


def _once(board: Board, level: _Level, role: str) -> list[Part]:
    found = {p.ref: p for net in sorted(level.nets) for p in board.on_net(net, role)}
    return list(found.values())


def _held(board: Board, net: str) -> str | None:
    """The change-over switch whose resting contact joins the net to ground."""
    for switch in board.on_net(net, "change-over-switch"):
        ends = {*board.nets_for(switch, "common"), *board.nets_for(switch, "closed")}
        if net in ends and any(board.is_ground(n) for n in ends):
            return switch.ref
    return None


def _drain(name: str, ref: str, level: _Level, ohms: float, cell_v: float | None) -> Drain:
    volts = level.volts or Estimate.sure(0.0)
    basis = f"{volts.likely:.3g} V over {ohms:.4g} Ω"
    return Drain(name, ref, _at_cell(level, volts.scaled(1 / ohms), cell_v), basis)


def _at_cell(level: _Level, current: Estimate, cell_v: float | None) -> Estimate:
    """The current from the cell for one that flows behind converters."""
    if not level.path.stages or not cell_v:
        return current
    ends = [level.path.from_cell(c, cell_v) for c in (current.low, current.likely, current.high)]
    return Estimate(ends[0].low, ends[1].likely, ends[2].high)


def _lamps(board: Board, level: _Level, cell_v: float | None) -> Iterator[Drain]:
    """LEDs that burn as long as the rail is up, switched by nothing."""
    if level.volts is None:
        return
    for led in board.parts_as("led"):
        for resistor in {r.ref: r for n in led.nets for r in board.on_net(n, "resistor")}.values():
            ohms = _ohms(board, resistor)
            if ohms is None or not _always_lit(board, led, resistor, level):
                continue
            known = board.known(led, "forward")
            drop = _DARK_V if isinstance(known, Need) else spread(known) or _DARK_V
            volts = level.volts
            if volts.likely > drop.likely:
                current = Estimate(
                    max(volts.low - drop.high, 0.0) / ohms,
                    (volts.likely - drop.likely) / ohms,
                    max(volts.high - drop.low, volts.likely - drop.likely) / ohms,
                )
                basis = (
                    f"({volts.likely:.3g} V - {drop.likely:.2g} V) over {ohms:.4g} Ω, always lit"
                )
                yield Drain("LED", led.ref, _at_cell(level, current, cell_v), basis)


def _always_lit(board: Board, led: Part, resistor: Part, level: _Level) -> bool:
    """Rail, LED, resistor, ground in a row, and nothing else on the net between."""
    middle = set(resistor.nets) & set(led.nets)
    ends = (set(resistor.nets) | set(led.nets)) - middle
    if len(middle) != 1 or len(ends) != 2:
        return False
    return (
        bool(ends & level.nets)
        and any(board.is_ground(n) for n in ends)
        and len(board.circuit.pins_on(next(iter(middle)))) == 2
    )
