"""What a family's reading of one part may look at: the part's neighbours and their first roles."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from counterpoise.catalog.cards import Card
from counterpoise.model.circuit import Circuit, Part, Pin
from counterpoise.model.manifest import Manifest
from counterpoise.roles.evidence import Role
from counterpoise.roles.pins import function_by_name
from counterpoise.roles.votes import CHIPS, Vote


@dataclass(frozen=True)
class Scene:
    """The circuit after the first look: ``roles`` are those of texts and pin names alone, so that
    the second look does not depend on the order of parts."""

    circuit: Circuit
    parts: Mapping[str, Part]
    roles: Mapping[str, Role]
    cards: Mapping[str, tuple[Card, str]]
    manifest: Manifest
    grounds: frozenset[str]
    own: Mapping[str, tuple[Vote, ...]]

    def role(self, ref: str) -> str:
        """The first role of a part."""
        return self.roles[ref].name if ref in self.roles else "unknown"

    def is_chip(self, ref: str) -> bool:
        """Whether the part is an integrated circuit or a module, by role or by pin count."""
        role = self.role(ref)
        if role in CHIPS or role == "radio-module":
            return True
        return role == "unknown" and len({p.number for p in self.parts[ref].pins}) >= 5

    def others(self, part: Part, net: str | None) -> tuple[Pin, ...]:
        """The pins of other parts on a net."""
        return tuple(p for p in self.circuit.pins_on(net) if p.ref != part.ref)

    def functions_on(self, part: Part, net: str | None) -> frozenset[str]:
        """What the pins of chips on the net do, by their names."""
        return frozenset(
            function_by_name(p.name, self.role(p.ref))
            for p in self.others(part, net)
            if p.name and self.is_chip(p.ref)
        )

    def neighbours(self, part: Part, net: str | None) -> frozenset[str]:
        """The first roles of the other parts on the net."""
        return frozenset(self.role(p.ref) for p in self.others(part, net))

    def says(self, ref: str, source: str) -> bool:
        """Whether the part's own texts gave evidence of that kind."""
        return any(v.source == source for v in self.own.get(ref, ()))
