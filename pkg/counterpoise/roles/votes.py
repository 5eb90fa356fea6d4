"""Readings of a part, each with its reason, and how they are weighed against each other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from counterpoise.roles.evidence import Evidence, Role

WEIGHTS: Mapping[str, float] = {
    "card": 4.0,
    "symbol": 4.0,
    "pins": 4.0,
    "footprint": 3.0,
    "value": 3.0,
    "shape": 3.0,
    "nets": 1.5,
    "refdes": 2.0,
}
"""How much each kind of evidence counts. A part drawn with a resistor's symbol is a resistor though
it is called C7; a reference alone never overrules another kind. Our own judgement, no source."""

CHIPS = frozenset(
    {
        "charger",
        "power-path",
        "protector",
        "regulator",
        "boost",
        "buck",
        "buck-boost",
        "radio",
        "controller",
        "sensor",
        "memory",
        "logic",
        "chip",
    }
)
"""Roles of integrated circuits: a reference "U" fits them all and so decides none."""

_GENERAL = frozenset({"unknown", "chip", "connector"})
_FITS = 0.9
_MARGIN = 0.75


@dataclass(frozen=True, slots=True)
class Vote:
    """One reading: the roles it fits, the usual one first, its kind of evidence and its words.

    "unknown" first means that it decides nothing but supports the others named. ``guess``: it picks
    one of several readings that fit, and so makes nothing firmer.
    """

    roles: tuple[str, ...]
    source: str
    says: str
    weight: float = 1.0
    guess: bool = False


def _supports(vote: Vote, role: str) -> float:
    share = 1.0 if vote.roles[0] == role else _FITS if role in vote.roles else 0.0
    if vote.roles[0] == "chip" and role in CHIPS and role != "chip":
        share = _FITS
    return share * WEIGHTS[vote.source] * vote.weight


def _score(role: str, votes: Iterable[Vote]) -> float:
    best: dict[str, float] = {}
    for vote in votes:
        best[vote.source] = max(best.get(vote.source, 0.0), _supports(vote, role))
    return sum(best.values())


def weigh(votes: Iterable[Vote]) -> Role:
    """The role with the most support; two that are about as strong give "chip" when both are chips,
    else "unknown"."""
    votes = tuple(votes)
    candidates = {v.roles[0] for v in votes} - {"unknown"} or {v.roles[0] for v in votes}
    if not candidates:
        return Role("unknown")
    ranked = sorted(
        ((_score(role, votes), role) for role in candidates), key=lambda x: (-x[0], x[1])
    )
    if len(ranked) > 1 and ranked[0][0] - ranked[1][0] < _MARGIN and not _refines(*ranked[:2]):
        return _undecided(ranked, votes)
    winner = ranked[0][1]
    if winner == "unknown":
        return Role("unknown", _distinct(v for v in votes if v.roles[0] == "unknown")[:1])
    spoken = any(
        v.roles[0] == winner and v.source not in ("shape", "refdes") and not v.guess for v in votes
    )
    denied = any(
        winner not in v.roles and v.roles[0] not in _GENERAL and v.source != "refdes" for v in votes
    )
    evidence = [v for v in votes if _counts(v, winner, spoken)]
    # Where another kind of evidence speaks against it, letters that anyone may choose do not help.
    heard = [v for v in evidence if v.source != "refdes"] if denied else evidence
    return Role(winner, _distinct(heard or evidence))


def _refines(first: tuple[float, str], second: tuple[float, str]) -> bool:
    """Whether the second is only the general reading of the first."""
    return second[1] in _GENERAL and first[1] not in _GENERAL


def _counts(vote: Vote, role: str, spoken: bool) -> bool:
    """Whether a vote is evidence for the role. "U7" says no more of a charger than of any chip, and
    "SW3" nothing of which switch it is unless something else than its place does."""
    if vote.source == "refdes" and vote.roles[0] == "unknown":
        return spoken and role in vote.roles
    if vote.source == "card":
        return vote.roles[0] == role
    return role in vote.roles


def _undecided(ranked: list[tuple[float, str]], votes: tuple[Vote, ...]) -> Role:
    tied = [role for score, role in ranked if ranked[0][0] - score < _MARGIN]
    reasons = [f"{role}: {', '.join(v.says for v in votes if v.roles[0] == role)}" for role in tied]
    source = next(v.source for v in votes if v.roles[0] == tied[0])
    name = "chip" if all(role in CHIPS for role in tied) else "unknown"
    return Role(name, (Evidence(source, f"could be {' or '.join(reasons)}"),))


def _distinct(votes: Iterable[Vote]) -> tuple[Evidence, ...]:
    """The evidence in the order of weight, each kind and phrase once."""
    ordered = sorted(votes, key=lambda v: (-WEIGHTS[v.source], v.source, v.says))
    return tuple(dict.fromkeys(Evidence(v.source, v.says) for v in ordered))
