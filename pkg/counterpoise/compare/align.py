"""The best pairing of two boards that are not the same: anchors first, then outwards from them.

Colours of a few rounds of refinement are compared from the deepest round up: what looks alike over the
widest neighbourhood, and only once on each board, is paired first. Pairs then stand fast and shield
what is beyond a change, so that the next sweep sees further. Nets are paired by the votes of the
contacts that paired parts have on them. What is left over is paired by what it joins.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable

from counterpoise.compare.clock import Clock, TimeUp
from counterpoise.compare.kinds import MANY
from counterpoise.compare.pairing import Pairing
from counterpoise.compare.repair import complete, improve, part_unlike
from counterpoise.compare.settle import Naming
from counterpoise.compare.view import View

_ROUNDS = 6
_DISTINCT_CONTACTS = 3

Node = tuple[bool, int] | tuple[bool, str]
Colours = tuple[list[int], dict[str, int]]


def align(old: View, new: View, name: Naming, clock: Clock) -> tuple[Pairing, bool]:
    """A pairing with as few contacts out of place as could be found, and whether time sufficed.

    ``name`` gives the kinds to go by (values softened where they changed).
    """
    pairing = Pairing(old, new)
    sweeper = _Sweeper(pairing, name, clock)
    in_time = True
    try:
        sweeper.run()
    except TimeUp:
        in_time = False
    complete(pairing)
    if in_time:
        try:
            improve(pairing, clock)
        except TimeUp:
            in_time = False
    part_unlike(pairing)
    return pairing, in_time


class _Sweeper:
    def __init__(self, pairing: Pairing, name: Naming, clock: Clock) -> None:
        self._pairing = pairing
        self._clock = clock
        self._kinds: dict[Hashable, int] = {}
        self._name = name

    def run(self) -> None:
        while True:
            self._clock.check()
            rounds = self._rounds()
            if self._unique(rounds) or self._vote(strict=True) or self._twins(rounds):
                continue
            if self._vote(strict=False) or self._choose(rounds):
                continue
            return

    # -- colours --------------------------------------------------------------------------------
    def _rounds(self) -> list[tuple[Colours, Colours]]:
        """The colours of every unpaired node after 0, 1, 2 … rounds, alike on both sides; paired
        nodes keep a colour of their own pair."""
        p = self._pairing
        ids: dict[Hashable, int] = {}

        def number(key: Hashable) -> int:
            return ids.setdefault(key, len(ids))

        ours = self._first(p.old, {a: a for a in p.parts}, {n: n for n in p.nets}, number)
        theirs = self._first(p.new, p.parts_back, p.nets_back, number)
        rounds = [(ours, theirs)]
        classes = len(ids)
        for _ in range(_ROUNDS):
            ours = self._next(p.old, ours, p.parts, p.nets, number)
            theirs = self._next(p.new, theirs, p.parts_back, p.nets_back, number)
            rounds.append((ours, theirs))
            if len(ids) == 2 * classes:
                break
            classes = len(ids)
        return rounds

    def _first(
        self,
        view: View,
        parts: dict[int, int],
        nets: dict[str, str],
        number: Callable[[Hashable], int],
    ) -> Colours:
        by_part = [
            number(("pair", parts[place])) if place in parts else number(self._name(piece))
            for place, piece in enumerate(view.pieces)
        ]
        open_net, wired = number("open"), number("net")
        by_net = {
            net: number(("net pair", nets[net]))
            if net in nets
            else (open_net if len(spots) == 1 else wired)
            for net, spots in view.nets.items()
        }
        return by_part, by_net

    def _next(
        self,
        view: View,
        now: Colours,
        parts: Iterable[int],
        nets: Iterable[str],
        number: Callable[[Hashable], int],
    ) -> Colours:
        by_part, by_net = now
        paired_parts, paired_nets = set(parts), set(nets)
        next_parts = list(by_part)
        for place, piece in enumerate(view.pieces):
            if place not in paired_parts:
                seen = sorted((c.label, by_net[c.net]) for c in piece.contacts)
                next_parts[place] = number((by_part[place], tuple(seen)))
        next_nets = dict(by_net)
        for net, spots in view.nets.items():
            if net not in paired_nets:
                around = sorted(
                    (view.pieces[place].contacts[index].label, by_part[place])
                    for place, index in spots
                )
                next_nets[net] = number((by_net[net], tuple(around)))
        return next_parts, next_nets

    def _classes(
        self, colours: tuple[Colours, Colours]
    ) -> tuple[dict[int, tuple[list[int], list[int]]], dict[int, tuple[list[str], list[str]]]]:
        """Unpaired parts and nets by colour, each side's."""
        p = self._pairing
        parts: dict[int, tuple[list[int], list[int]]] = defaultdict(lambda: ([], []))
        nets: dict[int, tuple[list[str], list[str]]] = defaultdict(lambda: ([], []))
        sides = ((p.old, p.parts, p.nets), (p.new, p.parts_back, p.nets_back))
        for side, ((view, paired, paired_nets), (by_part, by_net)) in enumerate(
            zip(sides, colours, strict=True)
        ):
            for place in range(len(view.pieces)):
                if place not in paired:
                    parts[by_part[place]][side].append(place)
            for net in view.nets:
                if net not in paired_nets:
                    nets[by_net[net]][side].append(net)
        return parts, nets

    # -- steps ----------------------------------------------------------------------------------
    def _unique(self, rounds: list[tuple[Colours, Colours]]) -> bool:
        """Pair what looks alike, once on each board, from the deepest round up to where something
        is found."""
        p = self._pairing
        for depth in range(len(rounds) - 1, -1, -1):
            parts, nets = self._classes(rounds[depth])
            found = False
            for ours, theirs in parts.values():
                if len(ours) == len(theirs) == 1 and self._telling(ours[0], theirs[0], depth):
                    p.pair(ours[0], theirs[0])
                    found = True
            for named, others in nets.values():
                if len(named) == len(others) == 1 and depth > 0:
                    p.pair_nets(named[0], others[0])
                    found = True
            if found:
                return True
        return False

    def _telling(self, old: int, new: int, depth: int) -> bool:
        """A kind alone tells enough only for parts with several pins (a lone 4.7 µF on each board may
        be two different parts), and a role alone only for parts with many, numbered alike."""
        if depth > 0:
            return True
        ours, theirs = self._pairing.old.pieces[old], self._pairing.new.pieces[new]
        if ours.kind == theirs.kind:
            return len(ours.contacts) >= _DISTINCT_CONTACTS
        labels = [sorted(c.label for c in piece.contacts) for piece in (ours, theirs)]
        return len(ours.contacts) >= MANY and labels[0] == labels[1]

    def _twins(self, rounds: list[tuple[Colours, Colours]]) -> bool:
        """Pair like parts whose nets are all paired: any of them is as good as any other."""
        p = self._pairing
        found = False
        parts, _ = self._classes(rounds[min(1, len(rounds) - 1)])
        for ours, theirs in parts.values():
            if not ours or not theirs:
                continue
            if all(c.net in p.nets for c in p.old.pieces[ours[0]].contacts):
                for a, b in zip(ours, theirs, strict=False):
                    p.pair(a, b)
                found = True
        return found

    def _vote(self, *, strict: bool) -> bool:
        """Pair nets that more contacts speak for than for any other pairing of either."""
        p = self._pairing
        votes = p.votes()
        best: dict[tuple[int, str], list[int]] = defaultdict(list)
        for (a, b), weight in votes.items():
            best[0, a].append(weight)
            best[1, b].append(weight)
        found = False
        for (a, b), weight in sorted(votes.items(), key=lambda item: (-item[1], item[0])):
            if a in p.nets or b in p.nets_back:
                continue
            rivals = [*best[0, a], *best[1, b]]
            if strict and (rivals.count(weight) > 2 or max(rivals) > weight):
                continue
            p.pair_nets(a, b)
            found = True
            if not strict:
                return True
        return found

    def _choose(self, rounds: list[tuple[Colours, Colours]]) -> bool:
        """Nothing is told apart any more: take one pair of the smallest like group of the deepest
        round, evenly filled groups first."""
        p = self._pairing
        for depth in range(len(rounds) - 1, 0, -1):
            parts, nets = self._classes(rounds[depth])
            groups = [g for g in parts.values() if g[0] and g[1]]
            if groups:
                ours, theirs = min(groups, key=lambda g: (len(g[0]) != len(g[1]), len(g[0]), g[0]))
                p.pair(ours[0], theirs[0])
                return True
            named = [g for g in nets.values() if g[0] and g[1] and g[0][0][0] != "\0"]
            if named:
                first = min(named, key=lambda g: (len(g[0]) != len(g[1]), len(g[0]), g[0]))
                p.pair_nets(first[0][0], first[1][0])
                return True
        return False
