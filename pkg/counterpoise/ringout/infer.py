"""Readings to nets: beeps join, opens hold apart, and parts that conduct raise doubts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from counterpoise.ringout.conductors import Conductor
from counterpoise.ringout.evidence import Beep, Evidence
from counterpoise.ringout.pins import Groups, Pins, bits


@dataclass(frozen=True, slots=True)
class Passing:
    """A conducting part over whose pins ``p`` and ``q`` the readings beep, by whichever way.

    ``read`` is a row that read straight over the part, None when there is none.
    """

    part: Conductor
    p: int
    q: int
    read: int | None


@dataclass(frozen=True)
class State:
    """What a log proves.

    ``joined`` are the nets as groups of pins. ``unproven`` are beeps between pins that may have come
    through a passing part although they are taken as joints; ``untaken`` those of which one must
    have, so that none is taken. ``passing`` lists the parts in question.
    """

    pins: Pins
    evidence: Evidence
    joined: Groups
    passing: tuple[Passing, ...]
    unproven: tuple[Beep, ...]
    untaken: tuple[Beep, ...]

    @cached_property
    def nets(self) -> tuple[int, ...]:
        """The nets as sets of pins, by their lowest pin; a pin joined to nothing is one too."""
        return tuple(self.joined.masks().values())

    @cached_property
    def net_of(self) -> tuple[int, ...]:
        """By pin: the place of its net in ``nets``."""
        found = [0] * len(self.pins)
        for place, net in enumerate(self.nets):
            for pin in bits(net):
                found[pin] = place
        return tuple(found)

    @cached_property
    def apart(self) -> tuple[int, ...]:
        """By net: the set of other nets (bits by place in ``nets``) proven apart from it."""
        found = [0] * len(self.nets)
        for each in self.evidence.aparts:
            a, b = self._nets_of(each.a), self._nets_of(each.b)
            for net in bits(a):
                found[net] |= b & ~(1 << net)
            for net in bits(b):
                found[net] |= a & ~(1 << net)
        return tuple(found)

    @cached_property
    def untested(self) -> int:
        """Pairs of nets that nothing holds apart yet."""
        count = len(self.nets)
        return (count * (count - 1) - sum(mask.bit_count() for mask in self.apart)) // 2

    @cached_property
    def unread(self) -> tuple[tuple[int, int], ...]:
        """Sweeps that beep although no pin is known to join: (pins of one side, of the other)."""
        return tuple(
            (each.a, each.b)
            for each in self.evidence.some
            if not self._nets_of(each.a) & self._nets_of(each.b)
        )

    @cached_property
    def unsettled(self) -> tuple[Passing, ...]:
        """Passing parts that leave open what joins their two pins."""
        return tuple(each for each in self.passing if not self._settled(each))

    def _settled(self, each: Passing) -> bool:
        p, q = self.net_of[each.p], self.net_of[each.q]
        if p != q:
            return bool(self.apart[p] >> q & 1)
        # A switch: other pins join both ends, and somebody has read straight over it as well.
        return not each.part.sure and each.read is not None

    @property
    def proven(self) -> bool:
        """Whether readings alone settle every pair of pins (contradictions are not looked at)."""
        return not (self.untested or self.unread or self.unproven or self.untaken or self.unsettled)

    def _nets_of(self, mask: int) -> int:
        if not mask & (mask - 1):
            return 1 << self.net_of[mask.bit_length() - 1]
        found = 0
        for pin in bits(mask):
            found |= 1 << self.net_of[pin]
        return found

    def nets_of(self, mask: int) -> int:
        """The nets (bits by place in ``nets``) on which a set of pins lies."""
        return self._nets_of(mask)


def infer(evidence: Evidence, pins: Pins, parts: Iterable[Conductor]) -> State:
    """The nets that the evidence gives, with every doubt that a conducting part raises."""
    count = len(pins)
    joined = Groups(count, ((beep.a, beep.b) for beep in evidence.beeps))
    islands = Groups(count, ((beep.a, beep.b) for beep in (*evidence.beeps, *evidence.across)))
    passing = tuple(
        found
        for part in parts
        for p, q in part.pairs
        if islands.same(p, q)
        and (found := _passing(part, p, q, evidence, joined, islands, count)) is not None
    )
    sure = [each for each in passing if each.part.sure]
    doubted = _doubted(evidence, sure, islands)
    firm = Groups(count, ((b.a, b.b) for b in evidence.beeps if b not in doubted))
    open_beeps = [beep for beep in evidence.beeps if not firm.same(beep.a, beep.b)]
    untaken = _untaken(open_beeps, sure, firm)
    for beep in open_beeps:
        if beep not in untaken:
            firm.join(beep.a, beep.b)
    unproven = tuple(beep for beep in open_beeps if beep not in untaken)
    return State(pins, evidence, firm, passing, unproven, tuple(sorted(untaken, key=_by_row)))


def _by_row(beep: Beep) -> tuple[int, int, int]:
    return beep.row, beep.a, beep.b


def _passing(
    part: Conductor,
    p: int,
    q: int,
    evidence: Evidence,
    joined: Groups,
    islands: Groups,
    count: int,
) -> Passing | None:
    """The part as a way for beeps, None when copper shorts it or it is seen not to conduct."""
    rows = [b.row for b in evidence.across if {b.a, b.b} == {p, q} and b.through(part)]
    read = min(rows, default=None)
    if not joined.same(p, q):
        return (
            None
            if read is not None and _held_apart(part, p, q, evidence, joined)
            else Passing(part, p, q, read)
        )
    island = islands.find(p)
    beeps = (b for b in (*evidence.beeps, *evidence.across) if islands.find(b.a) == island)
    copper = Groups(count, ((b.a, b.b) for b in beeps if not b.through(part)))
    return None if copper.same(p, q) else Passing(part, p, q, read)


def _held_apart(part: Conductor, p: int, q: int, evidence: Evidence, joined: Groups) -> bool:
    """Whether a reading with the part in place found its two sides apart."""
    a, b = joined.find(p), joined.find(q)
    for each in evidence.aparts:
        if part.ref in each.lifted:
            continue
        first = {joined.find(pin) for pin in bits(each.a)}
        second = {joined.find(pin) for pin in bits(each.b)}
        if (a in first and b in second) or (b in first and a in second):
            return True
    return False


def _doubted(evidence: Evidence, sure: list[Passing], islands: Groups) -> set[Beep]:
    """Beeps that could have come through one of the parts that surely conduct."""
    by_island: dict[int, set[Conductor]] = {}
    for each in sure:
        by_island.setdefault(islands.find(each.p), set()).add(each.part)
    return {
        beep
        for beep in evidence.beeps
        if any(beep.through(part) for part in by_island.get(islands.find(beep.a), ()))
    }


def _untaken(beeps: list[Beep], sure: list[Passing], firm: Groups) -> set[Beep]:
    """The doubtful beeps on a ring that a conducting part closes: one of each ring came through it."""
    if not beeps or not sure:
        return set()
    import networkx

    graph: networkx.Graph[int] = networkx.Graph()
    graph.add_edges_from((firm.find(beep.a), firm.find(beep.b)) for beep in beeps)
    closing = {frozenset((firm.find(each.p), firm.find(each.q))) for each in sure}
    graph.add_edges_from((min(ends), max(ends)) for ends in closing if len(ends) == 2)
    rings: set[frozenset[int]] = set()
    for block in networkx.biconnected_component_edges(graph):
        edges = {frozenset(edge) for edge in block}
        if len(edges) > 1 and edges & closing:
            rings |= edges
    ringed = {b for b in beeps if frozenset((firm.find(b.a), firm.find(b.b))) in rings}
    # Straight over the part on one firm net's two pins: the beep and the part are one edge.
    doubled = {b for b in beeps if frozenset((firm.find(b.a), firm.find(b.b))) in closing}
    return ringed | doubled
