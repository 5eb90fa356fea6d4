"""What a charger is set to: its setting pin, what hangs on it, and the current that makes."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import stating
from counterpoise.roles.networks import OPEN, Network, network_of
from counterpoise.roles.paths import node
from counterpoise.roles.wording import amount, listed, span
from counterpoise.values.ranges import Range

_TOLERANCE = 0.15
"""A spread up to this share of the middle is a part's tolerance, not a doubt about the part."""

SHORT = 1.0
"""Ohms; a setting pin that sees no more than this is on ground."""


def set_pin(board: Board, charger: Part) -> Pin | None:
    """The pin that sets the charge current."""
    pins = board.pins_for(charger, "set")
    return pins[0] if pins else None


def set_network(board: Board, charger: Part) -> Network | None:
    """What hangs on the setting pin; None where no such pin is known or it is on no net."""
    pin = set_pin(board, charger)
    if pin is None or pin.net is None:
        return None
    fed = board.nets_for(charger, "supply", "cell", "system", "output", "vbus")
    rails = frozenset(min(node(board, n)) for n in fed) | frozenset(board.rails)
    return network_of(board, pin.net, charger.ref, rails=rails - {pin.net})


@dataclass(frozen=True, slots=True)
class Current:
    """A charge current (A) at its highest setting, how it comes about, and how sure it is."""

    amperes: Range
    because: str
    firm: bool
    constant: Range | None = None


def charge_current(board: Board, charger: Part) -> Current | Need:
    """Stated or fixed current, else constant over set resistance (volts over ohms)."""
    fixed = board.known(charger, "charge_current")
    net = set_network(board, charger)
    if isinstance(fixed, Known) and (net is None or net.ohms[0] == OPEN or _stated(board, charger)):
        return Current(fixed.value, fixed.source, fixed.firm)
    if net is not None and net.unread:
        return next(iter(net.unread.values()))
    if net is None or net.ohms[0] == OPEN or net.ohms[0] <= SHORT:
        return Need(
            f"the current that {charger.ref} charges with",
            stating(charger.ref, "charge_current", "100 mA"),
        )
    hindered = blocked(charger, net)
    if hindered is not None:
        return hindered
    constant = board.known(charger, "set_constant")
    if isinstance(constant, Need):
        return constant
    ohms = net.ohms[0]
    text = f"{_volts(constant.value)} / {amount(ohms, 'Ω')} at {listed(net.resistors)}"
    return Current(constant.value / ohms, text, constant.firm, constant.value)


def _volts(constant: Range) -> str:
    """A charger's constant in plain volts: its middle where the ends differ by a tolerance only."""
    if (constant.high - constant.low) <= _TOLERANCE * constant.middle:
        return f"{constant.middle:g} V"
    return f"{constant.low:g} to {constant.high:g} V"


def shown_current(current: Range) -> str:
    """A current as messages give it: "about" its middle where only a tolerance is in it."""
    if current.sure:
        return amount(current.middle, "A")
    if (current.high - current.low) <= _TOLERANCE * current.middle:
        return f"about {amount(current.middle, 'A')}"
    return span(current, "A")


def _stated(board: Board, charger: Part) -> bool:
    facts = board.manifest.parts.get(charger.ref)
    return facts is not None and "charge_current" in facts.facts


def blocked(charger: Part, net: Network) -> Need | None:
    """Why the network cannot be reckoned."""
    if net.driven_by:
        return Need(
            f"the current that {charger.ref} charges with ({listed(net.driven_by)} also sits on "
            "its setting pin)",
            stating(charger.ref, "charge_current", "100 mA"),
        )
    if net.unread:
        return next(iter(net.unread.values()))
    return None
