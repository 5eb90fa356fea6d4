"""The rule supply-pin-open: whether every supply pin is fed and every chip has its ground."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._parts import pin_firm, pins_firm
from counterpoise.checks._power_siblings import (
    ground_pins,
    inner_nodes,
    is_either_way,
    leads_nowhere,
    lost_grounds,
    raised,
    raised_grounds,
    split_supplies,
)
from counterpoise.model.circuit import Part, Pin, PinKind
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.paths import ICS, PLAIN, node
from counterpoise.roles.wording import listed, plural

_FED = (*ICS, "addressable-led")
_DRY = (
    "capacitor",
    "test-point",
    "clamp",
    "mechanical",
    "zener",
    "led",
    "crystal",
    "encoder",
    "antenna",
    "thermistor",
    "potentiometer",
    "addressable-led",
)
"""Parts on a net that never feed it."""

_CARRY = (*PLAIN, "push-switch", "transistor")
"""Parts that may carry a supply from another net."""

_SINKS = ("supply", "enable", "ground", "reset", "feedback", "data-in", "clock")
"""Pins that take and never give."""

_TOLD = ("card", "manifest")

_SERIES_OHM = 100.0
"""A resistor above this many ohms pulls a signal; it feeds no chip."""


# -- supply-pin-open -----------------------------------------------------------------------------
def supply_pin_open(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that every supply pin of a chip is on a net that something can feed."""
    nameless: list[str] = []
    for part in board.parts_as(*_FED):
        pins = _inputs(board, part)
        beside = [*_grounds(board, part), *inner_nodes(board, part), *split_supplies(board, part)]
        yield from beside
        if pins:
            fed = _fed(board, part, pins)
            if isinstance(fed, Fail) or not beside:
                yield fed
        elif board.card(part.ref) is None and len(part.pins) > 2:
            nameless.append(part.ref)
    if nameless:
        need = Need(
            f"which pins of {listed(nameless)} are their supplies",
            "pin names in the symbols, or a card in cards/*.toml with pins.supply",
        )
        yield Unknown(nameless[0], (need,))


def _inputs(board: Board, part: Part) -> tuple[Pin, ...]:
    """The supply pins, those of the radio part only where more than a name tells that they take."""
    return tuple(
        pin
        for pin in board.pins_for(part, "supply", "rf-supply")
        if board.function_of(pin) == "supply" or board.function_evidence(pin) in _TOLD
    )


def _grounds(board: Board, part: Part) -> Iterator[Verdict]:
    """What is wrong with the part's ground pins."""
    on_supply = raised_grounds(board, part)
    adrift = () if on_supply else _without_ground(board, part)
    if on_supply:
        yield raised(board, part, on_supply)
    elif adrift:
        words = _words(adrift, adrift[0].net or "no net")
        yield Fail((part.ref,), "no-ground", words, firm=_sure(board, part, adrift))
    else:
        yield from lost_grounds(board, part)
        yield from _apart(board, part)


def _words(pins: Collection[Pin], net: str) -> dict[str, str]:
    labels = {pin.label for pin in pins}
    return {
        "pin": listed(pin.label for pin in pins),
        "pins": plural(len(labels), "pin", "pins"),
        "are": plural(len(labels), "is", "are"),
        "net": net,
    }


def _apart(board: Board, part: Part) -> Iterator[Verdict]:
    """Ground pins on a net that is no ground, while others of the part are on ground."""
    pins = [pin for pin in ground_pins(board, part) if not is_either_way(pin)]
    joined = {pin.number for pin in pins if pin.net and _may_be_ground(board, part, pin)}
    apart = {
        pin.number: pin
        for pin in pins
        if pin.number not in joined
        and pin.net is not None
        and not leads_nowhere(board, [pin])
        and not any(_is_small(board, p) for p in board.to_ground(pin.net, *_IN_SERIES))
    }
    if joined and apart:
        words = _words(apart.values(), listed(str(pin.net) for pin in apart.values()))
        nets = tuple(str(pin.net) for pin in apart.values())
        caution = Severity.CAUTION
        yield Fail((part.ref,), "ground-apart", words, nets, severity=caution, firm=False)


def _fed(board: Board, part: Part, pins: tuple[Pin, ...]) -> Verdict:
    dead = [pin for pin in pins if not _can_be_fed(board, part, pin)]
    if not dead:
        return Pass(part.ref)
    every = len(dead) == len(pins)
    if not every and all(pin.marked_open for pin in dead):
        return Pass(part.ref)
    on_net = [pin for pin in dead if pin.net is not None]
    firm = _sure(board, part, tuple(dead))
    deaf = any(board.function_of(pin) == "rf-supply" and pin_firm(board, pin) for pin in dead)
    return Fail(
        (part.ref,),
        _how_dead(board, on_net),
        _words(dead, listed(str(pin.net) for pin in on_net)),
        nets=tuple(pin.net for pin in on_net if pin.net),
        severity=None if every or deaf else Severity.CAUTION,
        firm=firm,
    )


def _how_dead(board: Board, on_net: list[Pin]) -> str:
    if not on_net:
        return "open"
    return "grounded" if all(board.is_ground(pin.net) for pin in on_net) else "unfed"


def _sure(board: Board, part: Part, pins: tuple[Pin, ...]) -> bool:
    """Whether a stop may rest on these pins: a pin whose name and type both say that it takes the
    supply needs one, whatever the chip turns out to be."""
    typed = all(pin.kind is PinKind.POWER_IN for pin in pins)
    return pins_firm(board, pins) and (typed or board.role(part.ref).firm)


def _without_ground(board: Board, part: Part) -> tuple[Pin, ...]:
    """The part's ground pins when none of them is on anything that may be a ground."""
    pins = board.pins_for(part, "ground")
    return () if any(_may_be_ground(board, part, pin) for pin in pins) else pins


def _may_be_ground(board: Board, part: Part, pin: Pin) -> bool:
    if pin.net is None:
        return False
    if any(board.is_ground(net) for net in node(board, pin.net)):
        return True
    # A ground of another name, or one behind a transistor or a sense resistor, is met by others.
    others = [p for p in board.circuit.pins_on(pin.net) if p.ref != part.ref]
    meets = ("ground", "minus", "cell-negative", "source", "drain", "shield", "sense")
    return any(
        board.function_of(p) in meets or board.role(p.ref).name in ("connector", "unknown", "chip")
        for p in others
    )


def _can_be_fed(board: Board, part: Part, pin: Pin) -> bool:
    """Whether anything on the net may be a source: all but capacitors and other supply pins may."""
    if pin.net is None or board.is_ground(pin.net):
        return False
    seen: set[str] = set()
    todo = [pin.net]
    while todo:
        net = todo.pop()
        if net in seen:
            continue
        seen.add(net)
        for other in board.circuit.pins_on(net):
            found = _feeds(board, part, other, seen)
            if found is True:
                return True
            todo += found or []
    return False


def _feeds(board: Board, part: Part, pin: Pin, seen: set[str]) -> list[str] | bool:
    """True for a pin that may feed its net, else the nets that it leads on to."""
    other = board.circuit.part(pin.ref)
    role = board.role(pin.ref).name
    function = board.function_of(pin)
    if other is None or pin.ref not in _fitted_refs(board) or role in _DRY:
        return []
    if pin.ref == part.ref:
        # A chip may make its own core supply, straight or through the coil of its converter.
        makes = function in ("output", "inner-supply", "system", "switch-node")
        return makes or pin.kind is PinKind.POWER_OUT
    if role in _CARRY or role == "diode" or (role == "resistor" and _is_small(board, other)):
        return [n for n in _onward(board, other, pin, role) if n not in seen]
    if role == "usb-connector":
        return function in ("vbus", "")
    return role != "resistor" and function not in _SINKS


def _fitted_refs(board: Board) -> frozenset[str]:
    return board.once("power.fitted", lambda: frozenset(p.ref for p in board.parts))


_IN_SERIES = ("resistor", "inductor", "fuse", "diode")
"""Parts through which a ground of its own may be joined to ground."""


def _is_small(board: Board, part: Part) -> bool:
    """Whether a resistor may stand in a supply line; one of unread value may."""
    value = board.value(part)
    return isinstance(value, Need) or value.value.low <= _SERIES_OHM


def _onward(board: Board, part: Part, pin: Pin, role: str) -> list[str]:
    """The nets from which current can come through the part to this pin."""
    nets = [net for net in part.nets if net != pin.net and not board.is_ground(net)]
    if role == "diode" and board.function_of(pin) == "anode":
        return []
    if role == "transistor":
        gate = board.nets_for(part, "gate")
        return [] if pin.net in gate else [net for net in nets if net not in gate]
    return nets
