"""Each part's role: the manifest first, then its card, then what its texts, pins and place say."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from counterpoise.catalog.cards import Card
from counterpoise.model.bom import Bom, BomLine
from counterpoise.model.circuit import Circuit, Part
from counterpoise.model.manifest import Manifest, PartFacts
from counterpoise.roles import (
    chargers,
    connectors,
    crystals,
    passives,
    power,
    radios,
    switches,
)
from counterpoise.roles.codes import Shelf, codes
from counterpoise.roles.evidence import Evidence, Role
from counterpoise.roles.grounds import first_grounds
from counterpoise.roles.pins import Functions, functions_of
from counterpoise.roles.scene import Scene
from counterpoise.roles.votes import Vote, weigh
from counterpoise.roles.words import votes

_FAMILIES = (passives, crystals, switches, connectors, chargers, power, radios)


@dataclass(frozen=True)
class Assigned:
    """The outcome by ref. A ref used twice keeps the answer for its first part."""

    roles: Mapping[str, Role]
    cards: Mapping[str, tuple[Card, str]]
    functions: Mapping[str, Functions] = field(default_factory=lambda: MappingProxyType({}))


def _lines(bom: Bom | None) -> dict[str, BomLine]:
    found: dict[str, BomLine] = {}
    for line in bom.lines if bom else ():
        for ref in line.refs:
            found.setdefault(ref, line)
    return found


def _card(
    part: Part, stated: PartFacts | None, shelf: Shelf, line: BomLine | None
) -> tuple[Card, str] | None:
    candidates = codes(part, line)
    if stated is not None and stated.card is not None:
        named = shelf.called(stated.card)
        if named is not None:
            code = next(iter(candidates), "")
            return shelf.find([stated.card]) or (named, code.upper())
        return shelf.find([stated.card])
    return shelf.find(candidates)


def _firm_role(
    stated: PartFacts | None, card: tuple[Card, str] | None, named_cell: bool
) -> Role | None:
    if stated is not None and stated.role is not None:
        return Role(stated.role, (Evidence("manifest", "board.toml states it"),))
    if named_cell:
        return Role("cell", (Evidence("manifest", "board.toml names it as the cell"),))
    if card is not None and card[0].role != "connector":
        return Role(card[0].role, (Evidence("card", _claimed(card)),))
    return None


def _claimed(card: tuple[Card, str]) -> str:
    return f"{card[1]} is on the card {card[0].title}"


def _own_votes(part: Part, card: tuple[Card, str] | None) -> tuple[Vote, ...]:
    """Readings from the part itself. That a part is a connector by its card does not tell of what:
    the cell may plug into it."""
    found = tuple(votes(part))
    if card is None:
        return found
    return (*found, Vote(("connector", "cell", "usb-connector"), "card", _claimed(card)))


def _layout(role: Role) -> str:
    """The pad layout that a role read from its place alone goes with, "" for none."""
    by_place = {e.source for e in role.evidence} == {"shape"}
    return f"five-pin-{role.name}" if by_place and role.name in ("regulator", "charger") else ""


def assign(
    circuit: Circuit, manifest: Manifest, cards: Iterable[Card], bom: Bom | None
) -> Assigned:
    """Roles, cards and pin functions of every part. Linear in parts and pins."""
    shelf, lines = Shelf(cards), _lines(bom)
    first: dict[str, Part] = {}
    for part in circuit.parts:
        first.setdefault(part.ref, part)
    found: dict[str, tuple[Card, str]] = {}
    firm: dict[str, Role] = {}
    own: dict[str, tuple[Vote, ...]] = {}
    roles: dict[str, Role] = {}
    for ref, part in first.items():
        stated = manifest.parts.get(ref)
        card = _card(part, stated, shelf, lines.get(ref))
        if card is not None:
            found[ref] = card
        role = _firm_role(stated, card, ref == manifest.cell.ref)
        if role is None:
            own[ref] = _own_votes(part, card)
            role = weigh(own[ref])
        else:
            firm[ref] = role
        roles[ref] = role
    scene = Scene(circuit, first, roles, found, manifest, first_grounds(circuit), own)
    for ref, part in first.items():
        if ref not in firm:
            more = [v for family in _FAMILIES for v in family.votes(part, scene)]
            if more:
                roles[ref] = weigh([*own[ref], *more])
    functions = {
        ref: functions_of(
            part,
            roles[ref].name,
            found[ref][0] if ref in found else None,
            manifest.parts.get(ref),
            _layout(roles[ref]),
            scene.grounds,
        )
        for ref, part in first.items()
    }
    return Assigned(MappingProxyType(roles), MappingProxyType(found), MappingProxyType(functions))
