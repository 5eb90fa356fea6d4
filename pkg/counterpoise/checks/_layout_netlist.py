"""The layout against the netlist: which pins the two join, and the parts of each."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import layout_of, place
from counterpoise.checks._layout_values import values_differ
from counterpoise.model.circuit import Circuit
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.refdes import natural

BOARD = "the board"


def differs(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare which pins the netlist joins with which pads the layout joins; names do not count."""
    listed, drawn = board.design.netlist, board.design.drawn
    if listed is None or not listed.knows_wiring:
        need = Need("the netlist file beside the board", 'board.toml: [board] netlist = "…"')
        yield Unknown(BOARD, (need,))
        return
    if drawn is None or not drawn.knows_wiring:
        yield Unknown(BOARD, (Need("the board file", 'board.toml: [board] layout = "…"'),))
        return
    found = [
        *_missing(board, listed, drawn),
        *_moved(board, listed, drawn),
        *values_differ(board, listed, drawn),
    ]
    yield from found or [Pass(BOARD)]


def _once(circuit: Circuit) -> frozenset[str]:
    counts = Counter(part.ref for part in circuit.parts)
    return frozenset(ref for ref, count in counts.items() if count == 1)


def _missing(board: Board, listed: Circuit, drawn: Circuit) -> Iterator[Verdict]:
    layout = layout_of(board)
    for part in sorted(listed.parts, key=lambda p: natural(p.ref)):
        if part.pins and drawn.part(part.ref) is None and layout.footprint(part.ref) is None:
            yield Fail((part.ref,), "absent", {})
    for part in sorted(drawn.parts, key=lambda p: natural(p.ref)):
        joined = {pin.number for pin in part.pins if pin.net is not None}
        footprint = layout.footprint(part.ref)
        own = footprint is not None and (footprint.board_only or not footprint.bought)
        if part.ref and len(joined) > 1 and listed.part(part.ref) is None and not own:
            spot = place(footprint.at, footprint.side) if footprint else None
            yield Fail((part.ref,), "extra", {}, place=spot)


def _wiring(circuit: Circuit, refs: frozenset[str]) -> dict[tuple[str, str], str]:
    """Net by pin, lone pins left out: a net with one pin joins nothing."""
    nets: dict[tuple[str, str], str] = {}
    for part in circuit.parts:
        if part.ref in refs:
            for pin in part.pins:
                if pin.net is not None:
                    nets[(part.ref, pin.number)] = pin.net
    sizes = Counter(nets.values())
    return {pin: net for pin, net in nets.items() if sizes[net] > 1}


def _moved(board: Board, listed: Circuit, drawn: Circuit) -> Iterator[Verdict]:
    refs = _once(listed) & _once(drawn)
    wanted, made = _wiring(listed, refs), _wiring(drawn, refs)
    known = {(p.ref, pin.number) for p in drawn.parts if p.ref in refs for pin in p.pins}
    pins = sorted((wanted.keys() | made.keys()) & known, key=lambda k: (natural(k[0]), k[1]))
    names = _names(wanted, made)
    for ref, number in pins:
        want, have = wanted.get((ref, number)), made.get((ref, number))
        if want is None and have is not None and have not in names.values():
            continue
        if (names.get(want) if want is not None else None) == have:
            continue
        footprint = layout_of(board).footprint(ref)
        pads = [p for p in footprint.pads if p.number == number] if footprint else []
        spot = place(pads[0].at, footprint.side) if footprint and pads else None
        words = {
            "pin": f"{ref}.{number}",
            "want": want or "no net",
            "have": have or "no net",
        }
        nets = tuple(n for n in (want, have) if n)
        yield Fail((ref,), "net", words, nets=nets, place=spot)


def _names(
    wanted: Mapping[tuple[str, str], str], made: Mapping[tuple[str, str], str]
) -> dict[str, str]:
    """For each net of the netlist the layout's net that most of its pins lie on, each used once."""
    votes: dict[str, Counter[str]] = defaultdict(Counter)
    for pin, net in wanted.items():
        if pin in made:
            votes[net][made[pin]] += 1
    ranked = sorted(
        (
            (count, net == other, net, other)
            for net, c in votes.items()
            for other, count in c.items()
        ),
        key=lambda v: (-v[0], not v[1], v[2], v[3]),
    )
    names: dict[str, str] = {}
    taken: set[str] = set()
    for _, _, net, other in ranked:
        if net not in names and other not in taken:
            names[net] = other
            taken.add(other)
    return names
