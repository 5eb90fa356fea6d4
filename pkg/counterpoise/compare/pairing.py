"""A partial pairing of two views: which part and which net of the old board is which of the new."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from counterpoise.compare.view import Piece, View

SURE = 12
"""What the vote of one contact counts."""

_MOST_SWAPS = 6


class Pairing:
    """Parts and nets paired one to one, as far as they are.

    ``parts`` maps places in ``old.pieces`` to places in ``new.pieces``, ``nets`` old net to new net;
    ``parts_back`` and ``nets_back`` the other way.
    """

    def __init__(self, old: View, new: View) -> None:
        self.old, self.new = old, new
        self.parts: dict[int, int] = {}
        self.parts_back: dict[int, int] = {}
        self.nets: dict[str, str] = {}
        self.nets_back: dict[str, str] = {}

    def copy(self) -> Pairing:
        """Another one with the same pairs."""
        other = Pairing(self.old, self.new)
        for a, b in self.parts.items():
            other.pair(a, b)
        for x, y in self.nets.items():
            other.pair_nets(x, y)
        return other

    def pair(self, old: int, new: int) -> None:
        """Two free parts become a pair."""
        self.parts[old] = new
        self.parts_back[new] = old

    def part_with(self, old: int) -> None:
        """A pair of parts is given up."""
        del self.parts_back[self.parts.pop(old)]

    def pair_nets(self, old: str, new: str) -> None:
        """Two free nets become a pair."""
        self.nets[old] = new
        self.nets_back[new] = old

    def contacts(self, old: int) -> Iterator[tuple[int | None, int | None]]:
        """The contacts of a paired part, matched as well as the nets' pairing allows: (place in the
        old part, place in the new part), None where one side has no more of that class."""
        ours = self.old.pieces[old].contacts
        theirs = self.new.pieces[self.parts[old]].contacts
        waiting: dict[str, list[int]] = defaultdict(list)
        for index, contact in enumerate(theirs):
            waiting[contact.label].append(index)
        unmet: list[int] = []
        for index, contact in enumerate(ours):
            wanted = self.nets.get(contact.net)
            found = next((i for i in waiting[contact.label] if theirs[i].net == wanted), None)
            if found is None:
                unmet.append(index)
                continue
            waiting[contact.label].remove(found)
            yield index, found
        for index in unmet:
            left = waiting[ours[index].label]
            yield index, left.pop(0) if left else None
        for left in waiting.values():
            for index in left:
                yield None, index

    def agreeing(self, old: int) -> int:
        """How many contacts of a paired part join paired nets."""
        ours = self.old.pieces[old].contacts
        theirs = self.new.pieces[self.parts[old]].contacts
        return sum(
            1
            for a, b in self.contacts(old)
            if a is not None and b is not None and self.nets.get(ours[a].net) == theirs[b].net
        )

    def mismatches(self) -> int:
        """Contacts of paired parts that do not join paired nets, and contacts of parts without a
        partner: what a good pairing keeps low."""
        wrong = 0
        for old in self.parts:
            total = max(len(self.old.pieces[old].contacts), len(self.new_of(old).contacts))
            wrong += total - self.agreeing(old)
        for whole, paired in ((self.old, self.parts), (self.new, self.parts_back)):
            for place, piece in enumerate(whole.pieces):
                wrong += 0 if place in paired else len(piece.contacts)
        return wrong

    def new_of(self, old: int) -> Piece:
        """The partner of a paired old part."""
        return self.new.pieces[self.parts[old]]

    def votes(self) -> dict[tuple[str, str], int]:
        """For pairs of nets: how loudly contacts of paired parts speak for them. A contact has SURE
        votes; contacts that may swap share theirs among what is possible."""
        found: Counter[tuple[str, str]] = Counter()
        for old in self.parts:
            for pair, weight in self._voices(old):
                found[pair] += weight
        return found

    def _voices(self, old: int) -> Iterator[tuple[tuple[str, str], int]]:
        ours: dict[str, list[str]] = defaultdict(list)
        theirs: dict[str, list[str]] = defaultdict(list)
        for contact in self.old.pieces[old].contacts:
            ours[contact.label].append(contact.net)
        for contact in self.new_of(old).contacts:
            theirs[contact.label].append(contact.net)
        for label, nets in ours.items():
            yield from self._spoken(nets, theirs.get(label, []))

    def _spoken(self, ours: list[str], theirs: list[str]) -> Iterator[tuple[tuple[str, str], int]]:
        left = list(theirs)
        open_ones = []
        for net in ours:
            partner = self.nets.get(net)
            if partner is not None and partner in left:
                left.remove(partner)
                yield (net, partner), SURE
            else:
                open_ones.append(net)
        if len(open_ones) <= _MOST_SWAPS and len(left) <= _MOST_SWAPS:
            share = SURE // max(len(open_ones), len(left), 1)
            for net in open_ones:
                for other in left:
                    yield (net, other), share
