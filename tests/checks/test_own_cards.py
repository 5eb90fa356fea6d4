"""Rules that read a card, with cards as a user writes them beside board.toml."""

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
    "pins": {
        "supply": "VDD",
        "ground": "GND",
        "oscillator-in": "XA",
        "oscillator-out": "XB",
        "reset": "NRST",
        "set": "RB",
    },
    "sources": ["our own sheet, 3"],
}
XTAL = "Y1 16MHz Crystal_3225 : {} {} @symbol=Crystal\n"
PINS = (
    "U1 ZQ900 QFN-16 : 1/VDD=V 2/GND=GND 3/XA=XA 4/XB=XB 5/NRST=RST 6/RB=RB 7/IO1=IO1 8/IO2=IO2\n"
)


def told(slug: str, circuit: str, **change: object) -> list[Verdict]:
    design = make_board(circuit).design
    rule = all_rules()[slug]
    board = Board(design, read_cards("own.toml", {"ZQ900": {**CHIP, **change}}))
    return list(function_of(rule)(board, rule))


def need(kind: str, start: str, end: str, value: str = "", **more: object) -> dict[str, object]:
    made = {"kind": kind, "from": start, "to": end, "severity": "stop"}
    return {**made, **({"value": value} if value else {}), **more}


def test_a_crystal_on_the_oscillators_pins() -> None:
    (verdict,) = told("crystal-pads", PINS + XTAL.format("XA", "XB"))
    assert isinstance(verdict, Pass)


@pytest.mark.parametrize("ends", [("XA", "IO1"), ("IO2", "XB"), ("IO1", "IO2")])
def test_an_end_on_another_pin_of_that_chip(ends: tuple[str, str]) -> None:
    (verdict,) = told("crystal-pads", PINS + XTAL.format(*ends))
    assert isinstance(verdict, Fail)
    assert verdict.case == "wrong-pin"
    assert verdict.subjects == ("Y1", "U1")
    assert "XA" in verdict.words["wanted"]


def test_a_card_from_memory_blames_no_pin() -> None:
    (verdict,) = told("crystal-pads", PINS + XTAL.format("XA", "IO1"), memory=True)
    assert not isinstance(verdict, Fail)


PULL = need("resistor", "reset", "supply", "5 kohm to 20 kohm")
BIAS = need("resistor", "set", "ground", "1 kohm")
CLAMP = need("diode", "reset", "supply")


@pytest.mark.parametrize(
    ("needs", "parts", "case"),
    [
        ([PULL], "R1 10k R_0402 : RST V", ""),
        ([PULL], "R1 5k R_0402 : RST V", ""),
        ([PULL], "R1 20k R_0402 : RST V", ""),
        ([PULL], "R1 22k R_0402 : RST V", ""),  # within a tenth over the most
        ([PULL], "R1 100k R_0402 : RST V", "high"),
        ([PULL], "R1 1k R_0402 : RST V", "low"),
        ([PULL], "R1 10k R_0402 : RST GND", "absent"),
        ([PULL], "", "absent"),
        ([PULL], "R1 40k R_0402 : RST V\nR2 40k R_0402 : RST V", ""),  # 20 k together
        ([BIAS], "R1 1k R_0402 : RB GND", ""),
        ([BIAS], "R1 10k R_0402 : RB GND", "high"),
        ([BIAS], "R1 1k R_0402 : RB V", "absent"),
        ([CLAMP], "D1 1N4148 SOD-123 : 1/K=V 2/A=RST", ""),
        ([CLAMP], "", "absent"),
    ],
)
def test_what_a_card_asks_for(needs: list[dict[str, object]], parts: str, case: str) -> None:
    (verdict,) = told("card-needs", f"{PINS}{parts}\n", needs=needs)
    if not case:
        assert isinstance(verdict, Pass)
        return
    assert isinstance(verdict, Fail)
    assert verdict.case == case
    assert verdict.firm
    assert verdict.severity is (Severity.CAUTION if case == "high" else Severity.STOP)


def test_the_figure_and_its_bounds_are_shown() -> None:
    (verdict,) = told("card-needs", PINS + "R1 100k R_0402 : RST V\n", needs=[PULL])
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    assert (verdict.measured.value, verdict.measured.unit) == (100e3, "Ω")
    assert verdict.limit is not None
    assert (verdict.limit.min, verdict.limit.max) == (5e3, 20e3)
    assert verdict.words["wanted"] == "5 to 20 kΩ"


def test_an_unread_resistor_may_be_the_one() -> None:
    (verdict,) = told("card-needs", PINS + "R1 - R_0402 : RST V\n", needs=[PULL])
    assert isinstance(verdict, Unknown)
    assert "R1" in verdict.needs[0].what


def test_a_need_from_memory_is_not_firm() -> None:
    (verdict,) = told("card-needs", PINS, needs=[{**PULL, "memory": True}])
    assert isinstance(verdict, Fail)
    assert not verdict.firm
    assert verdict.doubt


def test_a_pin_left_open_by_a_mark_asks_for_nothing() -> None:
    text = PINS.replace("5/NRST=RST", "5/NRST/nc=RST")
    assert told("card-needs", text, needs=[PULL]) == []


def test_capacitors_side_by_side_add() -> None:
    bypass = need("capacitor", "supply", "ground", "1 uF to 10 uF")
    one, two = "C1 470n C_0402 : V GND\n", "C2 470n C_0402 : V GND\n"
    (alone,) = told("card-needs", PINS + one, needs=[bypass])
    (both,) = told("card-needs", PINS + one + two, needs=[bypass])
    assert isinstance(alone, Fail)
    assert alone.case == "low"
    assert isinstance(both, Pass)
