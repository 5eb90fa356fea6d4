"""Rows that cannot all be right: the smallest sets first."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator

from counterpoise.model.ringout import Contradiction
from counterpoise.ringout.evidence import Apart, Beep, SomeBeep
from counterpoise.ringout.infer import State
from counterpoise.ringout.pins import bits

Adjacent = dict[int, list[tuple[int, int]]]
"""By pin: (row, other pin) of its beeps, sorted."""


def contradictions(state: State) -> tuple[Contradiction, ...]:
    """One for each reading that holds apart what beeps join, and for each sweep whose beep no pin
    can give; the smallest set of rows first."""
    adjacent = adjacency(state)
    found = [c for each in state.evidence.aparts if (c := _apart(state, adjacent, each))]
    found += [c for each in state.evidence.some if (c := _some(state, adjacent, each))]
    return tuple(sorted(found, key=lambda c: (len(c.rows), c.rows, c.pins)))


def adjacency(state: State) -> Adjacent:
    """The beeps that are taken as joints, by pin."""
    found: Adjacent = {}
    for beep in _taken(state):
        found.setdefault(beep.a, []).append((beep.row, beep.b))
        found.setdefault(beep.b, []).append((beep.row, beep.a))
    for links in found.values():
        links.sort()
    return found


def _taken(state: State) -> Iterator[Beep]:
    left = set(state.untaken)
    return (beep for beep in state.evidence.beeps if beep not in left)


def _ends(state: State, a: int, b: int) -> list[tuple[int, int]] | None:
    """One pair of pins for each net that lies on both sides, None when there is none."""
    shared = state.nets_of(a) & state.nets_of(b)
    if not shared:
        return None
    return [
        (next(bits(a & state.nets[net])), next(bits(b & state.nets[net]))) for net in bits(shared)
    ]


def path(adjacent: Adjacent, starts: int, ends: int) -> tuple[list[int], list[int]] | None:
    """The fewest beeps from one set of pins to another: (pins, rows)."""
    before: dict[int, tuple[int, int]] = {}
    queue = deque(bits(starts))
    seen = set(queue)
    while queue:
        pin = queue.popleft()
        if ends >> pin & 1:
            return _walked(before, pin)
        for row, other in adjacent.get(pin, ()):
            if other not in seen:
                seen.add(other)
                before[other] = (pin, row)
                queue.append(other)
    return None


def _walked(before: dict[int, tuple[int, int]], pin: int) -> tuple[list[int], list[int]]:
    pins, rows = [pin], []
    while pin in before:
        pin, row = before[pin]
        pins.append(pin)
        rows.append(row)
    return pins[::-1], rows[::-1]


def _apart(state: State, adjacent: Adjacent, each: Apart) -> Contradiction | None:
    if not state.nets_of(each.a) & state.nets_of(each.b):
        return None
    found = path(adjacent, each.a, each.b)
    if found is None or len(found[0]) < 2:
        return None
    pins, rows = found
    leads = tuple(state.pins.leads[pin] for pin in pins)
    beeps = _listed(rows)
    if len(rows) == 1:
        words = f"{leads[0]} and {leads[-1]} beep on {beeps} and read {each.said} on row {each.row}"
    else:
        chain = " - ".join(str(lead) for lead in leads)
        words = (
            f"{beeps} join {chain}, but row {each.row} reads {each.said} between "
            f"{leads[0]} and {leads[-1]}"
        )
    return Contradiction(leads, (*sorted(set(rows)), each.row), words + _inside(state, pins))


def _inside(state: State, pins: list[int]) -> str:
    """A switch whose closed contact would explain a beep between two of these pins."""
    joined = state.joined.find(pins[0])
    for each in state.passing:
        if not each.part.sure and state.joined.find(each.p) == joined:
            return f"; a closed path inside {each.part.label} would explain a beep"
    return ""


def _some(state: State, adjacent: Adjacent, each: SomeBeep) -> Contradiction | None:
    """A sweep that beeps though every pin under it is held apart: all rows that hold it so."""
    a, b = state.nets_of(each.a), state.nets_of(each.b)
    if a & b or any(b & ~state.apart[net] for net in bits(a)):
        return None
    rows: set[int] = set()
    for net in bits(a):
        for other in bits(b):
            rows |= _shortest_apart(state, adjacent, (net, other), (each.a, each.b))
    places = (each.row.first, each.row.second)
    words = (
        f"row {each.row.row} beeps between {places[0]} and {places[1]}, but {_listed(sorted(rows))} "
        "hold every pin there apart"
    )
    return Contradiction(places, (*sorted(rows), each.row.row), words)


def _shortest_apart(
    state: State, adjacent: Adjacent, nets: tuple[int, int], touched: tuple[int, int]
) -> set[int]:
    """The fewest rows that hold the touched pins of two nets apart."""
    first, second = state.nets[nets[0]], state.nets[nets[1]]
    best: set[int] | None = None
    for each in state.evidence.aparts:
        for a, b in ((each.a, each.b), (each.b, each.a)):
            if not (a & first and b & second):
                continue
            one = path(adjacent, touched[0] & first, a & first)
            two = path(adjacent, touched[1] & second, b & second)
            assert one is not None
            assert two is not None
            rows = {each.row, *one[1], *two[1]}
            if best is None or (len(rows), sorted(rows)) < (len(best), sorted(best)):
                best = rows
    return best or set()


def _listed(rows: list[int]) -> str:
    each = sorted(set(rows))
    if len(each) == 1:
        return f"row {each[0]}"
    shown = ", ".join(str(row) for row in each[:-1])
    return f"rows {shown} and {each[-1]}"
