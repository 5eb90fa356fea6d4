"""The resistance that a pin sees to ground through a small network of resistors and contacts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import product

from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.roles.paths import node

OPEN = float("inf")

_CONTACTS = ("slide-switch", "change-over-switch", "push-switch", "transistor")
_SILENT = ("capacitor", "test-point", "mechanical", "link", "ferrite")
_PASSED_ON = ("resistor", *_CONTACTS, *_SILENT)
_MOST_CONTACTS = 4


@dataclass(frozen=True, slots=True)
class Network:
    """What hangs on a pin: ``ohms`` for each state of its contacts (least first; infinite is open).

    With the resistors that took part, who else drives it, rails it leads to, unread values.
    """

    ohms: tuple[float, ...] = (OPEN,)
    resistors: tuple[str, ...] = ()
    driven_by: tuple[str, ...] = ()
    rails: tuple[str, ...] = ()
    unread: Mapping[str, Need] = field(default_factory=dict)


def network_of(board: Board, pin_net: str, owner: str, *, rails: frozenset[str]) -> Network:
    """The network from ``pin_net`` to ground.

    ``owner`` is the ref whose pin it is; ``rails`` are reported when reached and not followed.
    """
    start = _name(board, pin_net)
    trace = _Trace(board, {owner})
    todo, seen, led = [start], set[str](), set[str]()
    while todo:
        here = todo.pop()
        if here in seen or here == "ground":
            continue
        seen.add(here)
        if here in rails and here != start:
            led.add(here)
            continue
        for part in _parts_at(board, here):
            todo += trace.take(part, here)
    return Network(
        ohms=_states(start, trace.edges),
        resistors=tuple(sorted(trace.resistors)),
        driven_by=tuple(sorted(trace.driven)),
        rails=tuple(sorted(led)),
        unread=trace.unread,
    )


@dataclass
class _Trace:
    """What was met so far while following the nets; ``used`` holds refs not to be taken again."""

    board: Board
    used: set[str]
    edges: list[tuple[str, str, float | None]] = field(default_factory=list)
    resistors: set[str] = field(default_factory=set)
    driven: set[str] = field(default_factory=set)
    unread: dict[str, Need] = field(default_factory=dict)

    def take(self, part: Part, here: str) -> list[str]:
        """Add the part, met on net ``here``, and give the nets it leads on to."""
        role = self.board.role(part.ref).name
        if part.ref in self.used:
            return []
        if role not in _PASSED_ON:
            self.driven.add(part.ref)
            return []
        ends = _ends(self.board, part, role)
        if role in _SILENT or here not in ends:
            return []
        self.used.add(part.ref)
        value = _value(self.board, part, role, self.unread)
        if role == "resistor":
            self.resistors.add(part.ref)
        others = sorted(ends - {here})
        self.edges += [(here, other, value) for other in others]
        return others


def _name(board: Board, net: str) -> str:
    joined = node(board, net)
    return "ground" if any(board.is_ground(n) for n in joined) else min(joined)


def _parts_at(board: Board, name: str) -> list[Part]:
    found = {part.ref: part for net in node(board, name) for part in board.on_net(net)}
    return [found[ref] for ref in sorted(found)]


def _ends(board: Board, part: Part, role: str) -> set[str]:
    nets = board.nets_for(part, "source", "drain") if role == "transistor" else part.nets
    return {_name(board, net) for net in nets or part.nets}


def _value(board: Board, part: Part, role: str, unread: dict[str, Need]) -> float | None:
    """Ohms of a resistor; None for a contact, which may be open or closed."""
    if role in _CONTACTS:
        return None
    value = board.value(part)
    if isinstance(value, Need):
        unread[part.ref] = value
        return OPEN
    return value.value.middle


def _states(start: str, edges: list[tuple[str, str, float | None]]) -> tuple[float, ...]:
    contacts = [i for i, edge in enumerate(edges) if edge[2] is None][:_MOST_CONTACTS]
    found = set()
    for closed in product((True, False), repeat=len(contacts)):
        state = dict(zip(contacts, closed, strict=True))
        fixed = [
            (a, b, value if value is not None else (1e-3 if state.get(i, True) else OPEN))
            for i, (a, b, value) in enumerate(edges)
        ]
        found.add(_resistance(start, fixed))
    return tuple(sorted(found))


def _resistance(start: str, edges: list[tuple[str, str, float]]) -> float:
    """Ohms from ``start`` to "ground", by Kirchhoff's current law: one ampere in, volts out."""
    if start == "ground":
        return 0.0
    live = [(a, b, max(r, 1e-3)) for a, b, r in edges if r != OPEN and a != b]
    joined = {"ground"}
    while True:
        more = {x for a, b, _ in live if a in joined or b in joined for x in (a, b)} - joined
        if not more:
            break
        joined |= more
    if start not in joined:
        return OPEN
    names = sorted(joined - {"ground"})
    at = {name: i for i, name in enumerate(names)}
    rows = [[0.0] * (len(names) + 1) for _ in names]
    for a, b, r in live:
        if a not in joined:
            continue
        for one, other in ((a, b), (b, a)):
            if one in at:
                rows[at[one]][at[one]] += 1 / r
                if other in at:
                    rows[at[one]][at[other]] -= 1 / r
    rows[at[start]][-1] = 1.0
    return _solved(rows)[at[start]]


def _solved(rows: list[list[float]]) -> list[float]:
    size = len(rows)
    for column in range(size):
        pivot = max(range(column, size), key=lambda r: abs(rows[r][column]))
        rows[column], rows[pivot] = rows[pivot], rows[column]
        for r in range(size):
            if r != column and rows[r][column]:
                factor = rows[r][column] / rows[column][column]
                rows[r] = [x - factor * y for x, y in zip(rows[r], rows[column], strict=True)]
    return [rows[i][-1] / rows[i][i] for i in range(size)]
