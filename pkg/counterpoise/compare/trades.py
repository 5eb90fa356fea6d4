"""Like parts of other values that have changed places: the wires are right, the circuit is not."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from counterpoise.compare.pairing import Pairing
from counterpoise.compare.phrases import Phrases
from counterpoise.compare.regions import Region
from counterpoise.compare.result import Difference
from counterpoise.compare.settle import softened


def trade_groups(pairing: Pairing) -> list[list[int]]:
    """Old places of changed parts whose values only went round among them."""
    changed: dict[object, list[int]] = defaultdict(list)
    for old, new in sorted(pairing.parts.items()):
        piece = pairing.old.pieces[old]
        if piece.kind != pairing.new.pieces[new].kind and piece.contacts:
            changed[softened(piece)].append(old)
    groups = []
    for places in changed.values():
        came = Counter(pairing.new_of(old).kind for old in places)
        went = Counter(pairing.old.pieces[old].kind for old in places)
        both = came & went
        group = [
            old
            for old in places
            if pairing.old.pieces[old].kind in both or pairing.new_of(old).kind in both
        ]
        if len(group) > 1:
            groups.append(group)
    return groups


def traded(pairing: Pairing, region: Region, phrases: Phrases) -> Iterator[Difference]:
    """One difference for each group of parts that traded places."""
    for group in trade_groups(pairing):
        held = any(old in region.old or pairing.parts[old] in region.new for old in group)
        yield phrases.traded(group, held=held)
