"""Which contact of a change-over switch is used, and what its siblings use."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from counterpoise.checks._contacts import (
    contact,
    contact_pins,
    leads_on,
    node,
    pins_as,
    terminals_need,
)
from counterpoise.checks._parts import pins_firm
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Severity, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.wording import listed, refs

_NAMES = {"open": "normally-open", "closed": "normally-closed"}


@dataclass(frozen=True, slots=True)
class Use:
    """How one switch is used. ``throw`` is open, closed, both or "" (not told, or no contact used);
    ``pins`` the numbers of the pins in use; ``stated`` whether the manifest names its contacts."""

    switch: Part
    throw: str
    pins: frozenset[str]
    known: bool
    stated: bool
    firm: bool


def use_of(board: Board, switch: Part) -> Use:
    """Read one switch's wiring."""
    used = {
        pin.number: pin
        for pin in contact_pins(board, switch)
        if pin.net is not None and leads_on(board, switch, node(board, pin.net))
    }
    functions = {contact(board, switch, pin) for pin in used.values()}
    named = pins_as(board, switch, "common", "open", "closed")
    told = {contact(board, switch, pin) for pin in named}
    known = "common" in told and len(told) >= 2
    throw = ""
    if known and "common" in functions:
        thrown = functions & {"open", "closed"}
        throw = "both" if len(thrown) == 2 else next(iter(thrown), "")
    stated = board.manifest.parts.get(switch.ref)
    return Use(
        switch,
        throw,
        frozenset(used),
        known,
        bool(stated and stated.terminals),
        board.role(switch.ref).firm and pins_firm(board, named),
    )


def judge_throws(board: Board, switches: tuple[Part, ...]) -> Iterator[Verdict]:
    """The verdicts of ``switch-throw``: known contacts by what they are, others by likeness."""
    uses = [use_of(board, switch) for switch in switches]
    told = [use for use in uses if use.known]
    for use in told:
        yield _judge_known(board, use, [u for u in told if u is not use])
    yield from _judge_alike([use for use in uses if not use.known])


def _judge_known(board: Board, use: Use, others: list[Use]) -> Verdict:
    ref = use.switch.ref
    if use.throw in ("both", ""):
        if use.throw == "both":
            return Pass(ref)
        return Skip(f"{ref} has no pair of contacts in use, which is another rule's finding")
    same = sum(u.throw == use.throw for u in others)
    against = [u for u in others if u.throw not in (use.throw, "", "both")]
    words = {
        "used": _NAMES[use.throw],
        "wanted": _NAMES["open" if use.throw == "closed" else "closed"],
        "siblings": refs(u.switch for u in against),
    }
    subjects = (ref, *(u.switch.ref for u in against))
    doubt = "" if use.firm else "its contacts are taken from usual numbering or from memory"
    # The odd one of two is that which rests closed and draws current all the time; against one that
    # is open a clear majority must stand.
    if len(against) > (same if use.throw == "closed" else same + 1):
        lone = len(against) == 1 and not use.stated and not _alike(use.switch, against[0].switch)
        severity = Severity.CAUTION if lone else None
        return Fail(
            subjects,
            "against",
            words,
            use.switch.nets,
            severity=severity,
            firm=use.firm,
            doubt=doubt,
        )
    if use.throw == "closed" and not against:
        if same:
            # All alike rest closed: so it was meant.
            return Pass(ref)
        severity = None if use.stated else Severity.CAUTION
        return Fail(
            (ref,), "alone", words, use.switch.nets, severity=severity, firm=use.firm, doubt=doubt
        )
    return Pass(ref)


def _alike(one: Part, other: Part) -> bool:
    """Whether two switches are the same part: two of one kind are used in one way."""
    return bool(one.footprint) and (one.footprint, one.symbol) == (other.footprint, other.symbol)


def _judge_alike(uses: list[Use]) -> Iterator[Verdict]:
    """Contacts without a name: like parts are compared by the pins they use."""
    groups: dict[tuple[str, str, int], list[Use]] = {}
    for use in uses:
        part = use.switch
        groups.setdefault((part.symbol, part.footprint, len(part.pins)), []).append(use)
    for group in groups.values():
        wired = [use for use in group if len(use.pins) >= 2]
        patterns = Counter(use.pins for use in wired)
        ranked = patterns.most_common()
        if len(ranked) < 2:
            if wired:
                yield Unknown(wired[0].switch.ref, tuple(_needs(wired)))
            continue
        yield from _odd_ones(wired, ranked)


def _odd_ones(wired: list[Use], ranked: list[tuple[frozenset[str], int]]) -> Iterator[Verdict]:
    (usual, count), (_, second) = ranked[:2]
    if count == second:
        subjects = tuple(use.switch.ref for use in wired)
        words = {"pins": "; ".join(f"{u.switch.ref} uses {_pins(u.pins)}" for u in wired)}
        yield Fail(
            subjects,
            "differ",
            words,
            severity=Severity.CAUTION,
            firm=False,
            doubt="which of them is right is not stated",
        )
        return
    majority = [use for use in wired if use.pins == usual]
    for use in wired:
        if use.pins == usual:
            continue
        words = {
            "pins": _pins(use.pins),
            "usual": _pins(usual),
            "siblings": refs(u.switch for u in majority),
        }
        yield Fail(
            (use.switch.ref, *(u.switch.ref for u in majority)),
            "odd",
            words,
            use.switch.nets,
            firm=use.firm,
        )
    yield Unknown(majority[0].switch.ref, tuple(_needs(majority)))


def _needs(uses: list[Use]) -> Iterator[Need]:
    yield terminals_need(uses[0].switch)


def _pins(numbers: frozenset[str]) -> str:
    return listed(sorted(numbers))
