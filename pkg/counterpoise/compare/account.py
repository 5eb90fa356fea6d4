"""What differs, as few sentences as possible: pins that went the same way make one difference."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from counterpoise.compare.pairing import Pairing
from counterpoise.compare.phrases import Phrases
from counterpoise.compare.regions import ALL, Region
from counterpoise.compare.result import Difference
from counterpoise.compare.trades import traded

Key = tuple[str | None, str | None]


@dataclass(frozen=True, slots=True)
class Move:
    """One contact that does not join the partner of its old net: places of part and contact on each
    side; a contact is None where that side has none."""

    old_part: int
    old_contact: int | None
    new_part: int
    new_contact: int | None


def differences(pairing: Pairing, region: Region) -> list[Difference]:
    """All differences of two paired boards, those that touch the region first."""
    phrases = Phrases(pairing)
    groups = _moves(pairing)
    found = [*_exchanges(pairing, region, groups, phrases)]
    found += _single_wires(pairing, region, groups, phrases)
    for key, moves in groups.items():
        found.append(_told(pairing, region, key, moves, phrases))
    found += _lone(pairing, region, phrases)
    found += traded(pairing, region, phrases)
    found += _intruders(pairing, region, phrases)
    return sorted(found, key=lambda d: (not d.held, d.kind in ("missing", "added"), d.message))


def _net(pairing: Pairing, move: Move) -> Key:
    """The nets that a contact joins on each side, None for an open pin."""
    old = new = None
    if move.old_contact is not None:
        net = pairing.old.pieces[move.old_part].contacts[move.old_contact].net
        old = net if len(pairing.old.nets[net]) > 1 else None
    if move.new_contact is not None:
        net = pairing.new.pieces[move.new_part].contacts[move.new_contact].net
        new = net if len(pairing.new.nets[net]) > 1 else None
    return old, new


def _moves(pairing: Pairing) -> dict[Key, list[Move]]:
    """Contacts out of place, by where they were and where they are. Pins that became open, or were,
    stand alone: nothing holds them together."""
    groups: dict[Key, list[Move]] = defaultdict(list)
    for old, new in sorted(pairing.parts.items()):
        for a, b in pairing.contacts(old):
            move = Move(old, a, new, b)
            was, now = _net(pairing, move)
            if was is None and now is None:
                continue
            if was is not None and now is not None and pairing.nets.get(was) == now:
                continue
            if _only_open(pairing, was, now):
                continue
            groups[was, now].append(move)
    return groups


def _only_open(pairing: Pairing, was: str | None, now: str | None) -> bool:
    """One side open, the other joined to nothing but parts without a partner: the part that came or
    went is told, not the pin that it leaves open."""
    if was is None and now is not None:
        spots, paired = pairing.new.nets[now], pairing.parts_back
    elif now is None and was is not None:
        spots, paired = pairing.old.nets[was], pairing.parts
    else:
        return False
    return sum(1 for place, _ in spots if place in paired) < 2


def _held(region: Region, moves: list[Move]) -> bool:
    return any(m.old_part in region.old or m.new_part in region.new for m in moves)


def _exchanges(
    pairing: Pairing, region: Region, groups: dict[Key, list[Move]], phrases: Phrases
) -> Iterator[Difference]:
    """Two single moves that answer each other: taken out of ``groups`` and told as one."""
    single = [key for key, moves in groups.items() if len(moves) == 1]
    for first in single:
        for second in single:
            if first is second or first not in groups or second not in groups:
                continue
            (one,), (other,) = groups[first], groups[second]
            if not _answers(pairing, first, second):
                continue
            del groups[first], groups[second]
            held = _held(region, [one, other])
            yield phrases.exchanged(first, one, second, other, held=held)


def _single_wires(
    pairing: Pairing, region: Region, groups: dict[Key, list[Move]], phrases: Phrases
) -> Iterator[Difference]:
    """A wire taken from a pin that is then left open, or brought to a pin that was open, or both: told
    once, from the wire's end that moved; taken out of ``groups``."""
    for was, now in [key for key in groups if None not in key]:
        moves = groups[was, now]
        assert was is not None
        assert now is not None
        left = _only(groups, (was, None), len(pairing.old.nets[was]) - len(moves))
        met = _only(groups, (None, now), len(pairing.new.nets[now]) - len(moves))
        if left or met:
            del groups[was, now]
            held = _held(region, [*moves, *left, *met])
            yield phrases.moved(was, now, moves, held=held, left=left)


def _only(groups: dict[Key, list[Move]], key: Key, others: int) -> list[Move]:
    """The one move of a group, when it is the only other pin of that net; taken out."""
    moves = groups.get(key, [])
    if len(moves) != 1 or others != 1:
        return []
    return groups.pop(key)


def _answers(pairing: Pairing, first: Key, second: Key) -> bool:
    """Whether the second move ends where the first began, and begins where it ended (or was open)."""
    (was, now), (other_was, other_now) = first, second
    if was is None or other_now is None or pairing.nets.get(was) != other_now:
        return False
    if now is None or other_was is None:
        return now is None and other_was is None
    return pairing.nets.get(other_was) == now


def _told(
    pairing: Pairing, region: Region, key: Key, moves: list[Move], phrases: Phrases
) -> Difference:
    was, now = key
    held = _held(region, moves)
    if now is None:
        return phrases.opened(was or "", moves, held=held)
    if was is None:
        return phrases.closed(now, moves, held=held)
    if len(moves) > 1 and was not in pairing.nets:
        return phrases.joined(was, now, moves, held=held)
    if len(moves) > 1 and now not in pairing.nets_back:
        return phrases.split(was, now, moves, held=held)
    return phrases.moved(was, now, moves, held=held)


def _lone(pairing: Pairing, region: Region, phrases: Phrases) -> Iterator[Difference]:
    """Whole parts without a partner. What is optional is told in the ledger alone; so is what only
    reaches out, unless everything had to stay."""
    sides = (
        (pairing.old, pairing.parts, region.old, phrases.missing),
        (pairing.new, pairing.parts_back, region.new, phrases.added),
    )
    for view, paired, places, phrase in sides:
        for place, piece in enumerate(view.pieces):
            wired = any(len(view.nets[c.net]) > 1 for c in piece.contacts)
            if place in paired or piece.optional or not wired:
                continue
            held = place in places and not (piece.access and region.scope != ALL)
            yield phrase(place, held=held)


def _intruders(pairing: Pairing, region: Region, phrases: Phrases) -> Iterator[Difference]:
    """A power part that now joins a signal which the power section had nothing to do with."""
    if region.scope == ALL:
        return
    for was, now in sorted(pairing.nets.items()):
        if was in region.old_cut or now not in region.new_cut:
            continue
        held = [spot for spot in pairing.old.nets[was] if spot[0] in region.old]
        guests = [
            spot
            for spot in pairing.new.nets[now]
            if spot[0] in region.new_core and spot[0] not in pairing.parts_back
        ]
        if len(held) > 1 and guests:
            yield phrases.intruded(was, now, guests)
