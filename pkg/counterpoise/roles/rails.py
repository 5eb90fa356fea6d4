"""Which voltage each net may have, reasoned from what drives it.

Sources (cells, USB, converters) give a level to their node; levels go on through diodes, switches
and series parts. A node that several sources reach has the range that holds all of them. Converters
follow their input, so the work is done again until nothing changes, in a bounded number of rounds.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from counterpoise.model.circuit import PinKind
from counterpoise.model.facts import Need
from counterpoise.roles._rail_level import Level
from counterpoise.roles._rail_paths import Edge, Paths
from counterpoise.roles._rail_sources import Source, brought_in, converters, fixed
from counterpoise.roles.facts import stating
from counterpoise.roles.voltages import level_by_name
from counterpoise.values.ranges import Range

if TYPE_CHECKING:
    from counterpoise.roles.board import Board

_ROUNDS = 8


@dataclass(frozen=True, slots=True)
class Rail:
    """A net's possible range in volts while it is powered, who drives it, and why.

    ``firm`` is False where a guessed role, a net's name or a figure from memory carries the answer.
    ``drivers`` are refs. ``because`` is the chain in words: "U2 makes 3.3 V",
    "cell BT1 3.0 to 4.2 V through D1".
    """

    net: str
    volts: Range
    drivers: tuple[str, ...]
    because: str
    firm: bool = True


@dataclass(frozen=True, slots=True)
class Supplies:
    """Every rail that could be worked out, and by net what is missing for others."""

    rails: Mapping[str, Rail]
    needs: Mapping[str, Need]


def _passable(edge: Edge, last: str, owned: frozenset[str], missing: bool) -> bool:
    if edge.ref == last or (edge.weak and edge.to in owned):
        return False
    return not (missing and edge.sags)


def _spread(
    source: Source, edges: Mapping[str, tuple[Edge, ...]], owned: frozenset[str]
) -> Iterable[tuple[str, Level | Need]]:
    """Every node that a source reaches, each once by the fewest parts, with what arrives there."""
    seen = {source.node}
    queue: deque[tuple[str, Level | Need, str]] = deque([(source.node, source.level, "")])
    while queue:
        node, level, last = queue.popleft()
        yield node, level
        for edge in edges.get(node, ()):
            missing = isinstance(level, Need)
            if edge.to in seen or not _passable(edge, last, owned, missing):
                continue
            seen.add(edge.to)
            carried = level if isinstance(level, Need) else edge.carry(level)
            queue.append((edge.to, carried, edge.ref))


def _together(sources: Iterable[Source]) -> tuple[Source, ...]:
    """One source a node: alternates joined; a need among them stays a need."""
    found: dict[str, Source] = {}
    for source in sorted(sources, key=lambda s: (s.node, s.ref)):
        other = found.get(source.node)
        if other is None or isinstance(source.level, Need):
            found[source.node] = source
        elif isinstance(other.level, Level):
            found[source.node] = Source(source.node, other.ref, other.level.joined(source.level))
    return tuple(found.values())


def _settle(sources: Iterable[Source], paths: Paths) -> tuple[dict[str, Level], dict[str, Need]]:
    """All levels by node; a node that a source of unknown level reaches has a need instead."""
    sources = _together(sources)
    owned = frozenset(s.node for s in sources)
    levels: dict[str, Level] = {}
    needs: dict[str, Need] = {}
    for source in sources:
        for node, level in _spread(source, paths.edges, owned):
            if isinstance(level, Need):
                needs.setdefault(node, level)
            else:
                levels[node] = levels[node].joined(level) if node in levels else level
    for node in needs:
        levels.pop(node, None)
    return levels, needs


def _named(paths: Paths, known: Iterable[str]) -> tuple[Source, ...]:
    """Nodes that nothing is known to drive but whose name states a voltage."""
    known = set(known)
    return tuple(
        Source(node, "", level)
        for node in paths.nodes
        if node not in known
        and not paths.is_ground(node)
        and (level := level_by_name(paths.members(node))) is not None
    )


def _work_out(board: Board) -> Supplies:
    paths = Paths(board)
    given = fixed(board, paths)
    levels: dict[str, Level] = {}
    needs: dict[str, Need] = {}
    names: tuple[Source, ...] = ()
    # The second pass lets names speak only where nothing else reached.
    for by_name in (False, True):
        if by_name:
            names = _named(paths, {*levels, *needs})
        for _ in range(_ROUNDS):
            made = converters(board, paths, levels)
            before = levels
            levels, needs = _settle([*given, *made, *names], paths)
            if levels == before:
                break
    rails = {
        net: Rail(net, level.volts, level.drivers, level.because, level.firm)
        for node, level in levels.items()
        for net in paths.members(node)
    }
    for net in board.grounds:
        rails[net] = Rail(net, Range(0.0, 0.0), (), "ground")
    missing = {net: need for node, need in needs.items() for net in paths.members(node)}
    return Supplies(
        MappingProxyType(dict(sorted(rails.items()))),
        MappingProxyType(dict(sorted(missing.items()))),
    )


def work_out(board: Board) -> Supplies:
    """The board's rails, worked out once."""
    return board.once("rails", lambda: _work_out(board))


def _driver_need(board: Board, net: str) -> Need:
    """Who probably drives a net, and the line that would state its voltage."""
    for pin in board.circuit.pins_on(net):
        part = board.circuit.part(pin.ref)
        if part is None or not part.fitted:
            continue
        function = board.function_of(pin)
        if (
            function in ("output", "system", "inner-supply", "plus")
            or pin.kind is PinKind.POWER_OUT
        ):
            line = stating(pin.ref, "output", "3.3 V")
            return Need(f"the voltage that {pin.ref} gives on {net}", line)
    for part in board.on_net(net, "connector"):
        if net in brought_in(board, part):
            line = stating(part.ref, "output", "5 V")
            return Need(f"the voltage that comes in at {part.ref} on {net}", line)
    return Need(
        f"the voltage of the net {net}",
        'board.toml: [parts.REF] output = "3.3 V" (REF: the part that drives it)',
    )


def volts_of(board: Board, net: str | None) -> Rail | Need:
    """The range of one net, or the fact that is missing to tell it."""
    if net is None:
        return Need("a net on the pin", "the schematic: join the pin")
    supplies = work_out(board)
    found = supplies.rails.get(net)
    if found is not None:
        return found
    return supplies.needs.get(net) or _driver_need(board, net)
