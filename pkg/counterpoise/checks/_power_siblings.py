"""One of several ground or supply pins of a chip that is wired otherwise than its siblings.

Part of the rule supply-pin-open.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from counterpoise.catalog.cards import CardNeed
from counterpoise.checks._parts import pin_firm, pins_firm
from counterpoise.checks._power_feed import firm_pins
from counterpoise.model.circuit import Part, Pin, PinKind
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.paths import PLAIN, SOURCES, node
from counterpoise.roles.pins import function_by_name, spellings
from counterpoise.roles.rails import Rail
from counterpoise.roles.wording import listed, plural

_LEAST_V = 0.5
_PADS = ("EP", "EPAD", "PAD", "THERMAL", "THERMALPAD", "EXP", "GND_PAD")
_TABS = ("TAB",)
_EITHER_WAY = ("VEE",)
"""A negative supply where the chip has a ground beside it."""

_GIVING = ("output", "plus", "vbus", "cell", "system")
_TAKING = ("supply", "rf-supply")
_BELOW_A_CELL = ("minus", "cell-negative")
_SERIES_OHM = 100.0
_MANY_PADS = 12
"""Pads from which a chip of unknown purpose takes supplies and makes none; our own judgement."""

_TAKERS = ("radio", "radio-module", "controller", "sensor", "memory")
_MADE_INSIDE = ("bypass", "inner-supply")


def _by_number(pins: Iterable[Pin]) -> dict[str, list[Pin]]:
    """Pads of one number are one pin, of which a drawing may join only some."""
    found: dict[str, list[Pin]] = {}
    for pin in pins:
        found.setdefault(pin.number, []).append(pin)
    return found


def leads_nowhere(board: Board, pins: list[Pin]) -> bool:
    """Whether no other fitted part, and no other pin of this one, is joined to the pin; ``pins`` are
    the pads of its number."""
    numbers = {pin.number for pin in pins}
    for pin in pins:
        for net in node(board, pin.net) if pin.net is not None else ():
            for other in board.circuit.pins_on(net):
                if other.ref == pin.ref and other.number not in numbers:
                    return False
            if any(part.ref != pin.ref for part in board.on_net(net)):
                return False
    return True


# -- ground pins ---------------------------------------------------------------------------------
def ground_pins(board: Board, part: Part) -> tuple[Pin, ...]:
    """The part's ground pins, without those to which the drawing gives another name: a card's table
    of pad numbers may be that of another package."""
    return tuple(p for p in board.pins_for(part, "ground") if _says_ground(board, p))


def _says_ground(board: Board, pin: Pin) -> bool:
    plain = pin.name in ("", "~", pin.number)
    if plain or board.function_evidence(pin) == "manifest":
        return True
    card = board.card(pin.ref)
    told = {s for n in card.names.get("ground", ()) for s in spellings(n)} if card else set()
    by_name = function_by_name(pin.name, board.role(pin.ref).name)
    return by_name == "ground" or bool(told & set(spellings(pin.name)))


def raised_grounds(board: Board, part: Part) -> tuple[Pin, ...]:
    """The part's ground pins that are on a supply instead of ground."""
    found = [pin for pin in ground_pins(board, part) if _is_raised(board, part, pin)]
    return tuple({pin.number: pin for pin in found}.values())


def is_either_way(pin: Pin) -> bool:
    """Whether the name is one that many chips use for something else than ground."""
    return bool({*_EITHER_WAY, *_TABS} & set(spellings(pin.name)))


def _is_raised(board: Board, part: Part, pin: Pin) -> bool:
    if pin.net is None or set(_EITHER_WAY) & set(spellings(pin.name)):
        return False
    nets = node(board, pin.net)
    if any(board.is_ground(net) for net in nets):
        return False
    on_it = [p for net in sorted(nets) for p in board.circuit.pins_on(net)]
    if any(board.function_of(p) in _BELOW_A_CELL for p in on_it):
        return False  # the lower end of a cell in a row is the ground of what guards that cell
    own = [p for p in on_it if p.ref == part.ref and board.function_of(p) in (*_TAKING, *_GIVING)]
    if own and set(_TABS) & set(spellings(pin.name)):
        return False  # the tab of many a regulator is its output or its input
    return bool(own) or _is_supply(board, on_it, pin.net)


def _is_supply(board: Board, pins: list[Pin], net: str) -> bool:
    for pin in pins:
        function, role = board.function_of(pin), board.role(pin.ref).name
        source = function in _GIVING and role in (*SOURCES, "cell", "charger", "usb-connector")
        taker = function in _TAKING and pin.kind is PinKind.POWER_IN
        if (source or taker) and firm_pins(board, (pin,)):
            return True
    rail = board.volts(net)
    return isinstance(rail, Rail) and rail.firm and rail.volts.low >= _LEAST_V


def raised(board: Board, part: Part, pins: tuple[Pin, ...]) -> Fail:
    """The finding for ground pins on a supply."""
    grounded = any(board.is_ground(pin.net) for pin in board.pins_for(part, "ground"))
    pads = all(_is_pad(pin) for pin in pins)
    typed = all(pin.kind is PinKind.POWER_IN for pin in pins)
    firm = pins_firm(board, pins) and (typed or board.role(part.ref).firm)
    nets = tuple(dict.fromkeys(pin.net for pin in pins if pin.net))
    words = {
        "pin": listed(pin.label for pin in pins),
        "net": listed(nets),
        "pins": plural(len(pins), "pin", "pins"),
        "are": plural(len(pins), "is", "are"),
        "while": ", while others are on ground: the supply is shorted through the chip"
        if grounded
        else "",
    }
    doubt = "an exposed pad is nearly always ground, but its sheet decides" if pads else ""
    severity = Severity.CAUTION if pads else None
    return Fail((part.ref,), "raised", words, nets, severity=severity, firm=firm, doubt=doubt)


def _is_pad(pin: Pin) -> bool:
    return bool({*_PADS, *_TABS} & set(spellings(pin.name)))


def lost_grounds(board: Board, part: Part) -> Iterator[Verdict]:
    """Ground pins that lead nowhere while others of the part are joined."""
    pins = _by_number(ground_pins(board, part))
    lost = {n: ps for n, ps in pins.items() if leads_nowhere(board, ps)}
    open_ones = [ps[0] for ps in lost.values() if not any(p.marked_open for p in ps)]
    if not open_ones or len(lost) == len(pins):
        return
    words = {
        "pin": listed(pin.label for pin in open_ones),
        "pins": plural(len(open_ones), "pin", "pins"),
        "leads": plural(len(open_ones), "leads", "lead"),
    }
    nets = tuple(pin.net for pin in open_ones if pin.net)
    yield Fail((part.ref,), "ground-lost", words, nets, severity=Severity.CAUTION)


# -- supplies ------------------------------------------------------------------------------------
def inner_nodes(board: Board, part: Part) -> Iterator[Verdict]:
    """Nodes of inner regulators, and supplies of the radio part, that lead nowhere.

    Where a card asks for a part there, one on no net is as firm as the card; what is on a net is left
    to the rule card-needs. By their names alone: a caution where all of the chip's inner nodes are
    open; where some have what they want, the sheet may want the open one so.
    """
    if board.role(part.ref).name in ("regulator", *SOURCES, "charger", "power-path"):
        return  # the noise pin of a regulator may stay open
    asked = _asked(board, part)
    inner = board.pins_for(part, *_MADE_INSIDE, "rf-supply")
    yield from _wanted(board, part, [p for p in inner if board.function_of(p) in asked], asked)
    pins = [pin for pin in inner if board.function_of(pin) not in asked]
    groups = _by_number(pins)
    dead = {n: ps for n, ps in groups.items() if leads_nowhere(board, ps)}
    unsaid = [ps[0] for ps in dead.values() if not any(p.marked_open for p in ps)]
    if not unsaid:
        return
    if len(dead) < len(groups) and not any(_is_rf(board, pin) for pin in unsaid):
        need = Need(
            f"whether {listed(p.label for p in unsaid)} may stay open",
            f"a card for {part.ref} in cards/*.toml with its needs, or a no-connect mark there",
        )
        yield Unknown(part.ref, (need,))
        return
    words = {
        "pin": listed(pin.label for pin in unsaid),
        "leads": plural(len(unsaid), "leads", "lead"),
    }
    carded = all(board.function_evidence(pin) in ("card", "manifest") for pin in unsaid)
    doubt = "" if carded else "by its name alone: its sheet decides"
    nets = tuple(pin.net for pin in unsaid if pin.net)
    caution = Severity.CAUTION
    yield Fail((part.ref,), "inner-open", words, nets, severity=caution, firm=carded, doubt=doubt)


def _is_rf(board: Board, pin: Pin) -> bool:
    return board.function_of(pin) == "rf-supply"


def _asked(board: Board, part: Part) -> dict[str, CardNeed]:
    """What the part's card asks for, by the pin function that it starts from."""
    card = board.card(part.ref)
    return {end: n for n in card.needs for end in (n.start, n.end)} if card is not None else {}


def _wanted(
    board: Board, part: Part, pins: list[Pin], asked: dict[str, CardNeed]
) -> Iterator[Verdict]:
    """Inner nodes on no net at all at which the card asks for a part."""
    bare = {
        n: ps[0]
        for n, ps in _by_number(pins).items()
        if all(pin.net is None and not pin.marked_open for pin in ps)
    }
    for pin in bare.values():
        need = asked[board.function_of(pin)]
        words = {"pin": pin.label, "why": need.why or f"its sheet asks for a {need.kind} there"}
        firm = pin_firm(board, pin) and not need.memory and board.role(part.ref).firm
        severity = Severity(need.severity)
        yield Fail((part.ref,), "inner-bare", words, severity=severity, firm=firm)


def split_supplies(board: Board, part: Part) -> Iterator[Verdict]:
    """Supply pins of one and the same name on supplies that nothing joins."""
    role = board.role(part.ref).name
    pads = {pin.number for pin in part.pins}
    if role not in _TAKERS and not (role == "chip" and len(pads) >= _MANY_PADS):
        return
    named: dict[str, list[Pin]] = {}
    for pin in board.pins_for(part, "supply", "rf-supply", "inner-supply"):
        if pin.name and pin.net is not None and not board.is_ground(pin.net):
            named.setdefault(pin.name.upper(), []).append(pin)
    for name, pins in sorted(named.items()):
        groups = _groups(board, pins)
        if len(groups) > 1 and all(_supplied(board, nets) for nets in groups):
            few, most = min(groups.values(), key=len), max(groups.values(), key=len)
            few = few if few is not most else [*groups.values()][-1]
            words = {
                "name": name,
                "pin": listed(pin.label for pin in few),
                "are": plural(len(few), "is", "are"),
                "net": listed(str(pin.net) for pin in few),
                "other": listed(str(pin.net) for pin in most),
            }
            nets = tuple(str(pin.net) for pin in (*few, *most))
            yield Fail((part.ref,), "split", words, nets, severity=Severity.CAUTION)


def _groups(board: Board, pins: list[Pin]) -> dict[frozenset[str], list[Pin]]:
    """The pins by the nets that a supply reaches either way through what passes one on."""
    found: dict[frozenset[str], list[Pin]] = {}
    for pin in pins:
        nets = _passed(board, str(pin.net))
        found.setdefault(nets, []).append(pin)
    return found


def _passed(board: Board, start: str) -> frozenset[str]:
    seen: set[str] = set()
    todo = [start]
    while todo:
        net = todo.pop()
        if net in seen or board.is_ground(net):
            continue
        seen.add(net)
        for part in board.on_net(net, *PLAIN, "diode", "transistor", "resistor"):
            role = board.role(part.ref).name
            if role != "resistor" or _small(board, part):
                todo += [other for other in part.nets if other != net]
    return frozenset(seen)


def _small(board: Board, part: Part) -> bool:
    value = board.value(part)
    return isinstance(value, Need) or value.value.low <= _SERIES_OHM


def _supplied(board: Board, nets: frozenset[str]) -> bool:
    """Whether something gives the nets a supply: a source, or a regulator inside a chip."""
    for net in sorted(nets):
        rail = board.volts(net)
        if isinstance(rail, Rail) and rail.drivers:
            return True
        for pin in board.circuit.pins_on(net):
            function, role = board.function_of(pin), board.role(pin.ref).name
            if function == "inner-supply" or (function in _GIVING and role in (*SOURCES, "cell")):
                return True
    return False
