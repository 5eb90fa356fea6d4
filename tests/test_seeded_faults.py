"""Every single fault of a kind that a rule promises is found, and is gone when it is undone."""

from __future__ import annotations

from functools import cache

import pytest

from commands import DEMO
from counterpoise.catalog.cards import all_cards
from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import function_of, judge
from counterpoise.model.verdicts import Finding
from counterpoise.readers.load import load
from counterpoise.roles.board import Board
from faults import KINDS, Fault

SOUND = ("rev-b", "donor")


@cache
def sound(name: str) -> Board:
    return Board(load(DEMO / name), all_cards())


def findings(board: Board, rules: frozenset[str]) -> list[Finding]:
    picked = [(all_rules()[slug], function_of(all_rules()[slug])) for slug in sorted(rules)]
    return list(judge(board, picked).findings)


def seeded(name: str, kind: str) -> list[Fault]:
    return list(KINDS[kind](sound(name)))


@pytest.mark.parametrize("name", SOUND)
@pytest.mark.parametrize("kind", sorted(KINDS))
def test_fault_is_found_and_nothing_else_was(name: str, kind: str) -> None:
    faults = seeded(name, kind)
    if not faults:
        pytest.skip(f"{name} has nothing that this fault could be put into")
    for fault in faults:
        before = findings(sound(name), fault.rules)
        after = findings(Board(fault.design, all_cards()), fault.rules)
        known = {f.fingerprint for f in before}
        new = [f for f in after if f.fingerprint not in known]
        blamed = {ref for f in new for ref in f.subjects}
        assert blamed & fault.blame, (fault.kind, fault.what, [f.message for f in after])


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_each_kind_fits_some_sound_board(kind: str) -> None:
    assert any(seeded(name, kind) for name in SOUND), "a fault that is never seeded tests nothing"
