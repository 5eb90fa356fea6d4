"""Part cards read from TOML and found by order code. A card can never execute anything."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from importlib.resources.abc import Traversable
from types import MappingProxyType
from typing import Any

from counterpoise.catalog.card import Card, CardFact, CardNeed, Package, Scaled, Variant
from counterpoise.catalog.facts import FACTS, fact
from counterpoise.catalog.pattern import Pattern
from counterpoise.catalog.toml import CatalogError, Table, load, nearest
from counterpoise.catalog.vocabulary import FUNCTIONS, ROLES
from counterpoise.resources import rules_root
from counterpoise.values.ranges import Range
from counterpoise.values.units import quantity, quantity_range

__all__ = [
    "Card",
    "CardFact",
    "CardNeed",
    "Package",
    "Scaled",
    "Variant",
    "all_cards",
    "find_card",
    "order_code",
    "read_card",
    "read_cards",
    "read_user_cards",
]

_NEED_KINDS = {
    "capacitor": "capacitance",
    "inductor": "inductance",
    "resistor": "resistance",
    "diode": "",
    "thermistor": "resistance",
}


def order_code(text: str) -> str:
    """An order code or value text as patterns see it: upper case, no blanks."""
    return re.sub(r"\s+", "", text).upper()


def _pattern(table: Table, key: str, text: str) -> Pattern:
    return Pattern(text, table.file, f"[{table.name}] {key}")


def _card_fact(table: Table, key: str, entry: Any, source: str, memory: bool) -> CardFact:
    value = entry
    if isinstance(entry, dict):
        inner = Table(table.file, f"{table.name}.{key}", entry)
        value = inner.take("value", (str, bool))
        source, memory = inner.text("source", source), inner.flag("memory", memory)
        inner.done()
    try:
        return CardFact(fact(key, value), source, memory)
    except ValueError as error:
        raise table.error(key, str(error)) from error


def _facts(
    table: Table, entries: Mapping[str, Any], source: str, memory: bool
) -> dict[str, CardFact]:
    for key in entries:
        if key not in FACTS:
            raise table.error(key, f"unknown key{nearest(key, FACTS)}")
    return {key: _card_fact(table, key, entry, source, memory) for key, entry in entries.items()}


def _function(table: Table, key: str, name: str) -> str:
    if name not in FUNCTIONS:
        raise table.error(key, f'unknown pin function "{name}"{nearest(name, FUNCTIONS)}')
    return name


def _entry(table: Table, key: str, value: object, kind: type) -> Any:
    """One entry of a list or table of tables."""
    if not isinstance(value, kind):
        raise table.error(key, f"expected {kind.__name__}, got {type(value).__name__}")
    return value


def _numbers(text: str) -> list[str]:
    """The pin numbers of one key of a pin table: "7", "A4B9", "1,3,5-8"."""
    found: list[str] = []
    for piece in text.split(","):
        ends = re.fullmatch(r"(\d{1,3})-(\d{1,3})", piece, re.ASCII)
        found += map(str, range(int(ends[1]), int(ends[2]) + 1)) if ends else [piece]
    return found


def _package(file: str, card: str, name: str, data: Mapping[str, Any], memory: bool) -> Package:
    table = Table(file, f"{card}.packages.{name}", data)
    pins = {
        number: _function(table, f"pins.{numbers}", function)
        for numbers, function in table.tables("pins").items()
        for number in _numbers(numbers)
    }
    package = Package(
        name=name,
        matches=_pattern(table, "matches", table.text("matches")),
        functions=MappingProxyType(pins),
        memory=table.flag("memory", memory),
        orientation=_orientation(table),
    )
    table.done()
    return package


_SIDES = {
    "up": "up",
    "down": "down",
    "left": "left",
    "right": "right",
    "top": "up",
    "bottom": "down",
}
_ACTUATORS = ("plunger", "lever", "shaft", "mouth")
_ORDERS = ("order", "round")


def _orientation(table: Table) -> Mapping[str, str]:
    """Sides of the unturned footprint by what is there, and the order of the pads."""
    found: dict[str, str] = {}
    for key, value in table.tables("orientation").items():
        if key in _ORDERS and isinstance(value, str):
            found[key] = value
        elif key in _ACTUATORS and value in _SIDES:
            found[key] = _SIDES[value]
        elif key in _ACTUATORS:
            raise table.error(f"orientation.{key}", "expected up, down, left or right")
        else:
            known = (*_ACTUATORS, *_ORDERS)
            raise table.error(f"orientation.{key}", f"unknown orientation{nearest(key, known)}")
    return MappingProxyType(found)


def _need_value(text: str, dimension: str) -> Range:
    if text.startswith("at least "):
        return Range(quantity(text.removeprefix("at least "), dimension), float("inf"))
    return quantity_range(text, dimension)


def _need(file: str, card: str, data: Mapping[str, Any], memory: bool) -> CardNeed:
    table = Table(file, f"{card}.needs", data)
    kind = table.text("kind")
    if kind not in _NEED_KINDS:
        raise table.error("kind", f"expected one of {', '.join(_NEED_KINDS)}")
    dimension = _NEED_KINDS[kind]
    severity = table.text("severity", "caution")
    if severity not in ("stop", "caution"):
        raise table.error("severity", 'expected "stop" or "caution"')
    need = CardNeed(
        kind=kind,
        start=_function(table, "from", table.text("from")),
        end=_function(table, "to", table.text("to")),
        value=table.read("value", lambda text: _need_value(text, dimension)) if dimension else None,
        severity=severity,
        why=table.text("why", ""),
        memory=table.flag("memory", memory),
    )
    table.done()
    return need


def _scaled(
    table: Table, key: str, unit: object, pattern: Pattern, mark: tuple[str, bool]
) -> Scaled:
    kind = FACTS.get(key)
    if kind is None:
        raise table.error(f"scaled.{key}", f"unknown key{nearest(key, FACTS)}")
    if kind in ("text", "flag") or not isinstance(unit, str):
        raise table.error(f"scaled.{key}", "expected a unit to multiply by, for a numeric fact")
    if not pattern.groups:
        raise table.error("matches", "expected a group that holds the digits")
    try:
        return Scaled(quantity(unit, kind), *mark)
    except ValueError as error:
        raise table.error(f"scaled.{key}", str(error)) from error


def _variant(file: str, card: str, data: Mapping[str, Any], source: str, memory: bool) -> Variant:
    table = Table(file, f"{card}.variants", data)
    pattern = _pattern(table, "matches", table.text("matches"))
    source, memory = table.text("source", source), table.flag("memory", memory)
    facts = _facts(table, table.tables("facts"), source, memory)
    scaled = {
        key: _scaled(table, key, unit, pattern, (source, memory))
        for key, unit in table.tables("scaled").items()
    }
    table.done()
    return Variant(pattern, MappingProxyType(facts), MappingProxyType(scaled))


def _pin_names(table: Table) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for function, names in table.tables("pins").items():
        listed = [names] if isinstance(names, str) else names
        if not isinstance(listed, list) or not all(isinstance(name, str) for name in listed):
            raise table.error(f"pins.{function}", "expected a list of texts")
        found[_function(table, f"pins.{function}", function)] = tuple(listed)
    return found


def read_card(file: str, key: str, data: Mapping[str, Any]) -> Card:
    """One card from its table.

    Raises:
        CatalogError: with file and key: unknown key, wrong unit, unknown role or pin function, not
            a pattern.
    """
    card = _read_card(file, key, data)
    for pattern in card.patterns():
        pattern.check()
    return card


def _read_card(file: str, key: str, data: Mapping[str, Any]) -> Card:
    table = Table(file, key, data)
    role = table.text("role")
    if role not in ROLES:
        raise table.error("role", f'unknown role "{role}"{nearest(role, ROLES)}')
    sources, memory = table.texts("sources"), table.flag("memory", False)
    first = sources[0] if sources else ""
    card = Card(
        key=key,
        file=file,
        title=table.text("title"),
        role=role,
        matches=tuple(_pattern(table, "matches", m) for m in table.texts("matches")),
        not_matches=tuple(_pattern(table, "not_matches", m) for m in table.texts("not_matches")),
        names=MappingProxyType(_pin_names(table)),
        packages=tuple(
            _package(file, key, name, _entry(table, f"packages.{name}", entry, dict), memory)
            for name, entry in table.tables("packages").items()
        ),
        facts=MappingProxyType(_facts(table, table.tables("facts"), first, memory)),
        variants=tuple(
            _variant(file, key, _entry(table, "variants", entry, dict), first, memory)
            for entry in table.take("variants", list, [])
        ),
        needs=tuple(
            _need(file, key, _entry(table, "needs", entry, dict), memory)
            for entry in table.take("needs", list, [])
        ),
        sources=sources,
        memory=memory,
        notes=table.texts("notes"),
    )
    table.done()
    if not card.matches:
        raise table.error("matches", "expected at least one pattern for order codes")
    return card


def read_cards(file: str, tables: Mapping[str, Any]) -> tuple[Card, ...]:
    """Every card of one file's tables, in file order."""
    return _read_all(file, tables, read_card)


def _read_all(
    file: str, tables: Mapping[str, Any], read: Callable[[str, str, dict[str, Any]], Card]
) -> tuple[Card, ...]:
    for key, data in tables.items():
        if not isinstance(data, dict):
            raise CatalogError(file, key, "expected a table")
    return tuple(read(file, key, data) for key, data in tables.items())


def _folder(
    folder: Traversable, read: Callable[[str, str, dict[str, Any]], Card]
) -> tuple[Card, ...]:
    paths = sorted((p for p in folder.iterdir() if p.name.endswith(".toml")), key=lambda p: p.name)
    return tuple(card for path in paths for card in _read_all(path.name, load(path), read))


@cache
def all_cards() -> tuple[Card, ...]:
    """The cards that ship, files by name, cards in file order.

    Their patterns are checked by the tests (``Pattern.check``), not at every start.

    Raises:
        CatalogError: a faulty file.
    """
    return _folder(rules_root() / "parts", _read_card)


def read_user_cards(folder: Traversable) -> tuple[Card, ...]:
    """A person's own cards: every ``cards/*.toml`` of ``folder``, files by name; none without one.

    Raises:
        CatalogError: a faulty file, or one that cannot be opened.
    """
    cards = folder / "cards"
    if not cards.is_dir():
        return ()
    try:
        return _folder(cards, read_card)
    except OSError as error:
        raise CatalogError("cards", "", f"cannot be read: {error.strerror}") from error


def find_card(codes: Iterable[str], cards: Iterable[Card]) -> tuple[Card, str] | None:
    """The card that claims the first of ``codes`` that any card claims, and that code."""
    cards = tuple(cards)
    for code in codes:
        spelt = order_code(code)
        found = next((card for card in cards if card.claims(spelt)), None) if spelt else None
        if found:
            return found, spelt
    return None
