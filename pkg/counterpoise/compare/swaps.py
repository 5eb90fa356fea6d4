"""Which pins of a part swap without electrical meaning, and which the part itself joins."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TypeAlias

from counterpoise.model.circuit import Part
from counterpoise.roles.board import Board
from counterpoise.roles.pins import functions_of

_TURNABLE = frozenset(
    {"resistor", "inductor", "ferrite", "fuse", "link", "thermistor", "crystal", "resonator"}
    | {"capacitor", "push-switch"}
)
"""Two-pin parts of these roles may be turned round (a capacitor unless it is polarised)."""

_BY_FUNCTION = {
    "led": ("anode", "cathode"),
    "diode": ("anode", "cathode"),
    "zener": ("anode", "cathode"),
    "cell": ("plus", "minus"),
}
_CONTACTS = frozenset({"vbus", "ground", "usb-positive", "usb-negative", "shield"})
"""USB-C contacts that carry one signal on several pins (USB Type-C specification, receptacle pin
map: A and B rows mirror each other); the CC and sideband contacts stay apart."""

_UNPOLARISED = re.compile(r"UN-?POL|NON-?POL|BI-?POL|NOT POL")
_POLARISED = re.compile(
    r"POLARI[SZ]|TANTAL|ELECTROLYTIC|ELKO|(?<![A-Z0-9])CP(?![A-Z0-9])|"
    r"(?<![A-Z0-9])(C_POL|CP1|CPOL|CAPPOL)"
)
_LIVE_PADS = {"GND23": ("1", "4"), "GND3": ("1", "2"), "GND2": ("1", "3")}


PinWord: TypeAlias = tuple[str, int | None]
"""A pin's class, and the side of joined pins that it belongs to (None for none)."""


def told_pins(
    board: Board, part: Part, role: str, borrowed: Mapping[str, PinWord]
) -> tuple[PinWord, ...]:
    """What is known of every pin, in pin order. ``borrowed`` is what another board tells of such a
    part by pin number; it is used where this board tells nothing but numbers."""
    sides = joined_sides(board, part, role)
    own = [(label, sides.get(n)) for n, label in enumerate(labels_of(board, part, role))]
    numbers = [pin.number for pin in part.pins]
    bare = all(word == (number, None) for word, number in zip(own, numbers, strict=True))
    if bare and all(number in borrowed for number in numbers):
        return tuple(borrowed[number] for number in numbers)
    return tuple(own)


def labels_of(board: Board, part: Part, role: str) -> tuple[str, ...]:
    """The class of every pin, in pin order: pins of one class may swap their nets."""
    numbers = [pin.number for pin in part.pins]
    if role == "usb-connector":
        told = _functions(board, part, role)
        return tuple(_usb(told.get(pin.number, ""), pin.number) for pin in part.pins)
    if role in ("crystal", "resonator") and len(set(numbers)) in (3, 4):
        return _crystal(part, numbers)
    if role in _BY_FUNCTION:
        return _by_function(board, part, role, _BY_FUNCTION[role])
    if joined_sides(board, part, role) or _turns(part, role):
        return ("end",) * len(numbers)
    if role == "capacitor" and len(set(numbers)) == 2:
        return _by_function(board, part, role, ("plus", "minus"))
    return tuple(numbers)


def _usb(function: str, number: str) -> str:
    return function if function in _CONTACTS else number


def _turns(part: Part, role: str) -> bool:
    if role not in _TURNABLE or len({pin.number for pin in part.pins}) != 2:
        return False
    return role != "capacitor" or not _polarised(part)


def _polarised(part: Part) -> bool:
    if any(pin.name in ("+", "-") or pin.number in ("+", "-") for pin in part.pins):
        return True
    text = f"{part.symbol} {part.description} {part.footprint.replace('_', ' ')} {part.value}"
    text = text.upper()
    return bool(_POLARISED.search(text)) and not _UNPOLARISED.search(text)


def _functions(board: Board, part: Part, role: str) -> Mapping[str, str]:
    """What the pins do by manifest, card, pin names or usual numbers: never by the nets they join."""
    told = functions_of(part, role, board.card(part.ref), board.manifest.parts.get(part.ref))
    return {number: word for number, (word, source) in told.items() if source != "nets"}


def _by_function(board: Board, part: Part, role: str, wanted: tuple[str, str]) -> tuple[str, ...]:
    """The two ends by what they do where that is told, else by number."""
    known = _functions(board, part, role)
    told = [known.get(pin.number, "") for pin in part.pins]
    if set(told) == set(wanted):
        return tuple(told)
    return tuple(pin.number for pin in part.pins)


def _crystal(part: Part, numbers: list[str]) -> tuple[str, ...]:
    """The resonator's two pads are alike, and so are the case pads. Pads 1 and 3 of four are the
    resonator unless the symbol says otherwise (IEC 61837 outlines are drawn so; common practice)."""
    if not set(numbers) <= {"1", "2", "3", "4"}:
        return tuple(numbers)
    text = f"{part.symbol} {part.footprint} {part.value}".upper()
    live = next((pads for word, pads in _LIVE_PADS.items() if word in text), ("1", "3"))
    return tuple("resonator" if number in live else "case" for number in numbers)


def joined_sides(board: Board, part: Part, role: str) -> Mapping[int, int]:
    """For a push switch with more than two pins: pin place to side, where its pin names or its card
    tell which pins it joins; empty otherwise."""
    if role != "push-switch" or len(part.pins) < 3:
        return {}
    names = [pin.name or pin.number for pin in part.pins]
    kinds = sorted(set(names))
    if len(kinds) == 2 and all(names.count(kind) > 1 for kind in kinds):
        return {place: kinds.index(name) for place, name in enumerate(names)}
    sides = {"contact-a": 0, "contact-b": 1}
    known = _functions(board, part, role)
    told = [known.get(pin.number, "") for pin in part.pins]
    if set(told) >= set(sides):
        return {place: sides[word] for place, word in enumerate(told) if word in sides}
    return {}
