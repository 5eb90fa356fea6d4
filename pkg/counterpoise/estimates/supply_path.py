"""How the cell's current reaches the load: the converters between, and what each adds."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.estimates.run_time import through_linear, through_switching
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.rails import Rail
from counterpoise.values.ranges import Estimate

LOADS = ("radio", "radio-module", "controller", "sensor", "chip")
LINEAR, SWITCHING = ("regulator",), ("boost", "buck", "buck-boost")
_EFFICIENCY = Estimate(0.75, 0.85, 0.92)
"""Where no card states one: small converters at milliamperes; common practice, no source."""
_QUIESCENT = Estimate(1e-6, 10e-6, 100e-6)
"""Where no card states one: regulators and small converters; common practice, no source."""
_DROPOUT = 0.2
_DEPTH = 4


@dataclass(frozen=True, slots=True)
class Stage:
    """One converter: its part, whether linear, output volts, efficiency, own current (A)."""

    part: Part
    linear: bool
    out_v: float
    efficiency: Estimate
    own_a: Estimate
    own_known: bool
    dropout_v: float


@dataclass(frozen=True, slots=True)
class SupplyPath:
    """From the load back to the cell: the load's net and the stages, load side first."""

    net: str | None
    stages: tuple[Stage, ...]

    @property
    def words(self) -> str:
        """The path in words: "cell, boost converter U1, load"."""
        kinds = [
            f"{'linear regulator' if s.linear else 'converter'} {s.part.ref} ({s.out_v:.3g} V)"
            for s in reversed(self.stages)
        ]
        return ", ".join(["the cell", *kinds, "the load"])

    def from_cell(self, load_a: float, cell_v: float) -> Estimate:
        """Amperes from the cell for a load current, own currents of the stages left out."""
        return Estimate(
            *(
                self._one(load_a, cell_v, which)
                for which in ("high", "likely", "low")  # the best efficiency draws least
            )
        )

    def _one(self, load_a: float, cell_v: float, which: str) -> float:
        current = load_a
        for position, stage in enumerate(self.stages):
            if stage.linear:
                current = through_linear(current, 0.0)
                continue
            below = self.stages[position + 1] if position + 1 < len(self.stages) else None
            in_v = below.out_v if below is not None else cell_v
            share = float(getattr(stage.efficiency, which))
            current = through_switching(current, stage.out_v, in_v, share, 0.0)
        return current

    def least_cell_v(self, least_load_v: float) -> float:
        """The cell's voltage below which the load gets less than ``least_load_v``."""
        needed = least_load_v
        for stage in self.stages:
            if not stage.linear:
                return 0.0
            needed += stage.dropout_v
        return needed


def supply_path(board: Board) -> SupplyPath:
    """The path to the board's main load: its radio, else its controller, else its first chip."""
    net = _load_net(board)
    stages: list[Stage] = []
    at = net
    while at is not None and len(stages) < _DEPTH:
        stage, at = _stage(board, at, {s.part.ref for s in stages})
        if stage is not None:
            stages.append(stage)
    return SupplyPath(net, tuple(stages))


def _load_net(board: Board) -> str | None:
    for role in LOADS:
        for part in board.parts_as(role):
            for net in board.nets_for(part, "supply"):
                if not board.is_ground(net):
                    return net
    return None


def _stage(board: Board, net: str, seen: set[str]) -> tuple[Stage | None, str | None]:
    """The converter that drives a net, and the net that feeds it; no net when the cell does."""
    rail = board.volts(net)
    drivers = rail.drivers if isinstance(rail, Rail) else ()
    for part in board.parts_as(*LINEAR, *SWITCHING):
        drives = part.ref in drivers or net in board.nets_for(part, "output")
        if drives and part.ref not in seen:
            inputs = [n for n in board.nets_for(part, "supply") if not board.is_ground(n)]
            return _told(board, part, rail), inputs[0] if inputs else None
    return None, None


def _told(board: Board, part: Part, rail: Rail | Need) -> Stage:
    own = board.known(part, "quiescent")
    share, dropout = board.known(part, "efficiency"), board.known(part, "dropout")
    return Stage(
        part=part,
        linear=board.role(part.ref).name in LINEAR,
        out_v=_set_volts(board, part, rail),
        efficiency=spread(share) or _EFFICIENCY,
        own_a=spread(own) or _QUIESCENT,
        own_known=isinstance(own, Known),
        dropout_v=dropout.value.high if isinstance(dropout, Known) else _DROPOUT,
    )


def _set_volts(board: Board, part: Part, rail: Rail | Need) -> float:
    """The set output: a sagging rail's upper end is what the converter was set to."""
    stated = board.known(part, "output")
    if isinstance(stated, Known):
        return stated.value.middle
    return rail.volts.high if isinstance(rail, Rail) else 3.3


def spread(known: Known | Need) -> Estimate | None:
    """A known range as an estimate; None for a need."""
    if isinstance(known, Need):
        return None
    return Estimate(known.value.low, known.value.middle, known.value.high)
