"""Why a part was taken for what it was taken for."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.values.ranges import Range

SOURCES = ("manifest", "card", "symbol", "pins", "value", "footprint", "refdes", "shape", "nets")
"""Kinds of evidence. The manifest and a card are firm alone; of the others, two that agree are."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One reason: its kind (``SOURCES``) and what was seen, in words a person reads."""

    source: str
    says: str


@dataclass(frozen=True, slots=True)
class Role:
    """What a part is for (``vocabulary.ROLES``)."""

    name: str
    evidence: tuple[Evidence, ...] = ()

    @property
    def firm(self) -> bool:
        """Whether a stop may rest on it."""
        kinds = {e.source for e in self.evidence}
        return bool(kinds & {"manifest", "card"}) or len(kinds) >= 2

    @property
    def because(self) -> str:
        """The evidence as one phrase."""
        return "; ".join(e.says for e in self.evidence)


@dataclass(frozen=True, slots=True)
class Known:
    """A fact with where it comes from. ``firm`` is False for figures from memory and guesses."""

    value: Range
    source: str
    firm: bool = True
