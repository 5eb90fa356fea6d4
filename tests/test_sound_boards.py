"""Boards of other styles, sound as drawn: no stop on them, and single faults in them are found."""

from __future__ import annotations

from functools import cache

import pytest

from boards import make_board
from counterpoise.catalog.cards import all_cards
from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import Outcome, function_of, judge
from counterpoise.model.verdicts import Severity
from counterpoise.roles.board import Board
from faults import KINDS
from soundboards import SOUND

CAUTIONS = {
    "module with USB-C, charger and regulator": {"single-node-net", "charge-temperature"},
    "unknown radio chip on a coin cell": set(),
    "USB keyboard with a diode matrix": {"usb-surge-guard"},
    "two dry cells straight to the radio": {"reverse-cell-guard"},
    "load sharing by a transistor and a diode": {
        "cell-connector-polarity",
        "charge-temperature",
        "usb-surge-guard",
    },
    "holder cell behind a protector": {"single-node-net", "charge-temperature"},
}
"""Cautions that a careful engineer would raise too: a serial port that leads nowhere, a temperature
guard switched off or absent for a large cell, a socket without a clamp, a lead of either polarity."""

CANNOT_TELL = {"load_capacitors_of_another_value", "cell_turned"}
"""Without the load the crystal was cut for, or the sign of a plain connector's pins, the honest
answer may be that it cannot be judged."""


@cache
def board(name: str) -> Board:
    return make_board(*SOUND[name])


def outcome(of: Board, rules: frozenset[str] | None = None) -> Outcome:
    picked = [r for r in all_rules().values() if rules is None or r.slug in rules]
    return judge(of, [(rule, function_of(rule)) for rule in picked])


@pytest.mark.parametrize("name", sorted(SOUND))
def test_no_stop_and_only_cautions_one_would_raise(name: str) -> None:
    found = outcome(board(name)).findings
    assert [f.message for f in found if f.severity is Severity.STOP] == []
    assert {f.rule for f in found} <= CAUTIONS[name], [f.message for f in found]


@pytest.mark.parametrize("kind", sorted(KINDS))
@pytest.mark.parametrize("name", sorted(SOUND))
def test_fault_is_found_or_cannot_be_told(name: str, kind: str) -> None:
    for fault in KINDS[kind](board(name)):
        known = {f.fingerprint for f in outcome(board(name), fault.rules).findings}
        after = outcome(Board(fault.design, all_cards()), fault.rules)
        blamed = {ref for f in after.findings if f.fingerprint not in known for ref in f.subjects}
        unknown = kind in CANNOT_TELL and any(c.verdict == "unknown" for c in after.coverage)
        assert blamed & fault.blame or unknown, (fault.what, [c.reason for c in after.coverage])
