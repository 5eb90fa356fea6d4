"""Currents that flow from the cell whatever the mode: chips' own, dividers, lamps, self-discharge."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.cells import CellKind
from counterpoise.estimates.supply_path import SupplyPath, spread
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


def drains(
    board: Board, path: SupplyPath, kind: CellKind | None, capacity_ah: float | None
) -> tuple[Drain, ...]:
    """Every steady current from the cell that the netlist shows, in amperes."""
    return (
        *_stages(path),
        *_guards(board),
        *_resistors(board),
        *_lamps(board),
        *_shelf(kind, capacity_ah),
    )


def _stages(path: SupplyPath) -> Iterator[Drain]:
    for stage in path.stages:
        basis = (
            "own current, by its card" if stage.own_known else "own current not known: usual range"
        )
        yield Drain("own current", stage.part.ref, stage.own_a, basis)


def _guards(board: Board) -> Iterator[Drain]:
    """What charger and protector take from the cell while nothing charges."""
    for role, usual in (("charger", _CHARGER), ("protector", _PROTECTOR)):
        for part in board.parts_as(role):
            known = spread(board.known(part, "quiescent"))
            basis = "from the cell, by its card" if known else "from the cell; usual range"
            yield Drain(f"{role}'s leak", part.ref, known or usual, basis)


def _cell_nets(board: Board) -> frozenset[str]:
    """Nets that stand at the cell's voltage all the time."""
    cell = board.cell
    if cell is None:
        return frozenset()
    nets = board.nets_for(cell, "plus")
    return frozenset(n for net in nets for n in board.same_node(net) if not board.is_ground(n))


def _volts(board: Board, net: str) -> Estimate | None:
    rail = board.volts(net)
    return (
        Estimate(rail.volts.low, rail.volts.middle, rail.volts.high)
        if isinstance(rail, Rail)
        else None
    )


def _ohms(board: Board, part: Part) -> float | None:
    value = board.value(part)
    return value.value.middle if isinstance(value, Known) and value.value.low > 0 else None


def _resistors(board: Board) -> Iterator[Drain]:
    """Resistors and dividers from the cell's own net to ground."""
    for net in sorted(_cell_nets(board)):
        volts = _volts(board, net)
        if volts is None:
            continue
        for upper in board.on_net(net, "resistor"):
            ohms, far = _ohms(board, upper), board.across(upper, net)
            if ohms is None or far is None:
                continue
            if board.is_ground(far):
                yield _drain("resistor to ground", upper.ref, volts, ohms)
                continue
            lower = [r for r in board.to_ground(far, "resistor") if r.ref != upper.ref]
            below = [o for r in lower if (o := _ohms(board, r)) is not None]
            if len(lower) == 1 and below:
                yield _drain("divider", f"{upper.ref}, {lower[0].ref}", volts, ohms + below[0])


def _drain(name: str, ref: str, volts: Estimate, ohms: float) -> Drain:
    return Drain(name, ref, volts.scaled(1 / ohms), f"{volts.likely:.3g} V over {ohms:.4g} Ω")


def _lamps(board: Board) -> Iterator[Drain]:
    """LEDs that burn as long as the cell's net is up, switched by nothing."""
    nets = _cell_nets(board)
    for led in board.parts_as("led"):
        for resistor in board.parts_as("resistor"):
            ends = set(resistor.nets) | set(led.nets)
            middle = set(resistor.nets) & set(led.nets)
            ohms = _ohms(board, resistor)
            if len(ends) != 3 or len(middle) != 1 or ohms is None:
                continue
            top = ends & nets
            if not top or not any(board.is_ground(n) for n in ends):
                continue
            if len(board.circuit.pins_on(next(iter(middle)))) != 2:
                continue
            volts = _volts(board, min(top))
            forward = board.known(led, "forward")
            drop = forward.value.middle if not isinstance(forward, Need) else 2.0
            if volts is not None and volts.likely > drop:
                current = (volts.likely - drop) / ohms
                basis = f"({volts.likely:.3g} V - {drop:.2g} V) over {ohms:.4g} Ω, always lit"
                yield Drain("LED", led.ref, Estimate(current * 0.7, current, current * 1.3), basis)


def _shelf(kind: CellKind | None, capacity_ah: float | None) -> Iterator[Drain]:
    if kind is not None and capacity_ah is not None:
        current = kind.month.scaled(capacity_ah / _MONTH_H)
        yield Drain(
            "self-discharge", "", current, f"{kind.month.likely:.1%} a month ({kind.source})"
        )
