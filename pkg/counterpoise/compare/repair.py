"""What a sweep leaves over, paired by what it joins; and small exchanges that make a pairing better."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable
from typing import Any

from counterpoise.compare.clock import Clock
from counterpoise.compare.pairing import Pairing
from counterpoise.compare.settle import softened
from counterpoise.compare.view import Piece, View

_HUB = 12
"""A net with more contacts than this (a supply, ground) says little of the part on it."""

_ROUNDS = 4

_MOST_LOOKS = 4_000_000
"""Leftovers of both boards multiplied, above which supplies are not searched for partners."""


def complete(pairing: Pairing) -> None:
    """Pair leftovers, from the surest likeness to the least, and nets by the majority of votes."""
    for key in (_exact, _exact_soft):
        _nets_by_votes(pairing)
        _by_signature(pairing, key)
    _nets_by_votes(pairing)
    _by_overlap(pairing)
    _lone_chips(pairing)
    _as_many(pairing)
    _nets_by_votes(pairing)


def improve(pairing: Pairing, clock: Clock) -> None:
    """Exchange partners, re-elect nets and re-pair leftovers as long as it puts more contacts right.

    Raises:
        TimeUp: the time is used up; the pairing is then as good as before.
    """
    best = pairing.mismatches()
    for _ in range(_ROUNDS):
        if best == 0:
            return
        trial = pairing.copy()
        _drop_strangers(trial)
        trial.nets.clear()
        trial.nets_back.clear()
        _nets_by_votes(trial)
        complete(trial)
        _exchange(trial, clock)
        cost = trial.mismatches()
        if cost >= best:
            return
        best = cost
        _take(pairing, trial)


def _take(pairing: Pairing, better: Pairing) -> None:
    pairing.parts, pairing.parts_back = better.parts, better.parts_back
    pairing.nets, pairing.nets_back = better.nets, better.nets_back


def _nets_by_votes(pairing: Pairing, *, wired_first: bool = False) -> None:
    """Pair free nets, those with the most votes first; again while contacts that swap get a voice.

    ``wired_first``: a net of several pins is paired with an open pin's only where no other speaks.
    """

    def uneven(pair: tuple[str, str]) -> bool:
        one, other = pairing.old.nets[pair[0]], pairing.new.nets[pair[1]]
        return wired_first and (len(one) == 1) != (len(other) == 1)

    while True:
        votes = pairing.votes()
        free = [
            (weight, pair)
            for pair, weight in votes.items()
            if pair[0] not in pairing.nets and pair[1] not in pairing.nets_back
        ]
        if not free:
            return
        free.sort(key=lambda item: (uneven(item[1]), -item[0], item[1]))
        first = [item for item in free if not uneven(item[1])]
        if not _pair_clear(pairing, first or free):
            pairing.pair_nets(*free[0][1])


def _pair_clear(pairing: Pairing, free: list[tuple[int, tuple[str, str]]]) -> bool:
    """Pair every two nets that speak for each other more loudly than for any other."""
    loudest: dict[tuple[int, str], list[int]] = defaultdict(list)
    for weight, (a, b) in free:
        loudest[0, a].append(weight)
        loudest[1, b].append(weight)
    found = False
    for weight, (a, b) in free:
        rivals = [*loudest[0, a], *loudest[1, b]]
        rivals.remove(weight)
        rivals.remove(weight)
        if all(rival < weight for rival in rivals):
            pairing.pair_nets(a, b)
            found = True
    return found


def rewired(pairing: Pairing) -> Pairing:
    """The same parts with their nets elected anew, nets of several pins first."""
    other = pairing.copy()
    other.nets.clear()
    other.nets_back.clear()
    _nets_by_votes(other, wired_first=True)
    return other


def _signature(view: View, piece: Piece, known: dict[str, Any]) -> tuple[object, ...] | None:
    """What a piece joins, in the words of the old board's nets; None when a net is unpaired."""
    seen = []
    for contact in piece.contacts:
        if len(view.nets[contact.net]) == 1:
            seen.append((contact.label, "\0"))
        elif contact.net in known:
            seen.append((contact.label, known[contact.net]))
        else:
            return None
    return tuple(sorted(seen))


def _exact(piece: Piece) -> Hashable:
    return piece.kind


def _exact_soft(piece: Piece) -> Hashable:
    return softened(piece)


def _by_signature(pairing: Pairing, key: Any) -> None:
    """Pair free parts of one kind that join the same nets."""
    own = {net: net for net in pairing.nets}
    waiting: dict[object, list[int]] = defaultdict(list)
    for place, piece in enumerate(pairing.new.pieces):
        if place not in pairing.parts_back and piece.contacts:
            seen = _signature(pairing.new, piece, pairing.nets_back)
            if seen is not None:
                waiting[key(piece), seen].append(place)
    for place, piece in enumerate(pairing.old.pieces):
        if place not in pairing.parts and piece.contacts:
            seen = _signature(pairing.old, piece, own)
            found = waiting.get((key(piece), seen))
            if found:
                pairing.pair(place, found.pop(0))


def _by_overlap(pairing: Pairing) -> None:
    """Pair free parts that join some of the same nets: of one kind for any shared net, of one role
    for a shared net that is no supply."""
    free = {place for place in range(len(pairing.new.pieces)) if place not in pairing.parts_back}
    left = len(pairing.old.pieces) - len(pairing.parts)
    hubs = left * len(free) <= _MOST_LOOKS
    found = []
    for place, piece in enumerate(pairing.old.pieces):
        if place in pairing.parts:
            continue
        for other in sorted(_beside(pairing, piece, free, hubs=hubs)):
            candidate = pairing.new.pieces[other]
            same = candidate.kind == piece.kind
            if not same and softened(candidate) != softened(piece):
                continue
            near, far = _shared(pairing, piece, candidate)
            if near or (far and same):
                found.append((-near - same, -far, place, other))
    for _, _, place, other in sorted(found):
        if place not in pairing.parts and other not in pairing.parts_back:
            pairing.pair(place, other)


def _beside(pairing: Pairing, piece: Piece, free: set[int], *, hubs: bool) -> set[int]:
    """The free new parts on the partners of a part's nets, those of large nets only if asked."""
    found: set[int] = set()
    for contact in piece.contacts:
        spots = pairing.new.nets.get(pairing.nets.get(contact.net, ""), ())
        if hubs or len(spots) <= _HUB:
            found.update(place for place, _ in spots if place in free)
    return found


def _shared(pairing: Pairing, piece: Piece, candidate: Piece) -> tuple[int, int]:
    """Contacts of one class on paired nets: on small nets, and on large ones."""
    left = [(contact.label, contact.net) for contact in candidate.contacts]
    near = far = 0
    for contact in piece.contacts:
        wanted = (contact.label, pairing.nets.get(contact.net, ""))
        if wanted in left:
            left.remove(wanted)
            if len(pairing.old.nets[contact.net]) > _HUB:
                far += 1
            else:
                near += 1
    return near, far


def _lone_chips(pairing: Pairing) -> None:
    """Pair parts that are the only free ones of their kind on both boards, whatever they join."""
    ours: dict[object, list[int]] = defaultdict(list)
    theirs: dict[object, list[int]] = defaultdict(list)
    for place, piece in enumerate(pairing.old.pieces):
        if place not in pairing.parts:
            ours[piece.kind].append(place)
    for place, piece in enumerate(pairing.new.pieces):
        if place not in pairing.parts_back:
            theirs[piece.kind].append(place)
    for kind, places in ours.items():
        others = theirs.get(kind, [])
        if len(places) == len(others) == 1 or _without_wires(pairing, places, others):
            for a, b in zip(places, others, strict=False):
                pairing.pair(a, b)


def _as_many(pairing: Pairing) -> None:
    """Pair optional parts of which both boards have as many: they are still there, but elsewhere."""
    ours: dict[object, list[int]] = defaultdict(list)
    theirs: dict[object, list[int]] = defaultdict(list)
    for found, view in ((ours, pairing.old), (theirs, pairing.new)):
        for place, piece in enumerate(view.pieces):
            if piece.optional:
                found[piece.kind].append(place)
    for kind, places in ours.items():
        if len(places) == len(theirs.get(kind, ())):
            left = [place for place in places if place not in pairing.parts]
            others = [place for place in theirs[kind] if place not in pairing.parts_back]
            for a, b in zip(left, others, strict=True):
                pairing.pair(a, b)


def _without_wires(pairing: Pairing, places: list[int], others: list[int]) -> bool:
    """Holes, fiducials: nothing tells them apart."""
    return all(not pairing.old.pieces[p].contacts for p in places) and all(
        not pairing.new.pieces[p].contacts for p in others
    )


def _drop_strangers(pairing: Pairing) -> None:
    """Give up pairs none of whose contacts join paired nets."""
    for old in list(pairing.parts):
        if pairing.old.pieces[old].contacts and pairing.agreeing(old) == 0:
            pairing.part_with(old)


def part_unlike(pairing: Pairing) -> None:
    """Give up pairs of different parts that join mostly other nets: one went, another came."""
    for old in list(pairing.parts):
        piece = pairing.old.pieces[old]
        if piece.kind == pairing.new_of(old).kind:
            continue
        if pairing.agreeing(old) * 2 < max(len(piece.contacts), len(pairing.new_of(old).contacts)):
            pairing.part_with(old)


def _exchange(pairing: Pairing, clock: Clock) -> None:
    """Swap the partners of two like parts where that puts more contacts right."""
    wrong = [old for old in pairing.parts if _wrong(pairing, old)]
    by_kind: dict[object, list[int]] = defaultdict(list)
    for old in sorted(wrong):
        by_kind[pairing.old.pieces[old].kind].append(old)
    for places in by_kind.values():
        for i, a in enumerate(places):
            clock.check()
            for b in places[i + 1 :]:
                _swap_if_better(pairing, a, b)


def _wrong(pairing: Pairing, old: int) -> int:
    return len(pairing.old.pieces[old].contacts) - pairing.agreeing(old)


def _swap_if_better(pairing: Pairing, a: int, b: int) -> None:
    before = pairing.agreeing(a) + pairing.agreeing(b)
    _swap(pairing, a, b)
    if pairing.agreeing(a) + pairing.agreeing(b) <= before:
        _swap(pairing, a, b)


def _swap(pairing: Pairing, a: int, b: int) -> None:
    one, other = pairing.parts[a], pairing.parts[b]
    pairing.pair(a, other)
    pairing.pair(b, one)
