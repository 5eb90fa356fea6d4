"""The rules charge-rate and charge-set-resistor: how fast a charger charges."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from counterpoise.catalog.rules import Rule
from counterpoise.checks._parts import pin_firm, pins_firm
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.model.manifest import CellFacts
from counterpoise.model.verdicts import (
    Fail,
    Limit,
    Measured,
    Pass,
    Severity,
    Skip,
    Unknown,
    Verdict,
)
from counterpoise.roles.board import Board
from counterpoise.roles.cells import capacity_of
from counterpoise.roles.charging import (
    SHORT,
    Current,
    blocked,
    charge_current,
    set_network,
    set_pin,
    shown_current,
)
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import need_role, stating
from counterpoise.roles.networks import OPEN, Network
from counterpoise.roles.paths import cell_of, maybe_chargers, stated_cell
from counterpoise.roles.wording import amount, listed, preferred, span


# -- charge-rate ---------------------------------------------------------------------------------
def charge_rate(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the programmed charge current (A) with what the cell allows.

    I = K/R with K the charger's constant (V) and R the resistance its pin sees to ground (ohms).
    Allowed: the stated limit, else one times the capacity. A current wholly over the limit fails;
    one within the charger's own tolerance of it passes; between the two it cannot be judged.
    """
    for charger in board.parts_as("charger"):
        cell = cell_of(board, charger)
        current = charge_current(board, charger)
        if isinstance(current, Need):
            if _never_charges(board, charger):
                yield Skip(f"nothing sets the current of {charger.ref}: see charge-set-resistor")
            else:
                yield Unknown(charger.ref, (current,))
        else:
            yield from _rate(board, rule, charger, cell, current)
    yield from unknown_chargers(board)


def unknown_chargers(board: Board) -> Iterator[Verdict]:
    """The chips that may be the charger: whatever is asked of a charger, they leave it open."""
    for part in maybe_chargers(board):
        yield Unknown(part.ref, (need_role(part.ref, "charger"),))


def _never_charges(board: Board, charger: Part) -> bool:
    """Whether charge-set-resistor already blames the pin."""
    pin = set_pin(board, charger)
    if pin is not None and _on_status(board, charger) is not None:
        return True
    net = set_network(board, charger)
    if pin is None or (net is not None and (net.driven_by or net.unread)):
        return False
    return net is None or net.ohms[0] == OPEN or net.ohms[0] <= SHORT


@dataclass(frozen=True, slots=True)
class _Allowed:
    """What the cell takes and why; ``usual`` where its own limit is not stated (A)."""

    amperes: float
    because: str
    usual: float | None = None


def _allowed(board: Board, rule: Rule, cell: Part | None) -> _Allowed | Need:
    facts = board.manifest.cell if stated_cell(board, cell) else CellFacts()
    if facts.charge_limit_a is not None:
        return _Allowed(facts.charge_limit_a, "the stated limit")
    capacity = capacity_of(board, cell)
    if isinstance(capacity, Need):
        return capacity
    stated = facts.charge_limit_c
    times = stated if stated is not None else rule.limit("rate").high
    usual = None if stated is not None else rule.limit("usual-rate").high * capacity
    return _Allowed(times * capacity, f"{times:g}C of {round(capacity * 1e3, 3):g} mAh", usual)


def _rate(
    board: Board, rule: Rule, charger: Part, cell: Part | None, current: Current
) -> Iterator[Verdict]:
    allowed = _allowed(board, rule, cell)
    if isinstance(allowed, Need):
        yield Unknown(charger.ref, (allowed,))
        return
    slack = 1 + rule.limit("tolerance").high
    fast, gentle = current.amperes, allowed.amperes
    if fast.low > gentle:
        yield _too_fast(board, charger, current, allowed, "over")
    elif fast.high > gentle * slack:
        need = Need(
            f"the charge current of {charger.ref} more closely "
            f"({span(fast, 'A')} against {amount(gentle, 'A')})",
            stating(charger.ref, "charge_current", "100 mA"),
        )
        yield Unknown(charger.ref, (need,))
    elif allowed.usual is not None and fast.low > allowed.usual:
        yield _too_fast(board, charger, current, allowed, "brisk")
    else:
        yield Pass(charger.ref)


def _too_fast(board: Board, charger: Part, current: Current, allowed: _Allowed, case: str) -> Fail:
    aim = allowed.amperes if allowed.usual is None else allowed.usual
    remedy = f"lower the charge current to {amount(aim, 'A')} or less"
    if current.constant is not None:
        ohms = preferred(current.constant.high / aim)
        remedy = f"fit about {amount(ohms, 'Ω')} at the setting pin, for {amount(aim, 'A')} or less"
    return Fail(
        (charger.ref,),
        case,
        {
            "current": shown_current(current.amperes),
            "because": current.because,
            "allowed": amount(allowed.amperes, "A"),
            "limit": allowed.because,
            "times": f"{current.amperes.middle / allowed.amperes:.2g}",
            "do": remedy,
        },
        nets=board.nets_for(charger, "cell"),
        measured=Measured(round(current.amperes.middle * 1e3, 3), "mA"),
        limit=Limit(None, round(allowed.amperes * 1e3, 3), "mA"),
        severity=Severity.CAUTION if case == "brisk" else None,
        firm=current.firm and board.role(charger.ref).firm,
        doubt="" if current.firm else "the charger's constant is from memory or a guess",
    )


# -- charge-set-resistor -------------------------------------------------------------------------
def charge_set_resistor(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Hold the resistance from each charger's setting pin to ground (ohms) against its card."""
    for charger in board.parts_as("charger"):
        pin = set_pin(board, charger)
        if pin is None:
            yield _no_set_pin(board, charger)
        else:
            yield _set_verdict(board, rule, charger, pin)
    yield from unknown_chargers(board)


def _no_set_pin(board: Board, charger: Part) -> Verdict:
    if board.card(charger.ref) is not None or isinstance(
        board.known(charger, "charge_current"), Known
    ):
        return Skip(f"{charger.ref} has no pin that sets its current")
    need = Need(
        f"which pin of {charger.ref} sets the charge current",
        "a card for it in cards/*.toml, beside board.toml, with pins.set",
    )
    return Unknown(charger.ref, (need,))


def _set_verdict(board: Board, rule: Rule, charger: Part, pin: Pin) -> Verdict:
    net = set_network(board, charger)
    optional = _works_without(board, charger)
    stray = None if optional else _on_status(board, charger)
    if stray is not None:
        return _exchanged(board, charger, pin, *stray)
    if net is None or (net.ohms == (OPEN,) and not (net.driven_by or net.rails or net.unread)):
        return Pass(charger.ref) if optional else _set_fail(board, charger, pin, "open")
    hindered = blocked(charger, net)
    if net.ohms[0] <= SHORT:
        return Pass(charger.ref) if optional else _set_fail(board, charger, pin, "shorted")
    if hindered is not None:
        return Unknown(charger.ref, (hindered,))
    if net.ohms[0] == OPEN:
        to = listed(net.rails)
        return _set_fail(board, charger, pin, "elsewhere", to=to, parts=listed(net.resistors))
    return _set_in_range(board, charger, pin, net)


def _on_status(board: Board, charger: Part) -> tuple[Pin, Part] | None:
    """The status pin on which a lone resistor to ground stands while none stands on the setting pin.

    A status output takes a light or a pull-up; alone, a resistor to ground does nothing there.
    """
    net = set_network(board, charger)
    if net is not None and (net.unread or (net.ohms[0] != OPEN and not net.driven_by)):
        return None
    if any(board.to_ground(one, "resistor") for one in board.nets_for(charger, "set")):
        return None
    for pin in board.pins_for(charger, "status"):
        others = [part for part in board.on_net(pin.net) if part.ref != charger.ref]
        if len(others) == 1 and others[0] in board.to_ground(pin.net, "resistor"):
            return pin, others[0]
    return None


def _exchanged(board: Board, charger: Part, pin: Pin, status: Pin, resistor: Part) -> Fail:
    sure = board.role(charger.ref).firm and pins_firm(board, (pin, status))
    return Fail(
        (charger.ref,),
        "exchanged",
        {"pin": pin.label, "status": status.label, "parts": resistor.ref},
        nets=tuple(net for net in (status.net, pin.net) if net is not None),
        firm=sure,
        doubt="" if sure else "what the two pins do is not known for sure",
    )


def _works_without(board: Board, charger: Part) -> bool:
    """Whether the charger has a current of its own that an open or grounded pin leaves as it is."""
    own = isinstance(board.known(charger, "charge_current"), Known)
    return own and isinstance(board.known(charger, "set_constant"), Need)


def _set_in_range(board: Board, charger: Part, pin: Pin, net: Network) -> Verdict:
    known = board.known(charger, "set_resistance")
    if isinstance(known, Need):
        return Unknown(charger.ref, (known,))
    settings = [round(ohms, 3) for ohms in net.ohms if ohms != OPEN]
    low, high = known.value.low * 0.98, known.value.high * 1.02
    wrong = [ohms for ohms in settings if not low <= ohms <= high]
    if not wrong:
        return Pass(charger.ref)
    return _set_fail(
        board,
        charger,
        pin,
        "range",
        ohms=amount(wrong[0], "Ω"),
        parts=listed(net.resistors),
        allowed=span(known.value, "Ω"),
        known=known,
        measured=Measured(wrong[0], "Ω"),
        limit=Limit(known.value.low, known.value.high, "Ω"),
    )


def _set_fail(
    board: Board,
    charger: Part,
    pin: Pin,
    case: str,
    *,
    known: Known | None = None,
    measured: Measured | None = None,
    limit: Limit | None = None,
    **words: str,
) -> Fail:
    constant = board.known(charger, "set_constant")
    cell = cell_of(board, charger)
    do = "fit the resistor that the charger's data sheet gives for the wanted current"
    capacity = capacity_of(board, cell)
    if isinstance(constant, Known) and not isinstance(capacity, Need):
        ohms = preferred(constant.value.middle / (capacity / 2))
        do = f"fit about {amount(ohms, 'Ω')} from {pin.label} to ground, for half the capacity"
    # An unknown chip may want its pin low, or open: only what its card says or is stated is firm.
    told = board.card(charger.ref) is not None or (known is not None and pin_firm(board, pin))
    firm = board.role(charger.ref).firm and told and (known is None or known.firm)
    return Fail(
        (charger.ref,),
        case,
        {"pin": pin.label, "do": do, **words},
        nets=(pin.net,) if pin.net else (),
        measured=measured,
        limit=limit,
        firm=firm,
        doubt="" if firm else "what the pin asks for is not known for sure",
    )
