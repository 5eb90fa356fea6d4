"""Single faults of every kind on many boards: found by the rule that promises it, with the right subject.

Quick runs take the first and the last fault of each kind on each board; slow runs take all of them.
What no rule promises is not seeded here: a load capacitor of another value where nothing states the
load that the crystal was cut for, one of several capacitors on one rail left out without a layout, a
chip's inputs exchanged with each other, half a turn of a resistor.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from boards import make_board
from commands import DEMO
from counterpoise.catalog.cards import all_cards
from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import Outcome, function_of, judge
from counterpoise.model.verdicts import Severity
from counterpoise.readers.load import load
from counterpoise.roles.board import Board
from faults import KINDS, Fault, Kind
from faults_layout import LAYOUT
from faults_supply import SUPPLY
from faults_wiring import MORE
from soundboards import SOUND
from test_sound_variety import FILES, sound

FURTHER: dict[str, Kind] = {**MORE, **SUPPLY}
WIRING: dict[str, Kind] = {**KINDS, **FURTHER}
DEMOS = ("rev-b", "donor")

CANNOT_TELL = {
    "load_capacitors_of_another_value": "no load stated for the crystal",
    "cell_turned": "a plain connector does not say which of its pins is positive",
    "cell_lead_open": "likewise",
    "set_resistor_scaled": "an unknown charger's constant is not known",
    "set_resistor_ten_times_less": "likewise",
    "radio_part_without_supply": "the sheet may want one of several inner nodes open",
    "charger_left_out": "a header on the net of the cell may carry one",
}
"""Kinds of which the honest answer may be that it cannot be judged; then a fact must be asked for."""

STOPS = frozenset(
    {
        "cell_turned",
        "charger_left_out",
        "dry_cell_on_a_charger",
        "set_resistor_left_out",
        "set_pin_grounded",
        "supply_pin_open",
        "output_on_ground",
        "cc_resistor_left_out",
        "cc_shared",
        "crystal_quarter_turn",
        "antenna_cut_off",
        "switch_shorted",
        "switch_without_return",
        "throw_changed",
        "knob_without_common",
        "knob_phases_joined",
        "light_turned",
        "ref_twice",
        "bom_line_left_out",
        "bom_line_twice",
        "bom_value_changed",
        "bom_quantity_changed",
        "rail_on_ground",
        "cell_lead_open",
        "ground_pin_open",
        "cc_pulled_up",
        "cc_resistor_on_the_other_contact",
        "load_capacitors_doubled",
        "feed_part_left_out",
        "feed_on_a_rail",
        "throw_of_one_sibling",
        "key_line_open",
        "knob_common_on_a_phase",
        "light_swapped",
        "bom_size_changed",
        "bom_ref_in_two_lines",
        "bom_ref_forgotten",
        "bom_unfitted_in_one",
        "value_ten_times",
        "switch_turned",
        "switch_drawn_from_below",
        "plane_under_the_antenna",
        "edge_with_a_gap",
        "edge_stroke_left_out",
        "edge_scaled",
        "hole_under_a_pad",
        "pad_on_another_net",
        "part_left_out_of_the_layout",
    }
)
"""Kinds that stop the demo's boards, where cards and manifest make the evidence firm."""


@cache
def board(name: str) -> Board:
    if name in DEMOS:
        return Board(load(DEMO / name), all_cards())
    if name in SOUND:
        return make_board(*SOUND[name])
    told = sound(next(path for path in FILES if path.stem == name))
    return make_board(told["circuit"], told["manifest"])


def outcome(of: Board, rules: frozenset[str]) -> Outcome:
    picked = [all_rules()[slug] for slug in sorted(rules)]
    return judge(of, [(rule, function_of(rule)) for rule in picked])


@cache
def before(name: str, rules: frozenset[str]) -> frozenset[str]:
    return frozenset(f.fingerprint for f in outcome(board(name), rules).findings)


def is_found(name: str, kind: str, fault: Fault) -> None:
    known = before(name, fault.rules)
    after = outcome(Board(fault.design, all_cards()), fault.rules)
    new = [f for f in after.findings if f.fingerprint not in known]
    hit = [f for f in new if not fault.blame or set(f.subjects) & fault.blame]
    asked = kind in CANNOT_TELL and any(c.needs for c in after.coverage)
    assert hit or asked, (kind, fault.what, [f.message for f in new], after.coverage)
    if name in DEMOS and kind in STOPS:
        assert any(f.severity is Severity.STOP for f in hit), [f.message for f in hit]


def all_are_found(
    name: str, kinds: dict[str, Kind], pick: Callable[[list[Fault]], list[Fault]]
) -> None:
    seeded = 0
    for kind, make in kinds.items():
        for fault in pick(list(make(board(name)))):
            seeded += 1
            is_found(name, kind, fault)
    assert seeded, "a board that takes no fault tests nothing"


def few(faults: list[Fault]) -> list[Fault]:
    return faults[:1] + faults[1:][-1:]


@pytest.mark.parametrize("name", [path.stem for path in FILES])
def test_faults_on_boards_of_many_styles(name: str) -> None:
    all_are_found(name, WIRING, few)


@pytest.mark.parametrize("name", [*DEMOS, *sorted(SOUND)])
def test_more_faults_of_wiring_and_paper(name: str) -> None:
    all_are_found(name, FURTHER, few)


@pytest.mark.parametrize("name", DEMOS)
def test_faults_of_the_layout(name: str) -> None:
    all_are_found(name, LAYOUT, few)


@pytest.mark.slow
@pytest.mark.parametrize("name", [*DEMOS, *sorted(SOUND), *(path.stem for path in FILES)])
def test_every_fault_everywhere(name: str) -> None:
    layout = LAYOUT if name in DEMOS else {}
    all_are_found(name, {**WIRING, **layout}, lambda faults: faults)


def test_every_kind_fits_some_board() -> None:
    names = [*DEMOS, *SOUND, *(path.stem for path in FILES)]
    kinds = {**WIRING, **LAYOUT}
    idle = [kind for kind, make in kinds.items() if not any(any(make(board(n))) for n in names)]
    assert idle == []


@pytest.mark.parametrize("name", [*DEMOS, *(path.stem for path in FILES)])
def test_nothing_stays_behind_when_a_fault_is_undone(name: str) -> None:
    """A board seen after others were judged says what it said before them."""
    rules = frozenset(slug for slug, rule in all_rules().items() if "layout" not in rule.needs)
    first = before(name, rules)
    for make in list(WIRING.values())[::7]:
        for fault in few(list(make(board(name)))):
            outcome(Board(fault.design, all_cards()), fault.rules)
    again = outcome(Board(board(name).design, all_cards()), rules)
    assert frozenset(f.fingerprint for f in again.findings) == first
