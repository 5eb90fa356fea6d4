"""What drives the nets: cells, USB, chargers, power paths, converters, and stated outputs."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.roles._rail_cells import cell_level, charger_level
from counterpoise.roles._rail_level import Level, path_volts, written
from counterpoise.roles._rail_outputs import CONVERTERS, output_nets, setting, under_load
from counterpoise.roles._rail_paths import Paths
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import need
from counterpoise.values.ranges import Range

if TYPE_CHECKING:
    from counterpoise.roles.board import Board

_FIRM_PINS = ("manifest", "card", "pins")


@dataclass(frozen=True, slots=True)
class Source:
    """A part that drives a node, with the level it gives or the fact that is missing to tell."""

    node: str
    ref: str
    level: Level | Need


def fixed(board: Board, paths: Paths) -> tuple[Source, ...]:
    """Sources that depend on no other rail: cells, USB, chargers' cell pins, stated outputs."""
    cells = _cells(board, paths)
    taken = {s.node for s in cells}
    return (*cells, *_chargers(board, paths, taken), *_usb(board, paths), *_stated(board, paths))


def _cells(board: Board, paths: Paths) -> tuple[Source, ...]:
    cells = [p for p in board.parts_as("cell") if len(board.nets_for(p, "plus")) == 1]
    chargers: dict[str, list[Part]] = {}
    for charger in board.parts_as("charger"):
        for net in board.nets_for(charger, "cell"):
            chargers.setdefault(paths.node(net), []).append(charger)
    found: list[Source] = []
    base: dict[str, Level] = {}
    waiting = list(cells)
    while waiting:
        plus_nodes = {paths.node(board.nets_for(p, "plus")[0]): p for p in waiting}
        ready = [p for p in waiting if not _below(board, paths, p, plus_nodes)]
        for part in ready or waiting:
            node = paths.node(board.nets_for(part, "plus")[0])
            level = cell_level(board, part, tuple(chargers.get(node, ())))
            level = _stacked(board, paths, part, level, base)
            if isinstance(level, Level):
                base[node] = level
            if not paths.is_ground(node):
                found.append(Source(node, part.ref, level))
        waiting = [p for p in waiting if p not in ready] if ready else []
    return tuple(found)


def _below(board: Board, paths: Paths, part: Part, plus: Mapping[str, Part]) -> bool:
    """Whether another waiting cell stands under this one in series."""
    return any(
        (other := plus.get(paths.node(net))) is not None and other is not part
        for net in board.nets_for(part, "minus")
    )


def _stacked(
    board: Board, paths: Paths, part: Part, level: Level | Need, base: Mapping[str, Level]
) -> Level | Need:
    under = [base.get(paths.node(net)) for net in board.nets_for(part, "minus")]
    lower = next((u for u in under if u is not None), None)
    if lower is None or isinstance(level, Need):
        return level
    total = lower.volts + level.volts
    says = f"{' and '.join((*lower.drivers, part.ref))} in series give {written(total)}"
    return Level(total, (*lower.drivers, part.ref), says, lower.firm and level.firm)


def _chargers(board: Board, paths: Paths, taken: set[str]) -> tuple[Source, ...]:
    found: list[Source] = []
    for charger in board.parts_as("charger"):
        nodes = {paths.node(n) for n in board.nets_for(charger, "cell")}
        found += [
            Source(node, charger.ref, charger_level(board, charger))
            for node in sorted(nodes - taken)
            if not paths.is_ground(node)
        ]
    return tuple(found)


def _is_host(part: Part) -> bool:
    """Whether a USB socket is one that feeds others (standard A receptacle)."""
    text = f"{part.symbol} {part.footprint} {part.value}".upper()
    return bool(re.search(r"USB_?A(\b|_)", text)) and "PLUG" not in text


def _usb(board: Board, paths: Paths) -> tuple[Source, ...]:
    found = []
    volts = path_volts("usb")
    for part in board.parts_as("usb-connector"):
        pins = board.pins_for(part, "vbus")
        nodes = {paths.node(p.net) for p in pins if p.net is not None}
        sure = board.role(part.ref).firm and all(
            board.function_evidence(p) in _FIRM_PINS for p in pins
        )
        for node in sorted(nodes):
            if _is_host(part) or paths.is_ground(node):
                continue
            says = f"USB at {part.ref} gives {written(volts)}"
            found.append(Source(node, part.ref, Level(volts, (part.ref,), says, sure)))
    return tuple(found)


def _stated(board: Board, paths: Paths) -> tuple[Source, ...]:
    """Outputs stated for parts that are no converter: connectors, unknown chips."""
    found = []
    for part in board.parts:
        told = board.manifest.parts.get(part.ref)
        volts = told.facts.get("output") if told is not None else None
        role = board.role(part.ref).name
        if not isinstance(volts, Range) or role in (*CONVERTERS, "charger", "power-path", "cell"):
            continue
        nets = board.nets_for(part, "output", "system") or board.nets_for(part, "vbus", "plus")
        if not nets:
            live = [n for n in part.nets if not board.is_ground(n)]
            nets = tuple(live) if len(live) == 1 else board.nets_for(part, "supply")
        nets = nets or brought_in(board, part)
        level = Level(volts, (part.ref,), f"{part.ref} gives {written(volts)}")
        found += [Source(paths.node(n), part.ref, level) for n in nets if not board.is_ground(n)]
    return tuple(found)


def brought_in(board: Board, part: Part) -> tuple[str, ...]:
    """The one net by which a connector of unnamed pins may feed the board: it alone of the
    connector's nets supplies chips. Empty where there are none or several."""
    if board.role(part.ref).name != "connector":
        return ()
    taken = [
        net
        for net in part.nets
        if not board.is_ground(net)
        and any(
            board.function_of(pin) == "supply"
            for pin in board.circuit.pins_on(net)
            if pin.ref != part.ref
        )
    ]
    return tuple(taken) if len(taken) == 1 else ()


def _fed(board: Board, paths: Paths, part: Part, levels: Mapping[str, Level]) -> Level | None:
    nets = board.nets_for(part, "supply")
    found = [levels[n] for net in nets if (n := paths.node(net)) in levels]
    if not found:
        return None
    lowest = found[0]
    for level in found[1:]:
        lowest = lowest.joined(level)
    return lowest


def converters(board: Board, paths: Paths, levels: Mapping[str, Level]) -> tuple[Source, ...]:
    """What each converter and power path gives, its input's range as worked out so far."""
    found: list[Source] = []
    for part in board.parts_as(*CONVERTERS):
        fed = _fed(board, paths, part, levels)
        for net in output_nets(board, part):
            made = setting(board, part, net)
            level = under_load(board, part, made, fed) if isinstance(made, Level) else made
            found.append(Source(paths.node(net), part.ref, level))
    for part in board.parts_as("charger", "power-path"):
        found += _system(board, paths, part, levels)
    return tuple(found)


def _system(board: Board, paths: Paths, part: Part, levels: Mapping[str, Level]) -> list[Source]:
    """A power path's output: the cell's range or the input's, or what it regulates the input to."""
    nets = [n for n in board.nets_for(part, "system") if not board.is_ground(n)]
    if not nets:
        return []
    ways = [n for net in board.nets_for(part, "cell") if (n := paths.node(net)) in levels]
    inputs = [n for net in board.nets_for(part, "supply") if (n := paths.node(net)) in levels]
    fact = board.known(part, "output")
    given = [levels[n] for n in dict.fromkeys(ways)]
    if isinstance(fact, Known):
        says = f"{part.ref} makes {written(fact.value)}"
        firm = fact.firm and board.role(part.ref).firm
        given.append(Level(fact.value, (part.ref,), says, firm))
    else:
        given += [levels[n] for n in dict.fromkeys(inputs)]
    level: Level | Need = need(part, "output")
    if given:
        joined = given[0]
        for other in given[1:]:
            joined = joined.joined(other)
        # The switches inside drop a little; how much depends on the load.
        low = max(joined.volts.low - 0.2, 0.0)
        says = f"{joined.because} through {part.ref}"
        firm = joined.firm and board.role(part.ref).firm
        level = Level(Range(low, joined.volts.high), joined.drivers, says, firm)
    return [Source(paths.node(n), part.ref, level) for n in nets]
