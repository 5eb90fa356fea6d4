"""The order codes under which a part may be known, and the card that claims one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache

from counterpoise.catalog.cards import Card, order_code
from counterpoise.catalog.tables import section
from counterpoise.model.bom import BomLine
from counterpoise.model.circuit import Part

_PART_CODE = re.compile(r"(?=.*[A-Z])(?=.*\d)[A-Z0-9][A-Z0-9.+/_-]{4,}")


@cache
def _order_code_fields() -> tuple[str, ...]:
    return section("roles", "fields").texts("order_code")


def _from_fields(fields: Mapping[str, str]) -> Iterator[str]:
    spelt = {re.sub(r"[^a-z0-9]", "", key.lower()): text for key, text in fields.items()}
    for wanted in _order_code_fields():
        if spelt.get(wanted, "").strip():
            yield spelt[wanted].strip()


def _shorter(code: str) -> Iterator[str]:
    """The code, then without a package in brackets or behind the last slash."""
    yield code
    plain = re.sub(r"\s*[(\[].*$", "", code)
    if plain and plain != code:
        yield plain
    if "/" in plain[1:]:
        yield plain.split("/", 1)[0]
    if " " in plain:
        yield plain.split()[0]


def _symbol_may_speak(value: str, symbol: str) -> bool:
    """Whether the symbol's name may stand for the part: not when the value is another part's code,
    for symbols are often borrowed."""
    spelt, drawn = order_code(value), order_code(symbol)
    if not _PART_CODE.fullmatch(spelt):
        return True
    return spelt[:5] == drawn[:5]


def codes(part: Part, line: BomLine | None) -> tuple[str, ...]:
    """Candidate order codes, the surest first: order code fields, value, symbol, the BOM's row."""
    found = [*_from_fields(part.fields), part.value]
    if _symbol_may_speak(part.value, part.symbol):
        found.append(part.symbol)
    if line is not None:
        found += [line.order_code, *_from_fields(line.fields), line.value]
    return tuple(dict.fromkeys(s for code in found if code.strip() for s in _shorter(code.strip())))


class Shelf:
    """The cards, with every answer kept: like parts share their codes."""

    def __init__(self, cards: Iterable[Card]) -> None:
        self._cards = tuple(cards)
        self._claimed: dict[str, Card | None] = {}

    def _claim(self, spelt: str) -> Card | None:
        if spelt not in self._claimed:
            self._claimed[spelt] = next((c for c in self._cards if c.claims(spelt)), None)
        return self._claimed[spelt]

    def find(self, candidates: Iterable[str]) -> tuple[Card, str] | None:
        """The card that claims the first of the codes that any card claims, and that code."""
        for code in candidates:
            spelt = order_code(code)
            card = self._claim(spelt) if spelt else None
            if card is not None:
                return card, spelt
        return None

    def called(self, key: str) -> Card | None:
        """The card of that key."""
        return next((card for card in self._cards if card.key == key), None)
