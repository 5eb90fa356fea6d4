"""The rule card-needs: components that a part's sheet asks for between two of its pins."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from counterpoise.catalog.cards import CardNeed
from counterpoise.catalog.rules import Rule
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Severity, Unknown, Verdict
from counterpoise.roles._rail_outputs import output_nets
from counterpoise.roles.board import Board
from counterpoise.roles.paths import bypass, node
from counterpoise.roles.wording import amount, listed, span
from counterpoise.values.ranges import Range

_UNITS = {"capacitor": "F", "resistor": "Ω", "thermistor": "Ω", "diode": ""}
_NEAR = 0.9
"""Nominal values from this share of the asked least are taken for it (910 nF for 1 µF)."""

_OVER = 1.1
"""Resistances up to this share of the asked most are taken for it."""

_OFTEN = 20.0
"""Capacitance over the asked most by less than this is left alone: a rail has others on it."""


def card_needs(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for each component that a card requires, and hold its value against the card's range."""
    for part in board.parts:
        card = board.card(part.ref)
        if card is None:
            continue
        for need in card.needs:
            if need.kind != "inductor":
                yield from _needed(board, part, need)


def _nets(board: Board, part: Part, function: str) -> tuple[str, ...]:
    found = board.nets_for(part, function)
    return found or (output_nets(board, part) if function == "output" else ())


def _needed(board: Board, part: Part, need: CardNeed) -> Iterator[Verdict]:
    starts, ends = _nets(board, part, need.start), _nets(board, part, need.end)
    if need.start == "ground":
        starts, ends = ends, starts
    to_ground = "ground" in (need.start, need.end)
    for net in starts:
        # A supply that is not used may lie on ground; what the pins do not reach asks for nothing.
        if not board.is_ground(net) and (ends or to_ground) and not _idle(board, part, net):
            yield _component(board, part, need, net, None if to_ground else ends)


def _idle(board: Board, part: Part, net: str) -> bool:
    """Whether nothing but this part is on the net and the pin is marked as left open."""
    pins = board.circuit.pins_on(net)
    return all(pin.ref == part.ref and pin.marked_open for pin in pins)


def _component(
    board: Board, part: Part, need: CardNeed, net: str, ends: tuple[str, ...] | None
) -> Verdict:
    nets = node(board, net)
    far = None if ends is None else frozenset().union(*(node(board, e) for e in ends))
    if need.kind == "capacitor":
        found = bypass(board, nets, far)
        return _verdict(board, part, need, net, found.farads, found.parts, found.unread)
    parts = {
        p.ref: p
        for one in sorted(nets)
        for p in (
            board.to_ground(one, need.kind)
            if far is None
            else [q for e in sorted(far) for q in board.between(one, e, need.kind)]
        )
    }
    values = {ref: board.value(p) for ref, p in parts.items()}
    unread = {ref: v for ref, v in values.items() if isinstance(v, Need)}
    known = [v.value.middle for v in values.values() if not isinstance(v, Need)]
    total = _side_by_side(known)
    ordered = tuple(parts[ref] for ref in sorted(parts))
    return _verdict(board, part, need, net, total, ordered, unread)


def _side_by_side(ohms: list[float]) -> float:
    return 1 / sum(1 / each for each in ohms) if ohms and min(ohms) > 0 else 0.0


def _verdict(
    board: Board,
    part: Part,
    need: CardNeed,
    net: str,
    total: float,
    parts: tuple[Part, ...],
    unread: Mapping[str, Need],
) -> Verdict:
    if not parts:
        return _fail(board, part, need, net, "absent", total, parts)
    if need.value is None:
        return Pass(part.ref)
    case = _amiss(need.kind, need.value, total)
    # Capacitors only add: one more cannot bring too much down, nor enough below what is asked.
    if unread and (case == "low" or need.kind != "capacitor"):
        return Unknown(part.ref, tuple(unread.values()))
    return _fail(board, part, need, net, case, total, parts) if case else Pass(part.ref)


def _amiss(kind: str, wanted: Range, total: float) -> str:
    slack = _OFTEN if kind == "capacitor" else _OVER
    if total > wanted.high * slack:
        return "high"
    return "low" if total < wanted.low * _NEAR else ""


def _fail(
    board: Board,
    part: Part,
    need: CardNeed,
    net: str,
    case: str,
    total: float,
    parts: tuple[Part, ...],
) -> Fail:
    unit = _UNITS[need.kind]
    pins = [p.label for p in board.pins_for(part, need.start, need.end) if p.net == net]
    factor, shown = (1e6, "µF") if unit == "F" else (1.0, unit)
    limit = _limit(need.value, factor, shown)
    return Fail(
        (part.ref,),
        case,
        {
            "kind": need.kind,
            "pin": listed(pins) or net,
            "net": net,
            "wanted": _wanted(need.value, unit),
            "found": amount(total, unit) if parts else "none",
            "parts": listed(p.ref for p in parts),
            "why": need.why or f"its sheet asks for a {need.kind} there",
        },
        nets=(net,),
        measured=Measured(round(total * factor, 6), shown) if parts and unit else None,
        limit=limit,
        severity=Severity(need.severity) if case != "high" else Severity.CAUTION,
        firm=not need.memory and board.role(part.ref).firm,
        doubt="from memory of the sheet" if need.memory else "",
    )


def _limit(wanted: Range | None, factor: float, unit: str) -> Limit | None:
    if wanted is None:
        return None
    low = wanted.low * factor if wanted.low > 0 else None
    high = wanted.high * factor if wanted.high < float("inf") else None
    return Limit(low, high, unit)


def _wanted(wanted: Range | None, unit: str) -> str:
    if wanted is None:
        return "one"
    if wanted.high == float("inf"):
        return f"{amount(wanted.low, unit)} or more"
    return span(wanted, unit)
