"""The rule converter-inductor: whether each switching converter has its coil, joined at both ends."""

from __future__ import annotations

import math
from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.model.circuit import Part, Pin, PinKind
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.facts import need_role, stating
from counterpoise.roles.paths import CONVERTERS, node
from counterpoise.roles.wording import amount, listed, span
from counterpoise.values.ranges import Range

_MAYBE = ("chip", "unknown", "regulator", "charger")
"""Roles of a chip that its coil would have shown to be a converter, were it there."""

_MOST_PADS = 20
_NO_COIL = ("capacitor", "diode", "zener", "clamp", "test-point", "mechanical", "transistor")
"""Parts beside a switching node that stand in for no coil."""


# -- converter-inductor --------------------------------------------------------------------------
def converter_inductor(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for a coil at each switching node, both of its ends joined; hold its value (henries)
    against the card, its saturation current (A) against the converter's peak current."""
    for part in (*board.parts_as(*CONVERTERS), *_by_pins(board)):
        pins = board.pins_for(part, "switch-node")
        nodes = board.nets_for(part, "switch-node")
        if not pins:
            continue
        coils = {c.ref: c for net in nodes for c in board.on_net(net, "inductor")}
        loose = [loose for coil in coils.values() if (loose := _loose(board, part, coil))]
        if not coils:
            yield _without_coil(board, part, pins, nodes)
        elif loose:
            yield from loose
        elif board.role(part.ref).name in CONVERTERS:
            for ref in sorted(coils):
                yield from _coil(board, part, coils[ref])


def _by_pins(board: Board) -> Iterator[Part]:
    """Chips that are converters by their pins: supply, switching node, output or feedback."""
    for part in board.parts_as(*_MAYBE):
        functions = {board.function_of(pin) for pin in part.pins}
        few = len({pin.number for pin in part.pins}) <= _MOST_PADS
        gives = functions & {"output", "feedback", "cell"}
        if few and gives and "supply" in functions and "switch-node" in functions:
            yield part


def _without_coil(
    board: Board, part: Part, pins: tuple[Pin, ...], nodes: tuple[str, ...]
) -> Verdict:
    card = board.card(part.ref)
    asked = card is not None and any(n.kind == "inductor" for n in card.needs)
    words = {"net": listed(nodes) or listed(pin.label for pin in pins)}
    if asked:
        return Fail((part.ref,), "missing", words, nets=nodes)
    strangers = [
        other.ref
        for net in nodes
        for one in sorted(node(board, net))
        for other in board.on_net(one)
        if other.ref != part.ref and board.role(other.ref).name not in _NO_COIL
    ]
    if strangers:
        return Unknown(part.ref, (need_role(strangers[0], "inductor"),))
    if card is not None or all(_meant(pin) for pin in pins):
        need = Need(f"whether {part.ref} holds its coil inside", _CARD)
        return Unknown(part.ref, (need,))
    doubt = f"unless {part.ref} holds its coil inside"
    return Fail((part.ref,), "missing", words, nets=nodes, firm=False, doubt=doubt)


def _meant(pin: Pin) -> bool:
    """Whether the drawing says that the pin is left open."""
    return pin.marked_open or pin.kind is PinKind.NO_CONNECT


def _loose(board: Board, part: Part, coil: Part) -> Fail | None:
    """A coil of which one end leads nowhere, or whose ends are on one net."""
    joined = [pin for pin in coil.pins if pin.net is not None]
    words = {"who": part.ref, "net": listed(coil.nets)}
    refs = (coil.ref, part.ref)
    if len(coil.pins) > 2 or len({pin.number for pin in coil.pins}) != len(coil.pins):
        return None  # coils with more pins, or pads that only hold
    if len(joined) == 2 and len(coil.nets) == 1:
        return Fail(refs, "bridged", words, coil.nets)
    bare = [
        pin
        for pin in coil.pins
        if pin.net is None
        or not any(
            other.ref != coil.ref for net in node(board, pin.net) for other in board.on_net(net)
        )
    ]
    words["pin"] = listed(pin.label for pin in bare)
    return Fail(refs, "open", words, coil.nets) if bare else None


_CARD = "a card for it in cards/*.toml, beside board.toml, with its needs"


def _coil(board: Board, part: Part, coil: Part) -> Iterator[Verdict]:
    card = board.card(part.ref)
    wanted = (
        next((n for n in card.needs if n.kind == "inductor" and n.value), None) if card else None
    )
    value = board.value(coil)
    if isinstance(value, Need):
        yield Unknown(coil.ref, (value,))
        return
    if wanted is None or wanted.value is None:
        yield Unknown(coil.ref, (Need(f"the inductance that {part.ref} asks for", _CARD),))
        return
    low, high = wanted.value.low * 0.8, wanted.value.high * 1.2
    if not low <= value.value.middle <= high:
        yield _off(coil, part, value.value.middle, wanted.value)
        return
    yield from _saturation(board, part, coil)


def _off(coil: Part, part: Part, henries: float, wanted: Range) -> Fail:
    bounded = math.isfinite(wanted.high)
    asked = span(wanted, "H") if bounded else f"{amount(wanted.low, 'H')} or more"
    return Fail(
        (coil.ref, part.ref),
        "value",
        {"value": amount(henries, "H"), "who": part.ref, "wanted": asked},
        nets=coil.nets,
        measured=Measured(round(henries * 1e6, 4), "µH"),
        limit=Limit(wanted.low * 1e6, wanted.high * 1e6 if bounded else None, "µH"),
    )


def _saturation(board: Board, part: Part, coil: Part) -> Iterator[Verdict]:
    peak, most = board.known(part, "peak_current"), board.known(coil, "saturation_current")
    if isinstance(peak, Need) or isinstance(most, Need):
        yield Unknown(coil.ref, tuple(x for x in (peak, most) if isinstance(x, Need)))
        return
    stands = most.value.at_least(peak.value.high)
    if stands:
        yield Pass(coil.ref)
    elif stands is None:
        example = f"{peak.value.high:g} A"
        need = Need(
            f"the saturation current of {coil.ref} ({span(most.value, 'A')})",
            stating(coil.ref, "saturation_current", example),
        )
        yield Unknown(coil.ref, (need,))
    else:
        yield Fail(
            (coil.ref, part.ref),
            "saturates",
            {"who": part.ref, "peak": span(peak.value, "A"), "most": span(most.value, "A")},
            nets=coil.nets,
            measured=Measured(round(most.value.middle, 4), "A"),
            limit=Limit(peak.value.high, None, "A"),
        )
