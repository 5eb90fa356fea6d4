"""Pins numbered for sets of bits, and nets as sets that only grow together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from counterpoise.model.circuit import Circuit, Pin
from counterpoise.model.ringout import SWEPT, Lead
from counterpoise.roles.refdes import natural


def bits(mask: int) -> Iterator[int]:
    """The places of the bits set, lowest first."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


@dataclass(frozen=True)
class Pins:
    """Every pin of a parts list in natural order; a set of pins is an int with their bits set."""

    leads: tuple[Lead, ...]
    pins: tuple[Pin, ...]
    of_part: dict[str, int] = field(repr=False)
    _index: dict[Lead, int] = field(repr=False)

    @classmethod
    def of(cls, circuit: Circuit) -> Pins:
        """The pins of a circuit's parts."""
        listed = sorted(
            (pin for part in circuit.parts for pin in part.pins),
            key=lambda pin: (natural(pin.ref), pin.ref, natural(pin.number), pin.number),
        )
        leads = tuple(Lead(pin.ref, pin.number) for pin in listed)
        of_part: dict[str, int] = {}
        for place, lead in enumerate(leads):
            of_part[lead.ref] = of_part.get(lead.ref, 0) | 1 << place
        return cls(leads, tuple(listed), of_part, {lead: i for i, lead in enumerate(leads)})

    def __len__(self) -> int:
        return len(self.leads)

    @property
    def every(self) -> int:
        """All pins."""
        return (1 << len(self.leads)) - 1

    def place(self, lead: Lead) -> int:
        """The place of one pin.

        Raises:
            KeyError: there is no such pin.
        """
        return self._index[lead]

    def touched(self, first: Lead, second: Lead) -> tuple[int, int]:
        """The pins under each probe. A pin swept along its own part means all its other pins.

        Raises:
            KeyError: there is no such pin or part.
        """
        a, b = self._mask(first), self._mask(second)
        if first.ref == second.ref and first.swept != second.swept:
            a, b = (a & ~b, b) if first.swept else (a, b & ~a)
        return a, b

    def _mask(self, lead: Lead) -> int:
        return self.of_part[lead.ref] if lead.number == SWEPT else 1 << self._index[lead]


class Groups:
    """Sets that grow together (union-find, by halving paths)."""

    def __init__(self, count: int, pairs: Iterable[tuple[int, int]] = ()) -> None:
        self._above = list(range(count))
        for a, b in pairs:
            self.join(a, b)

    def find(self, place: int) -> int:
        """The lowest member of the group."""
        above = self._above
        while above[place] != place:
            above[place] = above[above[place]]
            place = above[place]
        return place

    def join(self, a: int, b: int) -> None:
        """Make the groups of two members one."""
        low, high = sorted((self.find(a), self.find(b)))
        self._above[high] = low

    def same(self, a: int, b: int) -> bool:
        """Whether both are in one group."""
        return self.find(a) == self.find(b)

    def masks(self) -> dict[int, int]:
        """The members of each group by its lowest, in that order."""
        found: dict[int, int] = {}
        for place in range(len(self._above)):
            root = self.find(place)
            found[root] = found.get(root, 0) | 1 << place
        return found
