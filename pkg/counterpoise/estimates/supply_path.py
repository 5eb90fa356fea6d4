"""How the cell's current reaches the load: the converters between, and what each adds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from counterpoise.estimates.run_time import through_linear, through_switching
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.paths import SOURCES, plus_nets, walk
from counterpoise.roles.rails import Rail
from counterpoise.values.ranges import Estimate, Range

LOADS = ("radio", "radio-module", "controller", "sensor", "chip")
_EFFICIENCY = Estimate(0.75, 0.85, 0.92)
"""Where no card states one: small converters at milliamperes; common practice, no source."""
_QUIESCENT = Estimate(1e-6, 10e-6, 100e-6)
"""Where no card states one: regulators and small converters; common practice, no source."""
_DROPOUT = 0.2
"""Volts, where no card states one; common practice, no source."""
_DEPTH = 4


@dataclass(frozen=True, slots=True)
class Stage:
    """One converter: its part, its role, the net it makes, output volts, efficiency, own current (A),
    the volts it needs over its output, and its supply range where that is known."""

    part: Part
    role: str
    net: str
    out_v: float
    efficiency: Estimate
    own_a: Estimate
    own_known: bool
    dropout_v: float
    supply: Range | None

    @property
    def linear(self) -> bool:
        """Whether it passes the load's current on, volt for volt."""
        return self.role == "regulator"

    def least_in(self, least_out_v: float) -> float:
        """The input voltage below which it gives less than ``least_out_v``."""
        starts = self.supply.low if self.supply is not None else 0.0
        if self.role in ("boost", "buck-boost"):
            return starts
        return max(starts, least_out_v + self.dropout_v) if least_out_v > 0 else starts

    def takes(self, nominal_v: float, full_v: float) -> bool:
        """Whether it works from a source of that nominal voltage, and of the full one."""
        most = self.supply.high if self.supply is not None else float("inf")
        if self.role == "boost":
            most = min(most, self.out_v + _DROPOUT)
        needs_over = self.role not in ("boost", "buck-boost")
        least = self.out_v + self.dropout_v if needs_over else self.least_in(0.0)
        return full_v <= most and nominal_v >= least


@dataclass(frozen=True, slots=True)
class SupplyPath:
    """From the load back to the cell: the load's net and the stages, load side first."""

    net: str | None
    stages: tuple[Stage, ...]

    @property
    def words(self) -> str:
        """The path in words: "the cell, step-up converter U1 (3.3 V), the load"."""
        names = {
            "regulator": "linear regulator",
            "boost": "step-up converter",
            "buck": "step-down converter",
        }
        kinds = [
            f"{names.get(s.role, 'converter')} {s.part.ref} ({s.out_v:.3g} V)"
            for s in reversed(self.stages)
        ]
        return ", ".join(["the cell", *kinds, "the load"])

    def above(self, stage: int) -> SupplyPath:
        """The path of a load that sits on the output of that stage."""
        return SupplyPath(self.stages[stage].net, self.stages[stage:])

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
            in_v = self._input_v(position, cell_v)
            out_v = min(stage.out_v, in_v) if stage.role == "buck" else stage.out_v
            share = float(getattr(stage.efficiency, which))
            current = through_switching(current, out_v, in_v, share, 0.0)
        return current

    def _input_v(self, position: int, cell_v: float) -> float:
        below = self.stages[position + 1] if position + 1 < len(self.stages) else None
        return below.out_v if below is not None else cell_v

    def least_cell_v(self, least_load_v: float) -> float:
        """The cell's voltage below which the load gets less than ``least_load_v``."""
        needed = least_load_v
        for stage in self.stages:
            needed = stage.least_in(needed)
        return needed

    def rail_v(self, cell_v: float) -> float:
        """Volts on the load's rail when the cell gives ``cell_v``; 0 when a converter stops."""
        volts = cell_v
        for stage in reversed(self.stages):
            if volts < stage.least_in(0.0):
                return 0.0
            if stage.role in ("boost", "buck-boost"):
                volts = max(stage.out_v, volts if stage.role == "boost" else 0.0)
            else:
                volts = min(stage.out_v, max(volts - stage.dropout_v, 0.0))
        return volts


def supply_path(board: Board) -> SupplyPath:
    """The path to the board's main load: its radio, else its controller, else its first chip."""

    def work() -> SupplyPath:
        net = _load_net(board)
        stages: list[Stage] = []
        at = net
        while at is not None and len(stages) < _DEPTH:
            stage, at = _stage(board, at, {s.part.ref for s in stages})
            if stage is not None:
                stages.append(stage)
        return SupplyPath(net, tuple(stages))

    return board.once("supply-path", work)


def _load_net(board: Board) -> str | None:
    for role in LOADS:
        for part in board.parts_as(role):
            for net in board.nets_for(part, "supply"):
                if not board.is_ground(net):
                    return net
    return None


def _stage(board: Board, net: str, seen: set[str]) -> tuple[Stage | None, str | None]:
    """The converter that drives a net, and the net that feeds it; no net when the cell does."""
    if net in cell_nets(board):
        return None, None
    rail = board.volts(net)
    drivers = rail.drivers if isinstance(rail, Rail) else ()
    for part in board.parts_as(*SOURCES):
        drives = part.ref in drivers or net in board.nets_for(part, "output")
        if drives and part.ref not in seen:
            inputs = [n for n in board.nets_for(part, "supply") if not board.is_ground(n)]
            return stage_of(board, part, net), inputs[0] if inputs else None
    return None, None


def cell_nets(board: Board) -> frozenset[str]:
    """Nets that the cell's current reaches through plain joins and switches."""
    cell = board.cell
    if cell is None:
        return frozenset()
    start = plus_nets(board, cell)
    return board.once(
        "cell-nets", lambda: frozenset(walk(board, start, transistors=False)) - board.grounds
    )


def other_stages(board: Board, path: SupplyPath) -> Iterator[Stage]:
    """Converters that the cell feeds besides those on the path."""
    fed = set(cell_nets(board)) | {s.net for s in path.stages}
    known = {s.part.ref for s in path.stages}
    for part in board.parts_as(*SOURCES):
        nets = set(board.nets_for(part, "supply"))
        if part.ref not in known and nets & fed:
            outputs = board.nets_for(part, "output")
            yield stage_of(board, part, outputs[0] if outputs else "")


def stage_of(board: Board, part: Part, net: str) -> Stage:
    """What is known of a converter, usual figures for the rest."""
    own = board.known(part, "quiescent")
    share, dropout = board.known(part, "efficiency"), board.known(part, "dropout")
    supply = board.known(part, "supply")
    role = board.role(part.ref).name
    return Stage(
        part=part,
        role=role,
        net=net,
        out_v=_set_volts(board, part, board.volts(net or None), role),
        efficiency=spread(share) or _EFFICIENCY,
        own_a=spread(own) or _QUIESCENT,
        own_known=isinstance(own, Known),
        dropout_v=dropout.value.high if isinstance(dropout, Known) else _DROPOUT,
        supply=supply.value if isinstance(supply, Known) else None,
    )


def _set_volts(board: Board, part: Part, rail: Rail | Need, role: str) -> float:
    """The set output: a sagging rail's upper end is what a regulator was set to."""
    stated = board.known(part, "output")
    if isinstance(stated, Known):
        return stated.value.middle
    if isinstance(rail, Rail):
        return rail.volts.middle if role in ("boost", "buck-boost") else rail.volts.high
    return 3.3


def spread(known: Known | Need) -> Estimate | None:
    """A known range as an estimate; None for a need."""
    if isinstance(known, Need):
        return None
    return Estimate(known.value.low, known.value.middle, known.value.high)
