"""A whole log: the nets it proves, what contradicts, what is doubtful, what to probe next."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

from counterpoise.catalog.cards import Card
from counterpoise.model.circuit import Circuit
from counterpoise.model.design import Design
from counterpoise.model.ringout import (
    Doubt,
    Effort,
    Log,
    NextProbe,
    Recovered,
    RingNet,
    Suspect,
)
from counterpoise.ringout.conductors import SWITCHES, Conductor, conductors
from counterpoise.ringout.contradictions import contradictions
from counterpoise.ringout.evidence import Bench, gather
from counterpoise.ringout.explain import explain
from counterpoise.ringout.infer import State, infer
from counterpoise.ringout.pins import Pins, bits
from counterpoise.ringout.planner import plan
from counterpoise.ringout.suspects import suspects
from counterpoise.roles.board import Board

_LISTED = 8
_NO_PARTS = "only pins that the log names are known; a parts list (--parts FILE) gives the others"


def recover(
    log: Log,
    parts: Circuit,
    cards: tuple[Card, ...] = (),
    *,
    bench: Bench | None = None,
    page: int = 1,
    probes: int = 20,
    all_pins_known: bool = True,
) -> Recovered:
    """What a log of readings says of the wiring between the pins of ``parts``.

    ``parts`` carries no wiring (any it carries is not looked at). With ``all_pins_known`` False the
    parts list holds only what the log names, so that nothing can be called complete.
    """
    bench = bench or Bench()
    bare = _unwired(parts)
    board = Board(Design(log.name, circuit=bare, netlist=bare), cards)
    pins = Pins.of(bare)
    known = conductors(board, pins, bench.beep_below)
    state = infer(gather(log, pins, known, bench), pins, known)
    found = contradictions(state)
    explained, doubts = explain(state, board, known, bench)
    blamed = suspects(state, found)
    again = _again(log, blamed)[: probes if page == 1 else 0]
    following, more = plan(state, board, known, page=page, probes=probes)
    following = (*again, *following)[:probes]
    complete = state.proven and not found and all_pins_known
    count, nets = len(pins), len(state.nets)
    return Recovered(
        log=log.name,
        nets=_named_nets(state, board),
        alone=tuple(pins.leads[next(bits(net))] for net in state.nets if net.bit_count() == 1),
        contradictions=found,
        suspects=blamed,
        doubtful=(*_doubts(state), *doubts),
        explained=explained,
        untested=state.untested,
        following=() if complete else following,
        page=page,
        more=more and not complete,
        complete=complete,
        effort=Effort(
            readings=len(log.rows),
            pins=count,
            nets=nets,
            pairs=count * (count - 1) // 2,
            floor=nets * (nets - 1) // 2 + count - nets,
        ),
        notes=log.notes if all_pins_known else (*log.notes, _NO_PARTS),
    )


def recovered_circuit(recovered: Recovered, parts: Circuit) -> Circuit:
    """The parts joined by the recovered nets; pins on no net stay unjoined."""
    on = {(lead.ref, lead.number): net.name for net in recovered.nets for lead in net.pins}
    return Circuit(
        tuple(
            replace(part, pins=tuple(replace(p, net=on.get((p.ref, p.number))) for p in part.pins))
            for part in parts.parts
        )
    )


def _unwired(parts: Circuit) -> Circuit:
    bare = (
        replace(part, pins=tuple(replace(pin, net=None) for pin in part.pins))
        for part in parts.parts
    )
    return Circuit(tuple(bare), knows_wiring=False)


def _again(log: Log, blamed: tuple[Suspect, ...]) -> tuple[NextProbe, ...]:
    """The rows to read again: those that would explain the most contradictions."""
    rows = {row.row: row for row in log.rows}
    found: list[NextProbe] = []
    for each in blamed:
        if each.shares == blamed[0].shares and len(found) < _LISTED:
            row = rows[each.row]
            why = f"read again: a misread row {row.row} may explain the contradictions"
            found.append(NextProbe(row.first, row.second, why, tuple(sorted(row.lifted))))
    return tuple(found)


# -- names ----------------------------------------------------------------------------------------
def _named_nets(state: State, board: Board) -> tuple[RingNet, ...]:
    found: list[RingNet] = []
    taken: set[str] = set()
    for net in state.nets:
        if net.bit_count() > 1:
            name = _unique(_net_name(state, board, net), taken)
            found.append(RingNet(name, tuple(state.pins.leads[pin] for pin in bits(net))))
    return tuple(found)


def _net_name(state: State, board: Board, net: int) -> str:
    """By the ground or supply pins on it, else by its first pin: U2.5 gives "N-U2-5"."""
    pins = [state.pins.pins[place] for place in bits(net)]
    functions = [(board.function_of(pin), pin.name) for pin in pins]
    for wanted, fallback in (("ground", "GND"), ("supply", "")):
        names = Counter(name for function, name in functions if function == wanted and name)
        if names:
            name = min(names, key=lambda each: (-names[each], each))
            return fallback or re.sub(r"\d+$", "", name) or name
    lead = max(
        (state.pins.leads[place] for place in bits(net)),
        key=lambda each: state.pins.of_part[each.ref].bit_count(),
    )
    return f"N-{lead.ref}-{lead.number}"


def _unique(name: str, taken: set[str]) -> str:
    number, made = 1, name
    while made in taken:
        number += 1
        made = f"{name}_{number}"
    taken.add(made)
    return made


# -- doubts ---------------------------------------------------------------------------------------
def _doubts(state: State) -> tuple[Doubt, ...]:
    leads = state.pins.leads
    found = [
        Doubt(leads[each.p], leads[each.q], _passing_words(state, each.part, each.p, each.q))
        for each in state.passing
    ]
    ring = sorted({beep.row for beep in state.untaken})
    for beep in state.untaken:
        rows = ", ".join(str(row) for row in ring[:_LISTED]) + (
            ", …" if len(ring) > _LISTED else ""
        )
        words = f"row {beep.row} beeps, but one of rows {rows} came through {_ways(state)}"
        found.append(Doubt(leads[beep.a], leads[beep.b], f"{words}; none is taken as a joint yet"))
    for beep in state.unproven:
        words = f"row {beep.row} may have come through {_ways(state)}"
        found.append(Doubt(leads[beep.a], leads[beep.b], f"{words}; taken as a joint until read"))
    for some in state.evidence.some:
        if not state.nets_of(some.a) & state.nets_of(some.b):
            words = (
                f"row {some.row.row} beeps on a sweep: some pin is joined, which is not known yet"
            )
            found.append(Doubt(some.row.first, some.row.second, words))
    return tuple(found)


def _ways(state: State) -> str:
    refs = dict.fromkeys(each.part.label for each in state.passing if each.part.sure)
    return " or ".join(refs)


def _passing_words(state: State, part: Conductor, p: int, q: int) -> str:
    rows = [b.row for b in state.evidence.across if {b.a, b.b} == {p, q}]
    row = (
        f"row {rows[0]} beeps over {part.label}"
        if rows
        else f"beeps join both ends of {part.label}"
    )
    why = (
        "a closed path inside it would do the same"
        if part.called in SWITCHES or not part.sure
        else "it beeps by itself"
    )
    if state.joined.same(p, q):
        return f"{row}, and {why}; taken as joined because other pins join them too"
    return f"{row}, and {why}; not taken as a joint"
