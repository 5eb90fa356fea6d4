"""What pins do: by manifest, card, generic names for the part's role, or usual pad numbers."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Any

from counterpoise.catalog.cards import Card
from counterpoise.catalog.tables import section, table
from counterpoise.catalog.toml import CatalogError
from counterpoise.catalog.vocabulary import FUNCTIONS, ROLES
from counterpoise.model.circuit import Part, Pin, PinKind
from counterpoise.model.manifest import PartFacts

Functions = Mapping[str, tuple[str, str]]
"""Pin number to (function, kind of evidence)."""

_USB_LAYOUTS = ("usb-c", "usb-micro", "usb-a")
_DECOR = re.compile(r"[\s~]+|^[/#!]+|(?<=[A-Z0-9])#$|^\\|\\$")


@cache
def spellings(name: str) -> tuple[str, ...]:
    """The ways to look a pin name up, fullest first: "P0.00/XL1", "XL1"; "VDD_2", "VDD"."""
    upper = _DECOR.sub("", name.upper().replace("{SLASH}", "/"))
    pieces = [upper, *(p for p in re.split(r"[/|,:\\]", upper) if p)]
    bare = [b for p in pieces if (b := re.sub(r"[_-]?\d+$", "", p)) and b != p and len(b) > 1]
    inside = [m[1] for p in pieces if (m := re.fullmatch(r".+\((\w+)\)", p))]
    return tuple(dict.fromkeys([*pieces, *bare, *inside]))


def _check(file_key: str, names: Mapping[str, Any]) -> dict[str, str]:
    found: dict[str, str] = {}
    for function, words in names.items():
        if function not in FUNCTIONS:
            raise CatalogError("pins.toml", f"[{file_key}] {function}", "unknown pin function")
        for word in words:
            found.setdefault(word, function)
    return found


@cache
def by_name(role: str) -> Mapping[str, str]:
    """Pin name to function for a role ("any" for those that hold everywhere)."""
    content = table("pins")
    if role not in content or (role not in ROLES and role != "any"):
        return MappingProxyType({})
    return MappingProxyType(_check(role, content[role]))


@cache
def by_number(layout: str) -> Mapping[str, str]:
    """Pad number to function for parts whose pins carry no names."""
    return MappingProxyType(dict(table("pins").get("numbers", {}).get(layout, {})))


def function_by_name(name: str, role: str) -> str:
    """The function that a pin name has on a part of that role, "" when it tells nothing."""
    own, everywhere = by_name(role), by_name("any")
    for spelling in spellings(name):
        found = own.get(spelling) or everywhere.get(spelling)
        if found:
            return found
    return ""


def _usable(pin: Pin) -> bool:
    return bool(pin.name) and pin.name != pin.number and pin.name not in ("~", "Pin_" + pin.number)


def named(part: Part) -> tuple[Pin, ...]:
    """The pins that carry a telling name."""
    return tuple(pin for pin in part.pins if _usable(pin))


def names_of(part: Part) -> frozenset[str]:
    """Every spelling of every pin name of the part."""
    return frozenset(s for pin in named(part) for s in spellings(pin.name))


def _from_card(part: Part, card: Card) -> dict[str, tuple[str, str]]:
    package = next((p for p in card.packages if p.matches.search(part.footprint)), None)
    numbers = {pin.number for pin in part.pins if pin.number}
    if package is None and len(card.packages) == 1 and not part.footprint:
        package = card.packages[0]
    wanted = {s: f for f, names in card.names.items() for n in names for s in spellings(n)[:1]}
    found: dict[str, tuple[str, str]] = {}
    for pin in part.pins:
        by_pad = package.functions.get(pin.number) if package else None
        spelt = [wanted[s] for s in spellings(pin.name) if s in wanted] if _usable(pin) else []
        if spelt:
            found[pin.number] = (spelt[0], "card")
        elif by_pad and numbers:
            found[pin.number] = (by_pad, "card")
    return found


def _usb_layout(part: Part) -> str:
    numbers = {pin.number.upper() for pin in part.pins}
    text = f"{part.footprint} {part.value} {part.symbol}".upper()
    if {"A5", "B5"} <= numbers:
        return "usb-c"
    if re.search(r"MICRO|MINI", text) and "TYPE-C" not in text:
        return "usb-micro"
    if re.search(r"USB_?A\b|USB_A_", text):
        return "usb-a"
    return ""


def _from_nets(part: Part) -> dict[str, tuple[str, str]]:
    words = _check("net-names", section("pins", "net-names").rest())
    grounds = ground_names()
    found: dict[str, tuple[str, str]] = {}
    for pin in part.pins:
        if pin.net is None:
            continue
        leaf = net_leaf(pin.net)
        inner = re.fullmatch(r"NET-\((.+)\)|UNCONNECTED-\((.+)-PAD.+\)", leaf)
        last = re.sub(r"^[A-Z]+\d*-", "", inner[1] or inner[2]) if inner else leaf
        function = "ground" if leaf in grounds else words.get(last.removeprefix("PAD"), "")
        if function:
            found[pin.number] = (function, "nets")
    return found


@cache
def ground_names() -> frozenset[str]:
    """Leaf names of nets that are ground."""
    return frozenset(section("pins", "ground-nets").texts("names"))


@cache
def net_leaf(net: str) -> str:
    """A net's own name in upper case, without the sheets it lies in: "/Power/GND" is "GND"."""
    spelt = net.upper().replace("{SLASH}", "/")
    return spelt.rstrip("/").rsplit("/", 1)[-1] if spelt.startswith("/") else spelt


def _numbered(part: Part, role: str) -> dict[str, tuple[str, str]]:
    """By pad numbers, for parts none of whose pins has a telling name."""
    layout = _usb_layout(part) if role == "usb-connector" else role
    if layout not in (*_USB_LAYOUTS, "transistor") and len({p.number for p in part.pins}) > 3:
        return {}
    if role == "transistor" and {p.number for p in part.pins} != {"1", "2", "3"}:
        return {}
    usual = by_number(layout)
    if "cathode" in usual.values() and any(p.number not in usual for p in part.pins):
        return {}  # three pads: a dual diode, or a single one whose pads no habit orders
    kind = "pins" if layout in _USB_LAYOUTS else "footprint"
    return {p.number: (usual[p.number], kind) for p in part.pins if p.number in usual}


_LETTERED = frozenset({"led", "diode", "zener", "clamp", "transistor", "change-over-switch"})
"""Roles whose pads some libraries number by letter: A and K, G, D and S, COM, NO and NC."""


def _by_own_name(pin: Pin, role: str) -> str:
    """The function by a pin's name, its electrical kind, or a number that is as good as a name."""
    function = function_by_name(pin.name, role) if _usable(pin) else ""
    if function:
        return function
    if pin.kind in (PinKind.NO_CONNECT, PinKind.BIDIRECTIONAL):
        return "none" if pin.kind is PinKind.NO_CONNECT else "io"
    number = pin.number.upper()
    if role == "encoder" and number in ("A", "B", "C", "S1", "S2"):
        return function_by_name(number, role)
    if role in ("cell", "capacitor", "led") and number in ("+", "-"):
        return function_by_name(number, role)
    if role in _LETTERED and number.isalpha():
        return function_by_name(number, role)
    return ""


def _cell_by_nets(part: Part, grounds: frozenset[str]) -> dict[str, tuple[str, str]]:
    """A cell's ends where its pads carry no signs: the end on ground is taken for the negative one,
    for connectors' pad numbers follow no common order."""
    joined = [p for p in part.pins if p.net is not None]
    ends = {p.number: p.net in grounds for p in joined}
    if len(part.nets) != 2 or not any(ends.values()) or all(ends.values()):
        return {}
    return {number: ("minus" if low else "plus", "nets") for number, low in ends.items()}


def _middle_is_common(part: Part, found: dict[str, tuple[str, str]]) -> None:
    """Of contacts named A, B and C the middle one is the common one, though C alone says common."""
    by_own = {pin.name.upper(): pin.number for pin in part.pins}
    if {"A", "B", "C"} <= by_own.keys():
        found[by_own["C"]] = ("contact-b", "pins")


def functions_of(
    part: Part,
    role: str,
    card: Card | None,
    facts: PartFacts | None = None,
    by_place: str = "",
    grounds: frozenset[str] = frozenset(),
) -> Functions:
    """What each pin of the part does, by pad number, with the kind of evidence it rests on.

    ``by_place`` names the pad layout (``[numbers.*]``) that the part's place in the circuit fits.
    """
    found: dict[str, tuple[str, str]] = {}
    if not any(_usable(p) for p in part.pins):
        found.update(_numbered(part, role))
        found.update(_cell_by_nets(part, grounds) if role == "cell" else {})
        found.update({n: (f, "shape") for n, f in by_number(by_place).items() if part.pin(n)})
    if role == "usb-connector" and not any(f == "vbus" for f, _ in found.values()):
        found.update(_from_nets(part))
    for pin in part.pins:
        function = _by_own_name(pin, role)
        if function:
            found[pin.number] = (function, "pins")
    if role in ("slide-switch", "change-over-switch"):
        _middle_is_common(part, found)
    if card is not None:
        found.update(_from_card(part, card))
    for function, number in (facts.terminals if facts else {}).items():
        found[number] = (function, "manifest")
    return MappingProxyType(found)
