"""The rules decoupling-present and supply-pin-open: what stands on a supply net."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._power_paths import ICS, PLAIN, SOURCES, Bypass, bypass, node
from counterpoise.checks._power_words import amount, listed
from counterpoise.model.circuit import Part, Pin
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
from counterpoise.roles.evidence import Known

_FIRM = ("manifest", "card", "pins")
_RADIOS = ("radio", "radio-module")
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

_SERIES_OHM = 100.0
"""A resistor above this many ohms pulls a signal; it feeds no chip."""


def firm_pins(board: Board, pins: tuple[Pin, ...]) -> bool:
    """Whether what the pins do is certain: by manifest, by card or by their own names."""
    return all(board.function_evidence(pin) in _FIRM for pin in pins)


# -- decoupling-present --------------------------------------------------------------------------
def decoupling_present(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for a capacitor (farads in the rule's range) from each supply net of a chip to ground.

    With a layout also how far (mm) the nearest stands from the pin; for a radio also how much there
    is in all on its supply.
    """
    for part in board.parts_as(*_FED):
        pins = tuple(p for p in _supply_pins(board, part) if p.net is not None)
        if pins:
            yield from _decoupled(board, rule, part, pins)
        elif board.role(part.ref).name in _RADIOS and not board.pins_for(part, "supply"):
            need = Need(
                f"which pin of {part.ref} is its supply",
                "a card for it in cards/*.toml, beside board.toml, with pins.supply",
            )
            yield Unknown(part.ref, (need,))


def _supply_pins(board: Board, part: Part) -> tuple[Pin, ...]:
    """Supply pins, and for makers of rails their output and cell pins too.

    What the part's card asks for by itself is left to the rule card-needs.
    """
    role = board.role(part.ref).name
    functions = {"supply"}
    if role in ("regulator", *SOURCES, "charger"):
        functions |= {"output", "cell"}
    card = board.card(part.ref)
    if card is not None:
        asked = {end for n in card.needs if n.kind == "capacitor" for end in (n.start, n.end)}
        functions -= asked
    pins = board.pins_for(part, *sorted(functions))
    return tuple(pin for pin in pins if not board.is_ground(pin.net))


def _near(rule: Rule, found: Bypass, board: Board) -> tuple[Part, ...]:
    """The capacitors large enough to count; one whose value is unread counts."""
    least = rule.limit("capacitance").low
    return tuple(
        cap for cap in found.parts if cap.ref in found.unread or _farads(board, cap) >= least * 0.99
    )


def _farads(board: Board, cap: Part) -> float:
    value = board.value(cap)
    return value.value.middle if isinstance(value, Known) else 0.0


def _decoupled(board: Board, rule: Rule, part: Part, pins: tuple[Pin, ...]) -> Iterator[Verdict]:
    found = {pin.net: bypass(board, node(board, pin.net)) for pin in pins if pin.net}
    bare = [pin for pin in pins if pin.net and not _near(rule, found[pin.net], board)]
    if bare:
        yield _bare(board, rule, part, pins, bare)
        return
    unread = {ref: need for net in found.values() for ref, need in net.unread.items()}
    counted = all(any(c.ref not in b.unread for c in _near(rule, b, board)) for b in found.values())
    if not counted:
        yield Unknown(part.ref, tuple(dict.fromkeys(unread.values())))
        return
    thin = _thin(board, rule, part, found, bool(unread))
    far = None if thin else _far(board, rule, part, pins, found)
    yield thin or far or Pass(part.ref)


def _bare(board: Board, rule: Rule, part: Part, pins: tuple[Pin, ...], bare: list[Pin]) -> Fail:
    every = len(bare) == len(pins)
    role = board.role(part.ref)
    borne = [pin for pin in bare if _driven_by_signal(board, part, pin)]
    firm = role.firm and firm_pins(board, tuple(bare)) and not borne
    # A module holds capacitors of its own, and an unknown chip may: neither is stopped for this.
    gentle = role.name in ("radio-module", "chip", "addressable-led") or not every
    words = {
        "pins": listed(pin.label for pin in bare),
        "nets": listed(pin.net for pin in bare if pin.net),
    }
    return Fail(
        (part.ref,),
        "none" if every else "some",
        words,
        nets=tuple(pin.net for pin in bare if pin.net),
        limit=Limit(rule.limit("capacitance").low * 1e9, None, "nF"),
        severity=Severity.CAUTION if gentle else None,
        firm=firm,
        doubt="" if firm else f"taken for a {role.name}: {role.because}",
    )


def _driven_by_signal(board: Board, part: Part, pin: Pin) -> bool:
    """Whether another chip's input or output pin feeds this one, as is done for small sensors."""
    return any(
        board.function_of(other) == "io" and other.ref != part.ref
        for other in board.circuit.pins_on(pin.net)
    )


def _thin(
    board: Board, rule: Rule, part: Part, found: dict[str, Bypass], unread: bool
) -> Fail | None:
    if board.role(part.ref).name not in _RADIOS or unread:
        return None
    most_net = max(found, key=lambda net: found[net].farads)
    most = found[most_net]
    least = rule.limit("bulk").low
    if most.farads >= least * 0.99:
        return None
    words = {"net": most_net, "sum": amount(most.farads, "F"), "least": amount(least, "F")}
    return Fail(
        (part.ref,),
        "bulk",
        words,
        nets=(most_net,),
        measured=Measured(round(most.farads * 1e6, 6), "µF"),
        limit=Limit(least * 1e6, None, "µF"),
        severity=Severity.CAUTION,
    )


def _far(
    board: Board, rule: Rule, part: Part, pins: tuple[Pin, ...], found: dict[str, Bypass]
) -> Fail | None:
    if board.layout is None or board.role(part.ref).name == "radio-module":
        return None
    from counterpoise.checks._power_distance import nearest_pad

    worst: tuple[float, Pin, str] | None = None
    for pin in pins:
        if pin.net is None:
            continue
        caps = [c.ref for c in _near(rule, found[pin.net], board)]
        near = nearest_pad(board, pin, caps)
        if near and (worst is None or near[0] > worst[0]):
            worst = (near[0], pin, near[1])
    most = rule.limit("distance").high
    if worst is None or worst[0] <= most:
        return None
    words = {"pin": worst[1].label, "cap": worst[2], "far": f"{worst[0]:.1f} mm"}
    return Fail(
        (part.ref, worst[2]),
        "far",
        {**words, "most": f"{most:g} mm"},
        nets=(worst[1].net or "",),
        measured=Measured(round(worst[0], 2), "mm"),
        limit=Limit(None, most, "mm"),
        severity=Severity.CAUTION,
    )


# -- supply-pin-open -----------------------------------------------------------------------------
def supply_pin_open(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that every supply pin of a chip is on a net that something can feed."""
    nameless: list[str] = []
    for part in board.parts_as(*_FED):
        pins = board.pins_for(part, "supply")
        if pins:
            yield _fed(board, part, pins)
        elif board.card(part.ref) is None and len(part.pins) > 2:
            nameless.append(part.ref)
    if nameless:
        need = Need(
            f"which pins of {listed(nameless)} are their supplies",
            "pin names in the symbols, or a card in cards/*.toml with pins.supply",
        )
        yield Unknown(nameless[0], (need,))


def _fed(board: Board, part: Part, pins: tuple[Pin, ...]) -> Verdict:
    dead = [pin for pin in pins if not _can_be_fed(board, part, pin)]
    if not dead:
        return Pass(part.ref)
    every = len(dead) == len(pins)
    if not every and all(pin.marked_open for pin in dead):
        return Pass(part.ref)
    on_net = [pin for pin in dead if pin.net is not None]
    firm = board.role(part.ref).firm and firm_pins(board, tuple(dead))
    return Fail(
        (part.ref,),
        "unfed" if on_net else "open",
        {"pin": listed(pin.label for pin in dead), "net": listed(p.net or "" for p in on_net)},
        nets=tuple(pin.net for pin in on_net if pin.net),
        severity=None if every else Severity.CAUTION,
        firm=firm,
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
        return function in ("output", "inner-supply", "system")
    if role in _CARRY or role == "diode" or (role == "resistor" and _is_small(board, other)):
        return [n for n in _onward(board, other, pin, role) if n not in seen]
    if role == "usb-connector":
        return function in ("vbus", "")
    return role != "resistor" and function not in _SINKS


def _fitted_refs(board: Board) -> frozenset[str]:
    return board.once("power.fitted", lambda: frozenset(p.ref for p in board.parts))


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
