"""The rule decoupling-present: what stands on a supply net."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._parts import distinct, plugs_in
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
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
from counterpoise.roles.paths import ICS, SOURCES, Bypass, bypass, node
from counterpoise.roles.pins import named, net_leaf
from counterpoise.roles.voltages import volts_in_name
from counterpoise.roles.wording import amount, listed, refs

_FIRM = ("manifest", "card", "pins")
_RADIOS = ("radio", "radio-module")
_FED = (*ICS, "addressable-led")
_TAKERS = ("radio", "radio-module", "controller", "sensor", "memory")
_MANY_PADS = 12
"""Pads from which an unknown chip is no regulator, charger or switch; common practice, no source."""
_SUPPLY_NET = re.compile(r"[+P]?[AD]?V(?:CC|DD)(?:[_-]?[A-Z0-9]+)?")


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
        every = tuple(p for p in _supply_pins(board, part, all_of=True) if p.net is not None)
        if plugs_in(part):
            yield Skip(f"{part.ref} is a controller board by its pins: its capacitors are on it")
        elif every and not any(_held(board, rule, pin) for pin in every):
            yield _bare(board, rule, part, every, list(every))
        elif pins:
            yield from _decoupled(board, rule, part, pins)
        elif board.role(part.ref).name in _RADIOS and not board.pins_for(part, "supply"):
            need = Need(
                f"which pin of {part.ref} is its supply",
                "a card for it in cards/*.toml, beside board.toml, with pins.supply",
            )
            yield Unknown(part.ref, (need,))


def _held(board: Board, rule: Rule, pin: Pin) -> bool:
    """Whether a capacitor that counts stands on the pin's node."""
    return bool(_near(rule, bypass(board, node(board, str(pin.net))), board))


def _supply_pins(board: Board, part: Part, all_of: bool = False) -> tuple[Pin, ...]:
    """Supply pins, and for makers of rails their output and cell pins too.

    What the part's card asks for by itself is left to the rule card-needs; a card that asks for
    capacitors at all has said which of its output and cell pins need one. ``all_of`` takes every pin.
    """
    role = board.role(part.ref).name
    asked = set() if all_of else _asked(board, part)
    functions = {"supply"} - asked
    if role in ("regulator", *SOURCES, "charger") and not asked:
        functions |= {"output", "cell"}
    pins = board.pins_for(part, *sorted(functions)) or _by_net_name(board, part)
    return tuple(pin for pin in pins if not board.is_ground(pin.net))


def _asked(board: Board, part: Part) -> set[str]:
    """The pin functions at which the part's card asks for a capacitor."""
    card = board.card(part.ref)
    needs = card.needs if card is not None else ()
    return {end for n in needs if n.kind == "capacitor" for end in (n.start, n.end)}


def _by_net_name(board: Board, part: Part) -> tuple[Pin, ...]:
    """The pins of a chip without pin names that lie on nets named as supplies.

    Only of parts that take a supply and make none: what an unknown small chip does on such a net is
    open.
    """
    role = board.role(part.ref).name
    many = len({pin.number for pin in part.pins}) >= _MANY_PADS
    takes = role in _TAKERS or (role == "chip" and many)
    if not takes or named(part) or any(board.function_of(pin) for pin in part.pins):
        return ()
    return tuple(pin for pin in part.pins if pin.net is not None and _named_supply(pin.net))


def _named_supply(net: str) -> bool:
    return volts_in_name(net) is not None or bool(_SUPPLY_NET.fullmatch(net_leaf(net)))


def _near(rule: Rule, found: Bypass, board: Board) -> tuple[Part, ...]:
    """The capacitors large enough to count; one whose value is unread counts."""
    least = rule.limit("capacitance").low
    return tuple(
        cap
        for cap in found.parts
        if isinstance(value := board.value(cap), Need) or value.value.middle >= least * 0.99
    )


def _decoupled(board: Board, rule: Rule, part: Part, pins: tuple[Pin, ...]) -> Iterator[Verdict]:
    found = {net: bypass(board, node(board, net)) for net in _nets(pins)}
    bare = [pin for pin in pins if not _near(rule, found[str(pin.net)], board)]
    if bare:
        yield _bare(board, rule, part, pins, bare)
        return
    unread = {ref: need for net in found.values() for ref, need in net.unread.items()}
    counted = all(any(c.ref not in b.unread for c in _near(rule, b, board)) for b in found.values())
    if not counted:
        yield Unknown(part.ref, tuple(dict.fromkeys(unread.values())))
        return
    thin = _thin(board, rule, part, found, tuple(dict.fromkeys(unread.values())))
    if not isinstance(thin, Fail):
        thin = _far(board, rule, part, pins, found) or _behind_bead(board, rule, part, pins) or thin
    yield thin or Pass(part.ref)


def _behind_bead(board: Board, rule: Rule, part: Part, pins: tuple[Pin, ...]) -> Fail | None:
    """Pins that have capacitors only on the far side of a ferrite bead."""
    apart = []
    for pin in pins:
        here = {str(pin.net)} | (board.reach(str(pin.net), "link") - board.grounds)
        if not _near(rule, bypass(board, here), board):
            apart.append(pin)
    if not apart:
        return None
    nets = _nets(apart)
    beads = distinct(bead for net in nets for bead in board.on_net(net, "ferrite"))
    words = {"pins": listed(pin.label for pin in apart), "bead": refs(beads)}
    subjects = (part.ref, *(bead.ref for bead in beads))
    return Fail(subjects, "bead", words, nets, severity=Severity.CAUTION)


def _nets(pins: Iterable[Pin]) -> tuple[str, ...]:
    """The nets of the pins, each once, in order."""
    return tuple(dict.fromkeys(str(pin.net) for pin in pins))


def _bare(board: Board, rule: Rule, part: Part, pins: tuple[Pin, ...], bare: list[Pin]) -> Fail:
    every = len(bare) == len(pins)
    role = board.role(part.ref)
    borne = [pin for pin in bare if _driven_by_signal(board, part, pin)]
    firm = role.firm and firm_pins(board, tuple(bare)) and not borne
    # A module holds capacitors of its own, and an unknown chip may: neither is stopped for this.
    gentle = role.name in ("radio-module", "chip", "addressable-led") or not every
    gentle = gentle or (role.name in ("regulator", *SOURCES) and _leaves(board, bare))
    return Fail(
        (part.ref,),
        "none" if every else "some",
        {"pins": listed(pin.label for pin in bare)},
        nets=_nets(bare),
        limit=Limit(rule.limit("capacitance").low * 1e9, None, "nF"),
        severity=Severity.CAUTION if gentle else None,
        firm=firm,
        doubt="" if firm else _doubt(board, part, pins, borne),
    )


def _leaves(board: Board, pins: list[Pin]) -> bool:
    """Whether a rail goes on to a header: the board that is plugged there may hold capacitors."""
    return any(board.on_net(net, "connector") for p in _nets(pins) for net in node(board, p))


def _doubt(board: Board, part: Part, pins: tuple[Pin, ...], borne: list[Pin]) -> str:
    if borne and board.role(part.ref).firm:
        return f"{listed(pin.label for pin in borne)} is fed by a pin of another chip"
    if any(board.function_of(pin) for pin in pins):
        role = board.role(part.ref)
        return f"taken for a {role.name}: {role.because}"
    return f"a supply pin by the name of its net, {listed(sorted({str(p.net) for p in pins}))}"


def _driven_by_signal(board: Board, part: Part, pin: Pin) -> bool:
    """Whether another chip's input or output pin feeds this one, as is done for small sensors."""
    return any(
        board.function_of(other) == "io" and other.ref != part.ref
        for other in board.circuit.pins_on(pin.net)
    )


def _thin(
    board: Board, rule: Rule, part: Part, found: dict[str, Bypass], unread: tuple[Need, ...]
) -> Fail | Unknown | None:
    if board.role(part.ref).name not in _RADIOS:
        return None
    most_net = max(found, key=lambda net: found[net].farads)
    most = found[most_net]
    least = rule.limit("bulk").low
    if most.farads >= least * 0.99:
        return None
    if unread:
        return Unknown(part.ref, unread)
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
        caps = [c.ref for c in _near(rule, found[str(pin.net)], board)]
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
        nets=_nets([worst[1]]),
        measured=Measured(round(worst[0], 2), "mm"),
        limit=Limit(None, most, "mm"),
        severity=Severity.CAUTION,
    )
