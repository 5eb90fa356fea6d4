"""The layout against the netlist: which pins the two join, and the parts of each."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TypeAlias

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import layout_of, place
from counterpoise.checks._layout_values import values_differ
from counterpoise.model.circuit import Circuit, Part, Pin
from counterpoise.model.facts import Need, Place
from counterpoise.model.verdicts import Fail, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.refdes import natural
from counterpoise.roles.wording import listed as listed_of

BOARD = "the board"
_TAB = re.compile(r"(MP|SH)\d*|S\d+")
"""How libraries number the tabs and shells of connectors; common practice, no source."""
PinKey: TypeAlias = tuple[str, str]
"""Ref and pin number."""


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
    refs = _once(listed) & _once(drawn)
    wanted, pads = _wiring(listed, refs), _pins(drawn, refs)
    found = [
        *_missing(board, listed, drawn),
        *_moved(board, wanted, _wiring(drawn, refs), pads, _pins(listed, refs)),
        *_padless(board, [part for part in listed.parts if part.ref in refs], wanted, pads),
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


def _wiring(circuit: Circuit, refs: frozenset[str]) -> dict[PinKey, str]:
    """Net by pin, lone pins left out: a net with one pin joins nothing."""
    nets: dict[PinKey, str] = {}
    for part in circuit.parts:
        if part.ref in refs:
            for pin in part.pins:
                if pin.net is not None:
                    nets[(part.ref, pin.number)] = pin.net
    sizes = Counter(nets.values())
    return {pin: net for pin, net in nets.items() if sizes[net] > 1}


def _moved(
    board: Board,
    wanted: Mapping[PinKey, str],
    made: Mapping[PinKey, str],
    pads: frozenset[PinKey],
    pins_listed: frozenset[PinKey],
) -> Iterator[Verdict]:
    names = _names(wanted, made)
    taken = set(names.values())
    for pin in sorted((wanted.keys() | made.keys()) & pads, key=_order):
        want, have = wanted.get(pin), made.get(pin)
        if want is None and have not in taken:
            continue
        if names.get(want or "") == have:
            continue
        words = {
            "pin": ".".join(pin),
            "want": want or "no net",
            "have": have or "no net",
        }
        nets = tuple(n for n in (want, have) if n)
        yield Fail((pin[0],), "net", words, nets=nets, place=_pad_place(board, pin))
    for net, pins in _apart(wanted, made, pads):
        yield _alone(board, "unmade", net, pins)
    for net, pins in _apart(made, wanted, pins_listed):
        yield replace(_alone(board, "joined", net, pins), severity=Severity.CAUTION)


def _pins(circuit: Circuit, refs: frozenset[str]) -> frozenset[PinKey]:
    return frozenset((p.ref, pin.number) for p in circuit.parts if p.ref in refs for pin in p.pins)


def _order(pin: PinKey) -> tuple[object, str]:
    return natural(pin[0]), pin[1]


def _is_shell(board: Board, pin: Pin) -> bool:
    """Whether the pin is a shield's or a mounting tab's, by its function or its number."""
    return board.function_of(pin) == "shield" or bool(_TAB.fullmatch(pin.number.upper()))


def _padless(
    board: Board, parts: list[Part], wanted: Mapping[PinKey, str], pads: frozenset[PinKey]
) -> Iterator[Verdict]:
    """Joined pins of the netlist whose number no pad of the part's footprint carries.

    A stop where the part is joined to that net by no other pad, shields left out.
    """
    for part in sorted(parts, key=lambda p: natural(p.ref)):
        joined = {p.number: p for p in part.pins if p.net and (part.ref, p.number) in wanted}
        lost = [pin for number, pin in joined.items() if (part.ref, number) not in pads]
        if not lost:
            continue
        kept = {pin.net for number, pin in joined.items() if (part.ref, number) in pads}
        cut = [p for p in lost if p.net not in kept and not _is_shell(board, p)]
        told = cut or lost
        nets = tuple(dict.fromkeys(str(pin.net) for pin in told))
        words = {"pin": listed_of(pin.label for pin in told), "net": listed_of(nets)}
        severity = None if cut else Severity.CAUTION
        yield Fail((part.ref,), "padless", words, nets=nets, severity=severity)


def _apart(
    nets: Mapping[PinKey, str], others: Mapping[PinKey, str], known: frozenset[PinKey]
) -> Iterator[tuple[str, list[PinKey]]]:
    """The nets of which the other side joins not one pin, and their pins that it knows of."""
    shared = {net for pin, net in nets.items() if pin in others}
    found: dict[str, list[PinKey]] = defaultdict(list)
    for pin in sorted(nets.keys() & known, key=_order):
        if nets[pin] not in shared:
            found[nets[pin]].append(pin)
    return ((net, pins) for net, pins in found.items() if len(pins) > 1)


def _alone(board: Board, case: str, net: str, pins: list[PinKey]) -> Fail:
    words = {"pins": listed_of(".".join(pin) for pin in pins), "net": net, "pin": ".".join(pins[0])}
    refs = tuple(dict.fromkeys(ref for ref, _ in pins))
    return Fail(refs, case, words, nets=(net,), place=_pad_place(board, pins[0]))


def _pad_place(board: Board, pin: PinKey) -> Place | None:
    footprint = layout_of(board).footprint(pin[0])
    if footprint is None:
        return None
    pads = (place(pad.at, footprint.side) for pad in footprint.pads if pad.number == pin[1])
    return next(pads, None)


def _names(wanted: Mapping[PinKey, str], made: Mapping[PinKey, str]) -> dict[str, str]:
    """For each net of the netlist the layout's net that most of its pins lie on, each used once."""
    votes = Counter((net, made[pin]) for pin, net in wanted.items() if pin in made)
    ranked = sorted((-n, net != other, net, other) for (net, other), n in votes.items())
    names: dict[str, str] = {}
    taken: set[str] = set()
    for _, _, net, other in ranked:
        if net not in names and other not in taken:
            names[net] = other
            taken.add(other)
    return names
