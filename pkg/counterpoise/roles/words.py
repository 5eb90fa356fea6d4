"""Readings from words: symbol, footprint and value texts, reference letters, sets of pin names."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from counterpoise.catalog.tables import pattern, table
from counterpoise.catalog.toml import CatalogError, Table
from counterpoise.catalog.vocabulary import ROLES
from counterpoise.model.circuit import Part
from counterpoise.roles.pins import names_of
from counterpoise.roles.refdes import readings
from counterpoise.roles.votes import Vote

_FIELDS = ("symbol", "footprint", "value")
_FREQUENCY = re.compile(r"(?<![\w.@])(\d+(?:[.,]\d+)?)\s*([KM])\s?HZ\b")
_WATCH = re.compile(r"32[.,]?768\s?K?(HZ)?")
"""A watch crystal, often written without its unit; no other part has the number for a value."""
_TYPED = (
    (re.compile(r"^\d+(\.\d+)?\s?(U|N|M)H\b|^\d+[UNM]\d+H\b"), ("inductor",)),
    (re.compile(r"^\d+(\.\d+)?\s?(P|N|U)F(\b|/|_)|^\d+[PNU]\d+F\b"), ("capacitor",)),
    (re.compile(r"^\d+(\.\d+)?\s?(K|M)?\s?(OHMS?|R)\b|^0R0*\b"), ("resistor", "ferrite", "link")),
    (re.compile(r"^\d+(\.\d+)?K(\b|/|_|\d)"), ("resistor", "thermistor", "potentiometer")),
    (re.compile(r"^\d+R\d+\b|^\d+M\d*\b(?!HZ)"), ("unknown", "resistor", "inductor")),
    (re.compile(r"^\d+(\.\d+)?\s?(P|N|U)\d*(\b|/|_)"), ("capacitor", "inductor")),
)


@dataclass(frozen=True, slots=True)
class _Words:
    roles: tuple[str, ...]
    patterns: dict[str, re.Pattern[str]]


@cache
def _entries() -> tuple[_Words, ...]:
    found = []
    for data in table("roles").get("words", ()):
        owner = Table("roles.toml", "words", data)
        roles = owner.texts("roles")
        if not roles or any(role not in ROLES for role in roles):
            raise owner.error("roles", f"expected known roles, got {', '.join(roles) or 'none'}")
        patterns = {f: p for f in _FIELDS if (p := pattern(owner, f)) is not None}
        owner.done()
        found.append(_Words(roles, patterns))
    return tuple(found)


@cache
def _read(field: str, text: str) -> tuple[str, ...]:
    """The roles that the first matching entry names for a text, () when none does."""
    return next(
        (w.roles for w in _entries() if field in w.patterns and w.patterns[field].search(text)), ()
    )


@cache
def frequency_hz(value: str) -> float | None:
    """A crystal's frequency written with its unit in a value text, below 200 MHz."""
    if _WATCH.fullmatch(value.upper().strip()):
        return 32768.0
    match = _FREQUENCY.search(value.upper())
    if not match:
        return None
    hertz = float(match[1].replace(",", ".")) * {"K": 1e3, "M": 1e6}[match[2]]
    return hertz if hertz < 200e6 else None


@cache
def _typed(value: str) -> tuple[str, ...]:
    spelt = value.upper().replace("Μ", "U").replace("µ".upper(), "U").replace("Ω", "OHM")
    spelt = spelt.replace("\N{OHM SIGN}", "OHM").strip()
    if re.search(r"@\s?\d+\s?MHZ", spelt):
        return ("ferrite",)
    return next((roles for shape, roles in _TYPED if shape.search(spelt)), ())


def votes(part: Part) -> Iterator[Vote]:
    """Readings from the part's own texts and pin names."""
    letters, roles = readings(part.ref)
    if roles:
        yield Vote(roles, "refdes", f"reference letters {letters}")
    symbol, footprint, value = part.symbol.strip(), part.footprint.strip(), part.value.strip()
    if symbol and (found := _read("symbol", symbol.upper())):
        yield Vote(found, "symbol", f"symbol {symbol}")
    elif part.description and (found := _read("symbol", part.description.upper())):
        yield Vote(found, "symbol", f'description "{part.description[:60]}"', 0.75)
    if footprint and (found := _read("footprint", footprint.upper())):
        yield Vote(found, "footprint", f"footprint {footprint}")
    yield from _value_votes(part, value)
    yield from _pin_votes(part)


def _value_votes(part: Part, value: str) -> Iterator[Vote]:
    few = len({pin.number for pin in part.pins}) <= 4
    if found := _read("value", value.upper()) if value else ():
        yield Vote(found, "value", f"value {value}")
    elif value and few and frequency_hz(value):
        yield Vote(("crystal", "resonator", "oscillator"), "value", f"value {value} is a frequency")
    elif value and few and (found := _typed(value)):
        yield Vote(found, "value", f"value {value}")


@cache
def _kinds() -> tuple[tuple[str, tuple[frozenset[str], ...], frozenset[str]], ...]:
    found = []
    for data in table("pins").get("kinds", ()):
        owner = Table("pins.toml", "kinds", data)
        role = owner.text("role")
        if role not in ROLES:
            raise CatalogError("pins.toml", "[kinds] role", f'unknown role "{role}"')
        groups = tuple(frozenset(group.split()) for group in owner.texts("all"))
        found.append((role, groups, frozenset(owner.text("none", "").split())))
        owner.done()
    return tuple(found)


def _pin_votes(part: Part) -> Iterator[Vote]:
    pads = {pin.number.upper() for pin in part.pins}
    if {"A5", "B5", "A6", "A7"} <= pads and pads & {"A1", "A4", "A1B12", "A4B9"} and len(pads) < 32:
        yield Vote(
            ("usb-connector",), "pins", "pads numbered A1 to B12 as a USB Type-C receptacle's"
        )
    names = names_of(part)
    if not names:
        return
    spoken: set[str] = set()
    for role, groups, none in _kinds():
        if role in spoken or names & none or not all(names & group for group in groups):
            continue
        spoken.add(role)
        seen = ", ".join(sorted(min(names & group) for group in groups))
        yield Vote((role,), "pins", f"pins {seen}")
