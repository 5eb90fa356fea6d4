"""The rules supply-range and cap-voltage-rating: what a rail may reach against what parts stand."""

from __future__ import annotations

import re
from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import (
    Fail,
    Limit,
    Measured,
    Pass,
    Severity,
    Unknown,
    Verdict,
)
from counterpoise.roles.board import Board
from counterpoise.roles.cells import texts_of
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import stating
from counterpoise.roles.paths import CONVERTERS, ICS
from counterpoise.roles.rails import Rail
from counterpoise.roles.wording import amount, briefly, span

_JUDGED = (*ICS, "addressable-led")
_STOPS_LOW = ("charger", "power-path", "regulator", *CONVERTERS, "addressable-led")
"""Parts whose low end other rules judge (headroom, chain) or that merely wait for more volts."""

_TANTALUM = re.compile(r"TANTAL|CP_EIA|(?<![A-Z])TANT(?![A-Z])|EIA-\d{4}-\d\d")
_ALUMINIUM = re.compile(r"ELECTROLYTIC|(?<![A-Z])ALU|CP_ELEC|CP_RADIAL|POLYMER")


# -- supply-range --------------------------------------------------------------------------------
def supply_range(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare each chip's supply range (V) with all that its rail may reach while powered.

    A rail sweeps its whole range in use, so a fault is a range that leaves the part's anywhere.
    Over the top by less than the rule's margin, or under the bottom for a part of the sweep, is
    a caution.
    """
    for part in board.parts_as(*_JUDGED):
        nets = board.nets_for(part, "supply")
        if not nets:
            continue
        allowed = board.known(part, "supply")
        if isinstance(allowed, Need):
            yield Unknown(part.ref, (allowed,))
            continue
        yield from _supplied(board, rule, part, nets, allowed)


def _supplied(
    board: Board, rule: Rule, part: Part, nets: tuple[str, ...], allowed: Known
) -> Iterator[Verdict]:
    worst: Fail | None = None
    needs: list[Need] = []
    for net in nets:
        rail = board.volts(net)
        if isinstance(rail, Need):
            needs.append(rail)
            continue
        found = _outside(board, rule, part, rail, allowed)
        if found and found.case == "under" and not found.firm:
            # How low a guessed rail sags is a guess twice over.
            needs.append(_end_need(rail))
            continue
        if found and (worst is None or (worst.severity and not found.severity)):
            worst = found
    if worst:
        yield worst
    elif needs:
        yield Unknown(part.ref, tuple(dict.fromkeys(needs)))
    else:
        yield Pass(part.ref)


def _end_need(rail: Rail) -> Need:
    return Need(
        f"how low {rail.net} falls when the cell is empty ({rail.because})",
        'board.toml: [cell] end_voltage = "3.3 V", and the output and dropout of its regulator',
    )


def _outside(board: Board, rule: Rule, part: Part, rail: Rail, allowed: Known) -> Fail | None:
    over = _beyond(rail.volts.high, allowed.value.high)
    under = _beyond(allowed.value.low, rail.volts.low)
    margin = rule.limit("margin").high
    if over > 0:
        mild = over <= allowed.value.high * margin
        return _range_fail(board, part, rail, allowed, "over", mild)
    if board.role(part.ref).name in _STOPS_LOW or under <= 0:
        return None
    never = rail.volts.high < allowed.value.low
    return _range_fail(board, part, rail, allowed, "never" if never else "under", not never)


def _beyond(volts: float, edge: float) -> float:
    """How far over the edge (V), without what binary fractions leave over."""
    return round(volts - edge, 6)


def _range_fail(
    board: Board, part: Part, rail: Rail, allowed: Known, case: str, mild: bool
) -> Fail:
    firm = rail.firm and allowed.firm and board.role(part.ref).firm
    edge = rail.volts.low if case == "under" else rail.volts.high
    return Fail(
        (part.ref,),
        case,
        {
            "net": rail.net,
            "volts": span(rail.volts, "V"),
            "edge": amount(edge, "V"),
            "allowed": span(allowed.value, "V"),
            "because": rail.because,
            "low": amount(allowed.value.low, "V"),
            "high": amount(allowed.value.high, "V"),
        },
        nets=(rail.net,),
        measured=Measured(round(edge, 3), "V"),
        limit=Limit(allowed.value.low, allowed.value.high, "V"),
        severity=Severity.CAUTION if mild else None,
        firm=firm,
        doubt="" if firm else "the rail or the part's range is not certain",
    )


# -- cap-voltage-rating --------------------------------------------------------------------------
def cap_voltage_rating(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare each capacitor's rated voltage with the highest voltage across it (V).

    Between two nets of known range the difference counts; margins by kind from the rule.
    """
    unrated: dict[str, list[str]] = {}
    for cap in board.parts_as("capacitor"):
        rail = _across(board, cap)
        if rail is None:
            continue
        if isinstance(rail, Need):
            yield Unknown(cap.ref, (rail,))
            continue
        rated = board.known(cap, "rated_voltage")
        if isinstance(rated, Need):
            if not _is_supply(board, rail.net):
                continue
            unrated.setdefault(rail.net, []).append(cap.ref)
        else:
            yield _rated(rule, cap, rail, rated)
    for net, caps in sorted(unrated.items()):
        what = f"the rated voltage of {briefly(caps)} on {net}"
        asked = (Need(what, stating(cap, "rated_voltage", "10 V")) for cap in caps)
        yield Unknown(caps[0], tuple(asked))


def _is_supply(board: Board, net: str) -> bool:
    """Whether the net feeds something; a signal that rests at a rail's level does not."""
    feeding = ("supply", "output", "system", "cell", "plus", "vbus", "inner-supply")
    return any(board.function_of(pin) in feeding for pin in board.circuit.pins_on(net))


def _across(board: Board, cap: Part) -> Rail | Need | None:
    """The supply that a capacitor stands on; None for a signal capacitor."""
    if len(cap.nets) != 2:
        return None
    live = [net for net in cap.nets if not board.is_ground(net)]
    if len(live) != 1:
        return None
    rail = board.volts(live[0])
    if isinstance(rail, Need):
        # A signal's capacitor has no rail; one on a supply pin's net does, and should be known.
        fed = any(live[0] in board.nets_for(p, "supply") for p in board.on_net(live[0], *ICS))
        return rail if fed else None
    return rail


def _margin(rule: Rule, cap: Part) -> tuple[str, float]:
    text = f"{texts_of(cap)} {cap.footprint.upper()}"
    for kind, pattern in (("tantalum", _TANTALUM), ("aluminium", _ALUMINIUM)):
        if pattern.search(text):
            return kind, rule.limit(kind).low
    return "ceramic", rule.limit("ceramic").low


_SOLD_V = (2.5, 4.0, 6.3, 10.0, 16.0, 25.0, 35.0, 50.0, 63.0, 100.0)
"""Rated voltages that capacitors are sold with: IEC 60384-1, preferred values of rated voltage, after
the R5 series of ISO 3 (from memory), with 35 V for 40 V, as makers have it."""


def _sold_rating(volts: float) -> float:
    """The least of them that stands the voltage; above the last the voltage itself."""
    return next((rated for rated in _SOLD_V if rated >= round(volts, 6)), volts)


def _rated(rule: Rule, cap: Part, rail: Rail, rated: Known) -> Verdict:
    kind, ratio = _margin(rule, cap)
    volts = rail.volts.high
    words = {
        "net": rail.net,
        "volts": amount(volts, "V"),
        "rated": span(rated.value, "V"),
        "kind": kind,
        "ratio": f"{ratio:g}",
        "want": amount(_sold_rating(volts * ratio), "V"),
        "because": rail.because,
    }
    over = rated.value.high < volts
    enough = rated.value.at_least(round(volts * ratio, 6))
    if enough:
        return Pass(cap.ref)
    if enough is None:
        need = Need(f"the rated voltage of {cap.ref}", stating(cap.ref, "rated_voltage", "10 V"))
        return Unknown(cap.ref, (need,))
    firm = rail.firm and rated.firm
    return Fail(
        (cap.ref,),
        "over" if over else "close",
        words,
        nets=(rail.net,),
        measured=Measured(round(volts, 3), "V"),
        limit=Limit(None, rated.value.high, "V"),
        severity=None if over else Severity.CAUTION,
        firm=firm,
        doubt="" if firm else "the rail's range is not certain",
    )
