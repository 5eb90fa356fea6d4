"""What a card asks for, held against what is there: at the edges of its range."""

from __future__ import annotations

from typing import Any

import pytest

from boards import make_board
from counterpoise.catalog.cards import read_cards
from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import function_of
from counterpoise.model.verdicts import Fail, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board

CHIP: dict[str, Any] = {
    "title": "a radio chip of ours",
    "role": "radio",
    "matches": ["ZQ900"],
    "pins": {"supply": "VDD", "ground": "GND", "reset": "NRST", "set": "RB", "feedback": "FB"},
    "sources": ["our own sheet, 3"],
}
PINS = "U1 ZQ900 QFN-16 : 1/VDD=V 2/GND=GND 5/NRST=RST 6/RB=RB 7/IO1=IO1\n"


def told(
    parts: str, *needs: dict[str, object], chip: dict[str, Any] | None = None, facts: str = ""
) -> Verdict:
    """The one verdict on a chip of ours whose card has these needs."""
    (verdict,) = all_told(PINS + parts, *needs, chip=chip, facts=facts)
    return verdict


def all_told(
    circuit: str, *needs: dict[str, object], chip: dict[str, Any] | None = None, facts: str = ""
) -> list[Verdict]:
    rule = all_rules()["card-needs"]
    cards = read_cards("own.toml", {"ZQ900": {**(chip or CHIP), "needs": list(needs)}})
    return list(function_of(rule)(Board(make_board(circuit, facts).design, cards), rule))


def need(kind: str, start: str, end: str, value: str = "") -> dict[str, object]:
    made: dict[str, object] = {"kind": kind, "from": start, "to": end, "severity": "stop"}
    return {**made, **({"value": value} if value else {})}


BYPASS = need("capacitor", "supply", "ground", "1 uF to 10 uF")
PULL = need("resistor", "reset", "supply", "5 kohm to 20 kohm")


@pytest.mark.parametrize(
    ("value", "case"),
    [("900n", ""), ("890n", "low"), ("200u", ""), ("201u", "high"), ("10u", ""), ("1u", "")],
)
def test_capacitance_from_a_tenth_under_to_twenty_times_over(value: str, case: str) -> None:
    verdict = told(f"C1 {value} C_0402 : V GND\n", BYPASS)
    if not case:
        assert isinstance(verdict, Pass)
        return
    assert isinstance(verdict, Fail)
    assert verdict.case == case
    assert verdict.severity is (Severity.CAUTION if case == "high" else Severity.STOP)


@pytest.mark.parametrize(
    ("ohms", "case"), [("4.5k", ""), ("4.4k", "low"), ("22k", ""), ("22.1k", "high")]
)
def test_resistance_within_a_tenth_on_either_side(ohms: str, case: str) -> None:
    verdict = told(f"R1 {ohms} R_0402 : RST V\n", PULL)
    assert (verdict.case if isinstance(verdict, Fail) else "") == case


def test_figure_and_bounds_of_capacitors_are_in_microfarads() -> None:
    verdict = told("C1 470n C_0402 : V GND\n", BYPASS)
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    assert verdict.limit is not None
    assert (verdict.measured.value, verdict.measured.unit) == (0.47, "µF")
    assert (verdict.limit.min, verdict.limit.max, verdict.limit.unit) == (1.0, 10.0, "µF")


def test_figures_are_rounded_to_six_places() -> None:
    verdict = told("R1 3R - : RST V\nR2 7.5R - : RST V\n", PULL)
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    assert verdict.measured.value == 2.142857  # 3 * 7.5 / 10.5


def test_a_range_from_nothing_has_no_lower_bound_to_show() -> None:
    verdict = told("R1 10k - : RST V\n", need("resistor", "reset", "supply", "0 ohm to 1 kohm"))
    assert isinstance(verdict, Fail)
    assert verdict.limit is not None
    assert (verdict.limit.min, verdict.limit.max) == (None, 1e3)


def test_a_resistor_of_no_ohms_is_too_little() -> None:
    verdict = told("R1 0R - : RST V\n", PULL, facts='[parts.R1]\nrole = "resistor"')
    assert isinstance(verdict, Fail)
    assert verdict.case == "low"
    assert verdict.words["found"] == "0 Ω"


def test_a_resistor_of_any_value_where_the_card_names_none() -> None:
    assert isinstance(told("R1 3.3M - : RST V\n", need("resistor", "reset", "supply")), Pass)


def test_an_unread_resistor_leaves_the_sum_open_even_where_nothing_is_the_least() -> None:
    low = need("resistor", "reset", "supply", "0 ohm to 1 kohm")
    verdict = told("R1 - R_0402 : RST V\n", low)
    assert isinstance(verdict, Unknown)
    beside = told("R1 10k R_0402 : RST V\nR2 - R_0402 : RST V\n", PULL)
    assert isinstance(beside, Unknown)
    assert [one.what for one in beside.needs] == ["the value of R2"]


@pytest.mark.parametrize(
    ("read", "answer"), [("100n", Unknown), ("1u", Pass), ("10u", Pass), ("220u", Fail)]
)
def test_an_unread_capacitor_matters_only_where_more_would(
    read: str, answer: type[Verdict]
) -> None:
    verdict = told(f"C1 {read} C_0402 : V GND\nC2 - C_0402 : V GND\n", BYPASS)
    assert isinstance(verdict, answer)


def test_two_parts_on_supplies_of_their_own_are_each_judged() -> None:
    two = PINS + "U2 ZQ900 QFN-16 : 1/VDD=V2 2/GND=GND 5/NRST=RST2\nC1 1u - : V2 GND\n"
    verdicts = all_told(two, BYPASS)
    assert [type(v) for v in verdicts] == [Fail, Pass]


BOOST: dict[str, Any] = {
    **CHIP,
    "role": "boost",
    "pins": {"supply": "VDD", "ground": "GND", "switch-node": "NRST", "feedback": "FB"},
}
OUTPUT = need("capacitor", "output", "ground", "1 uF to 10 uF")


def test_the_output_of_a_converter_without_such_a_pin_is_behind_its_diode() -> None:
    stage = "L1 4.7u - : V RST\nD1 BAT54 - : 1/K=OUT 2/A=RST\n"
    verdict = told(stage, OUTPUT, chip=BOOST)
    assert isinstance(verdict, Fail)
    assert (verdict.case, verdict.nets) == ("absent", ("OUT",))
    assert isinstance(told(f"{stage}C1 1u - : OUT GND\n", OUTPUT, chip=BOOST), Pass)


def test_a_pin_that_the_part_lacks_asks_for_nothing() -> None:
    stage = "L1 4.7u - : V RST\nD1 BAT54 - : 1/K=OUT 2/A=RST\n"
    assert all_told(PINS + stage, need("resistor", "feedback", "ground"), chip=BOOST) == []
    assert all_told(PINS, need("capacitor", "reset", "feedback")) == []


def test_a_sense_resistor_under_an_ohm() -> None:
    sense = need("resistor", "set", "ground", "400 mohm to 600 mohm")
    assert isinstance(told("R1 0.5R R_1206 : RB GND\n", sense), Pass)
    assert isinstance(told("R1 0.25R R_1206 : RB GND\n", sense), Fail)
