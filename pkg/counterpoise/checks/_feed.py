"""The way from a radio's RF pin to an antenna."""

from __future__ import annotations

import re
from dataclasses import dataclass

from counterpoise.checks._parts import distinct, pin_firm, supply
from counterpoise.model.circuit import Part, Pin
from counterpoise.roles.board import Board

ANTENNAS = ("antenna", "antenna-connector")
RADIOS = ("radio", "radio-module")
MATCHING = ("capacitor", "inductor", "resistor", "link", "ferrite")
RF_FUNCTIONS = ("rf", "rf-positive", "rf-negative", "antenna")
_THROUGH = ("balun", "antenna-connector")
_DEAD = frozenset(("mechanical", "test-point", "diode", "zener", "clamp"))
_RF_NAME = re.compile(r"(?:^|[^A-Z])(?:RF|ANT|LNA|PA|NFC|RFI|RFO|TX|RX)", re.I)


@dataclass(frozen=True, slots=True)
class Walk:
    """What an antenna's feed reaches through matching parts.

    ``nets`` in the order they were met, ``series`` the parts gone through, ``heard`` the RF pins of
    radios, ``others`` further pins of parts that may be a radio or a stage before one.
    """

    nets: tuple[str, ...]
    series: tuple[Part, ...]
    heard: tuple[Pin, ...]
    others: tuple[Pin, ...]


def feed_pins(board: Board, antenna: Part) -> tuple[Pin, ...]:
    """The feed, or every pin that is no ground where no pin is known for it; on a net or not."""
    named = board.pins_for(antenna, "feed", "rf", "antenna")
    if named:
        return named
    return tuple(
        pin
        for pin in antenna.pins
        if not board.is_ground(pin.net)
        and board.function_of(pin) not in ("ground", "shield", "mount", "none")
    )


def feed_known(board: Board, antenna: Part) -> bool:
    """Whether its feed is told by the manifest, a card or a pin's name."""
    return any(pin_firm(board, pin) for pin in board.pins_for(antenna, "feed", "rf", "antenna"))


def supplied(board: Board, net: str) -> bool:
    """Whether the net is a supply rail, though of unknown voltage: the signal ends there."""
    pins = board.circuit.pins_on(net)
    return supply(board, net) is not None or any(board.function_of(p) == "supply" for p in pins)


def walk(board: Board, antenna: Part, start: str, through: tuple[str, ...] = _THROUGH) -> Walk:
    """Follow the signal from ``start`` to radios, supplies and ground. Linear in the nets met.

    It goes on through matching parts, and through parts of the roles in ``through``.
    """
    nets, series = [start], list[Part]()
    heard, others = list[Pin](), list[Pin]()
    seen = {start}
    for net in nets:
        for part in board.on_net(net):
            if part.ref == antenna.ref:
                continue
            onward = _onward(board, part, net, through)
            if onward is None:
                pins = [p for p in part.pins if p.net == net]
                (heard if _hears(board, part, pins) else others).extend(
                    p for p in pins if not _dead(board, part)
                )
                continue
            for following in onward:
                if following not in seen and not ends(board, following):
                    seen.add(following)
                    nets.append(following)
                    series.append(part)
    return Walk(tuple(nets), distinct(series), tuple(heard), tuple(others))


def ends(board: Board, net: str) -> bool:
    """Whether a signal ends on the net: ground, or a supply."""
    return board.is_ground(net) or supplied(board, net)


def _onward(board: Board, part: Part, net: str, through: tuple[str, ...]) -> tuple[str, ...] | None:
    """The nets a signal goes on to through the part; None where it does not pass."""
    role = board.role(part.ref).name
    if role in MATCHING:
        other = board.across(part, net)
        return () if other is None else (other,)
    if role in through:
        return tuple(other for other in part.nets if other != net)
    return None


def _hears(board: Board, part: Part, pins: list[Pin]) -> bool:
    return any(board.function_of(pin) in RF_FUNCTIONS for pin in pins) and board.role(
        part.ref
    ).name in (*RADIOS, "controller", "chip", "logic", "unknown")


def _dead(board: Board, part: Part) -> bool:
    return board.role(part.ref).name in _DEAD


def may_be_rf(board: Board, pin: Pin) -> bool:
    """Whether a reached pin could be an RF pin for all that is known."""
    function = board.function_of(pin)
    if not function or (function == "io" and _RF_NAME.search(pin.name)):
        return True
    return function in RF_FUNCTIONS or function == "bias"


def unfitted_bridges(board: Board, nets: tuple[str, ...]) -> tuple[Part, ...]:
    """Unfitted matching parts that would lead out of the nets, not into ground."""
    fitted = {part.ref for part in board.parts}
    found = []
    for part in board.all_parts:
        if part.ref in fitted or board.role(part.ref).name not in MATCHING:
            continue
        outside = [net for net in part.nets if net not in nets]
        if len(part.nets) == 2 and len(outside) == 1 and not ends(board, outside[0]):
            found.append(part)
    return tuple(found)


def radios_with_rf(board: Board) -> tuple[Part, ...]:
    """Radios of whose pins one is known to carry the RF signal."""
    return tuple(r for r in board.parts_as(*RADIOS) if board.pins_for(r, *RF_FUNCTIONS))
