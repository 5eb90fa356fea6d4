"""The verdict on wiring: whole boards first, then what had to stay, each by proof."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable
from dataclasses import dataclass, replace

from counterpoise.compare.account import differences
from counterpoise.compare.align import align
from counterpoise.compare.clock import Clock, TimeUp
from counterpoise.compare.pairing import Pairing
from counterpoise.compare.prove import DIFFERENT, SAME, UNKNOWN, Proof, prove
from counterpoise.compare.regions import ALL, Region, region
from counterpoise.compare.repair import rewired
from counterpoise.compare.replaced import boundary, kept_words, replaced
from counterpoise.compare.result import Difference, Wiring
from counterpoise.compare.settle import (
    Naming,
    harmonised,
    shared_naming,
    soft_naming,
    softened,
    wires,
)
from counterpoise.compare.trades import trade_groups
from counterpoise.compare.verify import flaw
from counterpoise.compare.view import Piece, View, view
from counterpoise.roles.board import Board

_SHARE = 0.5
"""Of the time for the first proof; the rest is for the pairing of boards that are not the same."""


@dataclass(frozen=True)
class Outcome:
    """The verdict and the pairing it rests on."""

    wiring: Wiring
    pairing: Pairing


def compare_wiring(
    old: Board, new: Board, labels: tuple[str, str] = ("old", "new"), seconds: float = 20.0
) -> Outcome:
    """Pair two boards and judge whether what had to stay is wired as before.

    *Same* comes with a mapping that the checker has passed pin by pin; *different* when the exact
    comparison finds no mapping; *unknown* when the time runs out before either.

    Raises:
        KeepError: a pattern of [compare] keep fits no part.
    """
    ours, theirs = harmonised(view(old, labels[0], new), view(new, labels[1], old))
    clock = Clock(seconds)
    name = soft_naming(ours.pieces, theirs.pieces)
    first, pairing = _whole(ours, theirs, name, Clock(seconds * _SHARE))
    if pairing is not None and not trade_groups(pairing):
        return Outcome(_same(pairing, region(pairing), ()), pairing)
    pairing, in_time = align(ours, theirs, shared_naming(ours.pieces, theirs.pieces), clock)
    area = region(pairing)
    # Two ways to tell the same change: the one that needs fewer sentences is the better account.
    pairing, told = min(
        ((each, differences(each, area)) for each in (pairing, rewired(pairing))),
        key=lambda told: (sum(d.held for d in told[1]), len(told[1])),
    )
    held = [d for d in told if d.held]
    if held:
        again = _region_pairing(pairing, area, clock)
        if isinstance(again, Pairing):
            pairing, held = again, []
            told = [d for d in differences(pairing, area) if not d.held]
        else:
            first = again if area.scope != ALL or first.verdict == SAME else first
    elif fault := region_flaw(pairing, area):
        raise AssertionError(f"the pairing found does not hold: {fault}")
    if not held:
        return Outcome(_same(pairing, area, told), pairing)
    verdict = UNKNOWN if first.verdict == UNKNOWN else DIFFERENT
    if verdict == UNKNOWN and not in_time:
        # Half a pairing would call differences what it had no time to pair.
        told = [d for d in told if not d.held]
    return Outcome(_unlike(verdict, first, pairing, area, told), pairing)


def _whole(ours: View, theirs: View, name: Naming, clock: Clock) -> tuple[Proof, Pairing | None]:
    """Are the whole boards the same? Optional kinds that one of them has more of are left out."""
    uneven = _uneven(ours.pieces, theirs.pieces, lambda piece: piece.optional)
    a = [p for p, piece in enumerate(ours.pieces) if name_in(piece, uneven)]
    b = [p for p, piece in enumerate(theirs.pieces) if name_in(piece, uneven)]
    proof = prove(wires(ours, a, name), wires(theirs, b, name), clock)
    if proof.verdict != SAME:
        return proof, None
    pairing = _from_proof(Pairing(ours, theirs), a, b, proof)
    _bare(pairing)
    return proof, pairing


def _uneven(ours: Iterable[Piece], theirs: Iterable[Piece], chosen: object) -> set[Hashable]:
    assert callable(chosen)
    one = Counter(softened(piece) for piece in ours if chosen(piece))
    other = Counter(softened(piece) for piece in theirs if chosen(piece))
    return {kind for kind in {*one, *other} if one[kind] != other[kind]}


def name_in(piece: Piece, uneven: set[Hashable]) -> bool:
    """Whether a piece takes part: not of the kinds left out, and with something to wire."""
    return bool(piece.contacts) and softened(piece) not in uneven


def _from_proof(pairing: Pairing, a: list[int], b: list[int], proof: Proof) -> Pairing:
    for old, new in proof.parts.items():
        pairing.pair(a[old], b[new])
    for net, partner in proof.nets.items():
        pairing.pair_nets(str(net), str(partner))
    return pairing


def _bare(pairing: Pairing) -> None:
    """Pair holes and other parts without a circuit by their kind."""
    waiting: dict[object, list[int]] = defaultdict(list)
    for place, piece in enumerate(pairing.new.pieces):
        if place not in pairing.parts_back:
            waiting[piece.kind].append(place)
    for place, piece in enumerate(pairing.old.pieces):
        if place not in pairing.parts and waiting.get(piece.kind):
            pairing.pair(place, waiting[piece.kind].pop(0))


# -- what had to stay -------------------------------------------------------------------------------
def _region_places(pairing: Pairing, area: Region) -> tuple[list[int], list[int]]:
    """The places that take part in the proof: held parts without those that are optional, or only
    reach out, and have no partner."""

    def free(piece: Piece) -> bool:
        return piece.optional or (piece.access and area.scope != ALL)

    old = {a for a in pairing.parts if a in area.old or pairing.parts[a] in area.new}
    new = {pairing.parts[a] for a in old}
    old |= {a for a in area.old if a not in pairing.parts and not free(pairing.old.pieces[a])}
    new |= {b for b in area.new if b not in pairing.parts_back and not free(pairing.new.pieces[b])}
    bare_old = {a for a in old if not pairing.old.pieces[a].contacts}
    bare_new = {b for b in new if not pairing.new.pieces[b].contacts}
    return sorted(old - bare_old), sorted(new - bare_new)


def region_flaw(pairing: Pairing, area: Region) -> str:
    """Why the pairing is no proof for what had to stay, "" when it is: the separate checker's word."""
    a, b = _region_places(pairing, area)
    back = {place: index for index, place in enumerate(b)}
    if any(place not in pairing.parts for place in a):
        return "a part that had to stay has no partner"
    parts = {index: back[pairing.parts[place]] for index, place in enumerate(a)}
    # A changed value is told in the ledger; for the wires the two are one kind.
    kinds = {id(pairing.old.pieces[p]): p for p in a}
    own = {id(pairing.new.pieces[pairing.parts[p]]): p for p in a}

    def name(piece: Piece) -> Hashable:
        return kinds.get(id(piece), own.get(id(piece)))

    old_wires = wires(pairing.old, a, name)
    new_wires = wires(pairing.new, b, name)
    used = {net for _, pins in old_wires for _, net in pins}
    nets: dict[Hashable, Hashable] = {n: m for n, m in pairing.nets.items() if n in used}
    return flaw(old_wires, new_wires, parts, nets)


def _region_pairing(pairing: Pairing, area: Region, clock: Clock) -> Pairing | Proof:
    """The region proven the same by the exact comparison after all, else what that says."""
    a, b = _region_places(pairing, area)
    ours = [pairing.old.pieces[place] for place in a]
    theirs = [pairing.new.pieces[place] for place in b]
    name = soft_naming(ours, theirs)
    proof = prove(wires(pairing.old, a, name), wires(pairing.new, b, name), clock)
    if proof.verdict != SAME:
        return proof
    better = _from_proof(Pairing(pairing.old, pairing.new), a, b, proof)
    if trade_groups(better):
        return Proof(DIFFERENT)
    for old, new in pairing.parts.items():
        if old not in better.parts and new not in better.parts_back:
            better.pair(old, new)
    for net, partner in pairing.nets.items():
        if net not in better.nets and partner not in better.nets_back:
            better.pair_nets(net, partner)
    if any(d.held for d in differences(better, area)):
        return Proof(DIFFERENT)
    return better


# -- answers ----------------------------------------------------------------------------------------
def _same(pairing: Pairing, area: Region, told: Iterable[Difference]) -> Wiring:
    places = _kept(pairing, area)
    kept = tuple(pairing.new.pieces[place].ref for place in places)
    return Wiring(
        SAME,
        area.scope,
        kept,
        elsewhere=tuple(d for d in told if not d.held),
        boundary=boundary(pairing, area),
        replaced=replaced(pairing, area),
        alike=_alike(pairing, kept),
        kept_words=kept_words(pairing.new, places),
        settled=len(pairing.parts),
        parts=len(pairing.old.pieces),
    )


def _unlike(
    verdict: str, proof: Proof, pairing: Pairing, area: Region, told: list[Difference]
) -> Wiring:
    answer = _same(pairing, area, told)
    settled = len(proof.parts) if verdict == UNKNOWN else len(pairing.parts)
    held = tuple(d for d in told if d.held)
    return replace(answer, verdict=verdict, differences=held, settled=settled)


def _kept(pairing: Pairing, area: Region) -> list[int]:
    """New places whose every pin joins as before: held parts, and small parts that stand between nets
    of held parts only."""
    touched = {
        c.net for place in area.old for c in pairing.old.pieces[place].contacts
    } | area.old_grounds
    found = []
    for old, new in pairing.parts.items():
        piece, partner = pairing.old.pieces[old], pairing.new.pieces[new]
        if not piece.contacts or not partner.fitted or not _sound(pairing, old):
            continue
        held = old in area.old or new in area.new
        beside = old not in area.old_core and piece.kind == partner.kind
        if held or (beside and all(c.net in touched for c in piece.contacts)):
            found.append(new)
    return sorted(found)


def _sound(pairing: Pairing, old: int) -> bool:
    piece, partner = pairing.old.pieces[old], pairing.new_of(old)
    for a, b in pairing.contacts(old):
        was = piece.contacts[a].net if a is not None else "\0"
        now = partner.contacts[b].net if b is not None else "\0"
        open_was = len(pairing.old.nets.get(was, ())) < 2
        open_now = len(pairing.new.nets.get(now, ())) < 2
        if pairing.nets.get(was) != now and not (open_was and open_now):
            return False
    return True


def _alike(pairing: Pairing, kept: Iterable[str]) -> tuple[tuple[str, ...], ...]:
    """Groups of kept parts of one kind across the same nets: any of them is any other."""
    wanted = set(kept)
    groups: dict[object, list[str]] = defaultdict(list)
    for piece in pairing.new.pieces:
        if piece.ref in wanted and len(piece.contacts) == 2:
            nets = tuple(sorted((c.label, c.net) for c in piece.contacts))
            groups[piece.kind, nets].append(piece.ref)
    return tuple(tuple(group) for group in groups.values() if len(group) > 1)


__all__ = ["ALL", "Outcome", "TimeUp", "compare_wiring", "region_flaw"]
