"""What to probe next: the readings that settle the most, in an order a hand can follow.

Names and structure only choose the order. Nothing is taken for settled that no reading settles.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

from counterpoise.model.ringout import SWEPT, Lead, NextProbe
from counterpoise.ringout.conductors import SWITCHES, Conductor
from counterpoise.ringout.infer import Passing, State
from counterpoise.ringout.likely import Likely
from counterpoise.ringout.pins import bits
from counterpoise.roles.board import Board
from counterpoise.roles.refdes import natural

SINGLES_A_SWEEP = 4
"""Pins offered on one page after a sweep has beeped: a hand stops at the one that beeps."""


@dataclass(frozen=True, slots=True)
class _Plan:
    """A probe being weighed: net ``net`` held at ``pin`` against the pins ``swept`` of ``ref``."""

    net: int
    pin: int
    ref: str
    swept: int


def plan(
    state: State, board: Board, parts: tuple[Conductor, ...], *, page: int = 1, probes: int = 20
) -> tuple[tuple[NextProbe, ...], bool]:
    """One page of probes, and whether more pages follow.

    Pages are cut from one list, the most telling probes first; within its page a probe is put beside
    those of the same part.
    """
    planner = _Planner(state, board, parts)
    listed = list(islice(planner.probes(), page * probes + 1))
    chosen = listed[(page - 1) * probes : page * probes]
    chosen.sort(key=lambda each: (*_hand(each.start), *_hand(each.end)))
    return tuple(chosen), len(listed) > page * probes


def _hand(lead: Lead) -> tuple[object, ...]:
    return natural(lead.ref), lead.ref, natural(lead.number), lead.number


class _Planner:
    def __init__(self, state: State, board: Board, parts: tuple[Conductor, ...]) -> None:
        self._state, self._board, self._parts = state, board, parts
        self._pins, self._likely = state.pins, Likely(state, board)
        self._left = [
            ~state.apart[net] & ~(1 << net) & ((1 << len(state.nets)) - 1)
            for net in range(len(state.nets))
        ]
        self._first = [next(bits(net)) for net in state.nets]
        self._seen: set[tuple[Lead, Lead]] = set()
        self._last: list[Passing] = []
        self._lifted = tuple(sorted({e.part.ref for e in state.passing if e.part.sure}))

    def probes(self) -> Iterator[NextProbe]:
        """Every probe worth taking now, the most telling first, none twice."""
        yield from self._over_conductors()
        yield from self._doubtful()
        yield from self._after_sweeps()
        yield from self._weighed()
        yield from self._rest()
        for each in self._last:
            off = (*self._lifted, each.part.ref)
            why = f"{each.part.label} may pass the beep by itself"
            yield from self._single(each.p, each.q, why, lifted=off)

    # -- doubts ---------------------------------------------------------------------------------
    def _over_conductors(self) -> Iterator[NextProbe]:
        """Whether a coil beeps decides what every later beep is worth: read it first."""
        read = {each.part.ref for each in self._state.passing}
        for part in self._parts:
            if part.sure and part.ref not in read and self._open(part.pins[0], part.pins[1]):
                why = f"shows whether {part.label} passes a beep"
                yield from self._single(part.pins[0], part.pins[1], why)

    def _doubtful(self) -> Iterator[NextProbe]:
        for beep in (*self._state.untaken, *self._state.unproven):
            ways = [e.part for e in self._state.passing if e.part.sure and beep.through(e.part)]
            why = f"row {beep.row} may have come through {_named(ways)}"
            yield from self._single(beep.a, beep.b, why)
        for each in self._state.unsettled:
            yield from self._around(each)

    def _around(self, each: Passing) -> Iterator[NextProbe]:
        """A probe that goes round a passing part, so that the part cannot be what beeps.

        Where its pins are joined to no other part yet, that waits until everything else is read.
        """
        p, q = self._net(each.p), self._net(each.q)
        if each.part.sure or each.read is None or p == q:
            yield from self._single(each.p, each.q, _why_unsettled(each))
            return
        own = self._pins.of_part[each.part.ref]
        why = f"goes round {each.part.label}, which row {each.read} may have come through"
        for net, pin in ((p, each.q), (q, each.p)):
            others = self._state.nets[net] & ~own
            if others:
                yield from self._single(next(bits(others)), pin, why)
                return
        self._left[p] &= ~(1 << q)
        self._left[q] &= ~(1 << p)
        self._last.append(each)

    def _after_sweeps(self) -> Iterator[NextProbe]:
        for a, b in self._state.unread:
            count = 0
            ranked = sorted(
                ((one, other) for one in self._a_net_each(a) for other in self._a_net_each(b)),
                key=lambda pair: (-self._either(*pair), pair),
            )
            for one, other in ranked:
                if count < SINGLES_A_SWEEP and self._open(one, other):
                    count += 1
                    yield from self._single(one, other, "a sweep over it beeped: which pin was it?")

    def _either(self, a: int, b: int) -> float:
        """The chance that two pins are joined, by the net of either."""
        likely = self._likely
        return max(likely.chance(self._net(a), b), likely.chance(self._net(b), a))

    def _a_net_each(self, mask: int) -> Iterator[int]:
        nets: set[int] = set()
        for pin in bits(mask):
            if self._net(pin) not in nets:
                nets.add(self._net(pin))
                yield pin

    # -- what settles the most --------------------------------------------------------------------
    def _weighed(self) -> Iterator[NextProbe]:
        """A heap whose entries are weighed again when they come up: earlier probes take from them."""
        heap = [(-self._worth(each), place, each) for place, each in enumerate(self._candidates())]
        heapq.heapify(heap)
        while heap:
            before, place, each = heapq.heappop(heap)
            now = -self._worth(each)
            if now > before + 1e-9 and now < 0:
                heapq.heappush(heap, (now, place, each))
            elif now < 0:
                yield from self._taken(each)

    def _candidates(self) -> Iterator[_Plan]:
        for kind in ("ground", "supply"):
            hubs = self._likely.hubs(kind)
            for hub in hubs[:1] + [n for n in hubs[1:4] if self._state.nets[n].bit_count() > 1]:
                for net in bits(self._left[hub]):
                    pin = self._likeliest(hub, net)
                    yield _Plan(hub, self._first[hub], self._pins.leads[pin].ref, 1 << pin)
        yield from self._namesakes()
        beeped = [
            (self._state.nets_of(a), b)
            for pair in self._state.unread
            for a, b in (pair, pair[::-1])
        ]
        for net, mask in enumerate(self._state.nets):
            known = 0
            for nets, pins in beeped:
                known |= pins if nets >> net & 1 else 0
            for ref, own in self._pins.of_part.items():
                inside = mask & own
                if inside & (inside - 1) or own & known or own == inside:
                    continue  # it would beep for sure, or did
                pin = next(bits(inside or mask))
                yield _Plan(net, pin, ref, own & ~inside)

    def _likeliest(self, hub: int, net: int) -> int:
        mask = self._state.nets[net]
        return max(bits(mask), key=lambda pin: (self._likely.chance(hub, pin), -pin))

    def _namesakes(self) -> Iterator[_Plan]:
        by_name: dict[str, list[int]] = {}
        for pin, name in enumerate(self._likely.names):
            if name:
                by_name.setdefault(name, []).append(pin)
        for pins in by_name.values():
            for pin in pins[1:]:
                if self._net(pin) != self._net(pins[0]):
                    yield _Plan(self._net(pins[0]), pins[0], self._pins.leads[pin].ref, 1 << pin)

    def _worth(self, each: _Plan) -> float:
        """The pairs of nets that the probe is expected to settle, 0 when it settles none."""
        nets = self._state.nets_of(each.swept) & self._left[each.net]
        if not nets:
            return 0.0
        if each.swept & (each.swept - 1) == 0:
            other = next(bits(nets))
            chance = self._likely.chance(each.net, next(bits(each.swept)))
            merged = (self._left[each.net] | self._left[other]).bit_count()
            return 1 - chance + chance * merged
        if nets.bit_count() == 1:
            return 0.0
        return nets.bit_count() * self._likely.open_chance(each.net, bits(each.swept))

    def _taken(self, each: _Plan) -> Iterator[NextProbe]:
        """The probe; what it would settle if it read open is taken off the list."""
        nets = self._state.nets_of(each.swept) & self._left[each.net]
        for net in bits(nets):
            self._left[net] &= ~(1 << each.net)
        self._left[each.net] &= ~nets
        start = self._pins.leads[each.pin]
        if each.swept & (each.swept - 1):
            why = f"open would settle {nets.bit_count()} pairs at once"
            yield from self._once(start, Lead(each.ref, SWEPT), why)
            return
        end = self._pins.leads[next(bits(each.swept))]
        yield from self._once(start, end, self._why_single(each))

    def _why_single(self, each: _Plan) -> str:
        pin = next(bits(each.swept))
        kind = self._likely.net_kinds[each.net]
        if self._likely.chance(each.net, pin) >= 0.5:
            return f"likely joined: both are {kind} pins by name" if kind else "like names"
        return f"may be on the {kind} net" if kind else "not settled yet"

    def _rest(self) -> Iterator[NextProbe]:
        for net, left in enumerate(list(self._left)):
            for other in bits(left & self._left[net]):
                if other > net:
                    yield from self._single(self._first[net], self._first[other], "not settled yet")

    # -- probes -----------------------------------------------------------------------------------
    def _net(self, pin: int) -> int:
        return self._state.net_of[pin]

    def _open(self, a: int, b: int) -> bool:
        """Whether nothing settles these two pins yet."""
        one, other = self._net(a), self._net(b)
        return one != other and not self._state.apart[one] >> other & 1

    def _single(
        self, a: int, b: int, why: str, lifted: tuple[str, ...] | None = None
    ) -> Iterator[NextProbe]:
        one, other = self._net(a), self._net(b)
        self._left[one] &= ~(1 << other)
        self._left[other] &= ~(1 << one)
        yield from self._once(self._pins.leads[a], self._pins.leads[b], why, lifted)

    def _once(
        self, start: Lead, end: Lead, why: str, lifted: tuple[str, ...] | None = None
    ) -> Iterator[NextProbe]:
        if (start, end) not in self._seen and (end, start) not in self._seen:
            self._seen.add((start, end))
            yield NextProbe(start, end, why, self._lifted if lifted is None else lifted)


def _why_unsettled(each: Passing) -> str:
    if each.part.called in SWITCHES:
        return f"work {each.part.ref} through its positions: beep only if it beeps in all of them"
    return f"{each.part.label} may pass the beep by itself: read it with the part lifted"


def _named(parts: list[Conductor]) -> str:
    return " or ".join(dict.fromkeys(part.ref for part in parts)) or "a part"
