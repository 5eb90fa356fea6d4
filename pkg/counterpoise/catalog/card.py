"""What a part card holds: facts, pin tables, needed components. Data only, nothing that runs."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from counterpoise.catalog.pattern import Pattern
from counterpoise.values.ranges import Range

LONGEST_CODE = 100
"""Longer texts are no order codes; with short patterns this bounds the time a match may take."""


@dataclass(frozen=True, slots=True)
class CardFact:
    """One fact of a card: its value (SI), its source, and whether it was recalled from memory."""

    value: Range | str | bool
    source: str
    memory: bool


@dataclass(frozen=True, slots=True)
class CardNeed:
    """A component that the part requires between two of its pin functions.

    ``value`` in SI units (farads, henries, ohms), None where any value serves; its high end is
    infinite where the datasheet gives a least value only. ``severity`` is "stop" or "caution".
    ``memory`` as for facts.
    """

    kind: str
    start: str
    end: str
    value: Range | None
    severity: str
    why: str
    memory: bool


@dataclass(frozen=True, slots=True)
class Package:
    """A pin table for the footprints whose name ``matches`` in full: pin number to function.

    In the file one key may hold several numbers: "1,3,5-8". ``memory`` marks a table that was not
    read in its source.
    """

    name: str
    matches: Pattern
    functions: Mapping[str, str]
    orientation: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    memory: bool = False


@dataclass(frozen=True, slots=True)
class Scaled:
    """A fact written as digits in the order code: "33" times ``unit`` (SI), here 0.1 V."""

    unit: float
    source: str
    memory: bool

    def fact(self, digits: str) -> CardFact | None:
        """The fact those digits give; None when they are not a number."""
        if not re.fullmatch(r"\d*\.?\d+|\d+\.", digits, re.ASCII):
            return None
        value = float(f"{float(digits) * self.unit:.12g}")
        return CardFact(Range.of(value), self.source, self.memory)


@dataclass(frozen=True, slots=True)
class Variant:
    """Facts for the order codes that ``matches`` finds; ``scaled`` reads its first group."""

    matches: Pattern
    facts: Mapping[str, CardFact]
    scaled: Mapping[str, Scaled] = field(default_factory=lambda: MappingProxyType({}))

    def facts_for(self, code: str) -> dict[str, CardFact]:
        """What the variant says of one order code; empty when it is another variant's."""
        match = self.matches.search(code)
        if not match:
            return {}
        read = {key: scaled.fact(match[1] or "") for key, scaled in self.scaled.items()}
        return {**self.facts, **{key: fact for key, fact in read.items() if fact}}


@dataclass(frozen=True, slots=True)
class Card:
    """One part family.

    ``matches`` are patterns for the whole order code (upper case, no blanks); ``not_matches`` are
    look-alikes. ``names`` maps a pin function to the pin names that carry it; ``packages`` give pin
    numbers. ``inside`` names what the part already holds (crystal, antenna, load-capacitors …).
    """

    key: str
    file: str
    title: str
    role: str
    matches: tuple[Pattern, ...]
    not_matches: tuple[Pattern, ...]
    names: Mapping[str, tuple[str, ...]]
    packages: tuple[Package, ...]
    facts: Mapping[str, CardFact]
    variants: tuple[Variant, ...]
    needs: tuple[CardNeed, ...]
    sources: tuple[str, ...]
    memory: bool
    notes: tuple[str, ...] = ()

    def patterns(self) -> Iterator[Pattern]:
        """Every pattern in it."""
        yield from (*self.matches, *self.not_matches)
        yield from (package.matches for package in self.packages)
        yield from (variant.matches for variant in self.variants)

    def claims(self, code: str) -> bool:
        """Whether ``code``, as ``order_code`` spells it, is a part of this family."""
        return (
            len(code) <= LONGEST_CODE
            and any(m.fullmatch(code) for m in self.matches)
            and not any(m.fullmatch(code) for m in self.not_matches)
        )

    def facts_for(self, code: str) -> Mapping[str, CardFact]:
        """The facts of one order code: the family's, overridden by its variants'."""
        found = dict(self.facts)
        for variant in self.variants:
            found.update(variant.facts_for(code))
        return found
