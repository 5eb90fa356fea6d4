"""Readings in ohms and volts held against the parts known to lie between the pins."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass

from counterpoise.model.circuit import Part
from counterpoise.model.ringout import Doubt, Lead, LogRow, ReadingKind
from counterpoise.ringout.conductors import Conductor, resistance
from counterpoise.ringout.evidence import Bench, joins, said
from counterpoise.ringout.infer import State
from counterpoise.roles.board import Board
from counterpoise.values.ranges import Range

METER_FRACTION = 0.02
METER_OHMS = 0.5
"""How far off a hand meter and its leads may be: common practice, no source."""

COIL_OHMS = 10.0
"""Ohms. The most that a small coil, bead or fuse has: common practice, no source."""

DROPS = {"led": Range(1.2, 3.6), "diode": Range(0.1, 1.2), "zener": Range(0.4, 1.2)}
"""Volts at a meter's small test current, by role; from memory, wide on purpose."""

_SOLVE_LIMIT = 120
"""Nets. A resistor network larger than that is not solved."""


@dataclass(frozen=True, slots=True)
class _Link:
    """A resistance between two nets, in ohms."""

    part: Part
    a: int
    b: int
    ohms: Range


def explain(
    state: State, board: Board, parts: tuple[Conductor, ...], bench: Bench
) -> tuple[tuple[str, ...], tuple[Doubt, ...]]:
    """What explains each figure, and the figures that nothing known explains."""
    links = tuple(_links(state, board, parts))
    good: list[str] = []
    doubts: list[Doubt] = []
    for row in state.evidence.figures:
        if joins(row, bench):
            continue
        a, b = state.pins.place(row.first), state.pins.place(row.second)
        nets = (state.net_of[a], state.net_of[b])
        if nets[0] == nets[1]:
            continue  # told as a contradiction
        words, fits = (
            _ohms(row, nets, links)
            if row.kind is ReadingKind.OHMS
            else _drop(row, nets, state, board)
        )
        if fits:
            good.append(f"row {row.row}: {said(row)} is {words}")
        else:
            doubts.append(Doubt(row.first, row.second, f"row {row.row} reads {said(row)}; {words}"))
    return tuple(good), tuple(doubts)


def _links(state: State, board: Board, parts: tuple[Conductor, ...]) -> Iterator[_Link]:
    always = {part.ref for part in parts if part.sure}
    for part in board.circuit.parts:
        if len(part.pins) != 2:
            continue
        ohms = resistance(part) if board.role(part.ref).name == "resistor" else None
        if ohms is None and part.ref in always:
            ohms = Range(0.0, COIL_OHMS)
        a, b = (state.net_of[state.pins.place(Lead(p.ref, p.number))] for p in part.pins)
        if ohms is not None and a != b:
            yield _Link(part, a, b, ohms)


def _ohms(row: LogRow, nets: tuple[int, int], links: tuple[_Link, ...]) -> tuple[str, bool]:
    path = _path(nets, links)
    if path is None:
        return (
            "no known part between these nets explains it (the inside of a chip, or a joint not "
            "found yet)",
            False,
        )
    between = _between(nets, links)
    if between is None:
        return "too many resistors lie around it to be worked out", False
    low = between.low * (1 - METER_FRACTION) - METER_OHMS
    high = between.high * (1 + METER_FRACTION) + METER_OHMS
    named = " and ".join(f"{link.part.ref} ({link.part.value or '?'})" for link in path)
    series = " in series" if len(path) > 1 else ""
    alone = Range(sum(link.ohms.low for link in path), sum(link.ohms.high for link in path))
    beside = between.high < alone.low - METER_OHMS
    if low <= row.value <= high:
        return named + series + (" with other resistors in parallel" if beside else ""), True
    if row.value > high:
        return f"{named}{series} would allow no more than {_figure(high)}", False
    return (
        f"{named}{series} would read {_figure(between.middle)}; something in parallel lowers it, or "
        "it is another part",
        False,
    )


def _figure(ohms: float) -> str:
    return f"{ohms / 1e3:.4g} kohm" if ohms >= 1e3 else f"{ohms:.4g} ohm"


def _path(nets: tuple[int, int], links: tuple[_Link, ...]) -> list[_Link] | None:
    """The fewest resistors in series from one net to the other."""
    before: dict[int, tuple[int, _Link]] = {}
    seen, queue = {nets[0]}, deque([nets[0]])
    while queue:
        net = queue.popleft()
        for link in links:
            other = {link.a: link.b, link.b: link.a}.get(net)
            if other is not None and other not in seen:
                seen.add(other)
                before[other] = (net, link)
                queue.append(other)
    if nets[1] not in seen:
        return None
    path, net = [], nets[1]
    while net != nets[0]:
        net, link = before[net]
        path.append(link)
    return path[::-1]


def _between(nets: tuple[int, int], links: tuple[_Link, ...]) -> Range | None:
    """The resistance between two nets: it rises with each resistor, so the ends give the ends."""
    reached, grown = {nets[0]}, True
    while grown:
        more = {n for link in links for n in (link.a, link.b) if {link.a, link.b} & reached}
        grown = not more <= reached
        reached |= more
    if len(reached) > _SOLVE_LIMIT:
        return None
    inside = [link for link in links if link.a in reached]
    low = _solve(nets, sorted(reached), [(e.a, e.b, e.ohms.low) for e in inside])
    high = _solve(nets, sorted(reached), [(e.a, e.b, e.ohms.high) for e in inside])
    return Range(min(low, high), max(low, high))


def _solve(nets: tuple[int, int], nodes: list[int], edges: list[tuple[int, int, float]]) -> float:
    """Ohms between two nodes, by node analysis with the second node held at 0 V and 1 A put in."""
    free = [node for node in nodes if node != nets[1]]
    at = {node: place for place, node in enumerate(free)}
    size = len(free)
    rows = [[0.0] * (size + 1) for _ in free]
    rows[at[nets[0]]][size] = 1.0
    for a, b, ohms in edges:
        siemens = 1 / max(ohms, 1e-6)
        for one, other in ((a, b), (b, a)):
            if one in at:
                rows[at[one]][at[one]] += siemens
                if other in at:
                    rows[at[one]][at[other]] -= siemens
    for place in range(size):
        pivot = max(range(place, size), key=lambda r: abs(rows[r][place]))
        rows[place], rows[pivot] = rows[pivot], rows[place]
        for row in rows[place + 1 :]:
            factor = row[place] / rows[place][place]
            for column in range(place, size + 1) if factor else ():
                row[column] -= factor * rows[place][column]
    volts = [0.0] * size
    for place in reversed(range(size)):
        known = sum(rows[place][c] * volts[c] for c in range(place + 1, size))
        volts[place] = (rows[place][size] - known) / rows[place][place]
    return volts[at[nets[0]]]


def _drop(row: LogRow, nets: tuple[int, int], state: State, board: Board) -> tuple[str, bool]:
    """A drop is read with the red lead on the anode."""
    reversed_: str | None = None
    for part in board.circuit.parts:
        window = DROPS.get(board.role(part.ref).name)
        ends = _diode_ends(part, state, board) if window is not None else None
        if window is None or ends is None:
            continue
        anode, cathode = ends
        if nets == (anode, cathode) and row.value in window:
            return f"{part.ref}, red lead on its anode", True
        if nets == (anode, cathode):
            return f"{part.ref} lies there, but would drop {_window(window)}", False
        if nets == (cathode, anode):
            reversed_ = part.ref
    if reversed_ is not None:
        return f"{reversed_} lies there the other way round: swap the leads, or its pins", False
    shared = _shared_chip(nets, state)
    if shared is not None and row.value in DROPS["diode"]:
        return f"a junction inside {shared}", True
    return "no known diode between these nets explains it", False


def _window(window: Range) -> str:
    return f"{window.low:g} to {window.high:g} V"


def _diode_ends(part: Part, state: State, board: Board) -> tuple[int, int] | None:
    ends = [board.pins_for(part, function) for function in ("anode", "cathode")]
    if any(len(pins) != 1 for pins in ends):
        return None
    places = [state.pins.place(Lead(part.ref, pins[0].number)) for pins in ends]
    return state.net_of[places[0]], state.net_of[places[1]]


def _shared_chip(nets: tuple[int, int], state: State) -> str | None:
    """A part of many pins that lies on both nets."""
    for ref, mask in state.pins.of_part.items():
        if mask.bit_count() > 3 and all(mask & state.nets[net] for net in nets):
            return ref
    return None
