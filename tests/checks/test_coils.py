"""Coils against cards as a user writes them, and pins that the drawing marks as open."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from boards import make_board
from counterpoise.catalog.cards import read_cards
from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import function_of
from counterpoise.model.circuit import PinKind
from counterpoise.model.verdicts import Fail, Unknown, Verdict
from counterpoise.roles.board import Board

PINS = "U1 ZQ700 SOT-23-5 : 1/VIN=VBAT 2/GND=GND 3/EN=VBAT 4/VOUT=V5 5/LX={}\n"
CAPACITOR = {"kind": "capacitor", "from": "output", "to": "ground", "value": "at least 10 uF"}
COIL = {"kind": "inductor", "from": "supply", "to": "switch-node"}


def told(circuit: str, *needs: dict[str, str]) -> Verdict:
    card: dict[str, Any] = {
        "title": "a step-up converter of ours",
        "role": "boost",
        "matches": ["ZQ700"],
        "pins": {
            "supply": "VIN",
            "ground": "GND",
            "enable": "EN",
            "output": "VOUT",
            "switch-node": "LX",
        },
        "sources": ["our own sheet, 5"],
        "needs": [{"severity": "stop", "why": "the sheet asks for it", **n} for n in needs],
    }
    board = Board(make_board(circuit).design, read_cards("own.toml", {"ZQ700": card}))
    (verdict,) = function_of(rule := all_rules()["converter-inductor"])(board, rule)
    return verdict


def test_a_sheet_that_asks_for_so_much_or_more() -> None:
    circuit = PINS.format("LX") + "L1 3.3u L_0603 : VBAT LX"
    verdict = told(circuit, CAPACITOR, {**COIL, "value": "at least 4.7 uH"})
    assert isinstance(verdict, Fail)
    assert verdict.words["wanted"] == "4.7 µH or more"
    assert verdict.limit is not None
    assert verdict.limit.min == pytest.approx(4.7)
    assert verdict.limit.max is None


def test_the_figure_carries_no_noise_of_its_conversion() -> None:
    # 0.00000123456 H are 1.23456 µH, told to a tenth of a nanohenry.
    circuit = PINS.format("LX") + "L1 1.23456u L_0603 : VBAT LX"
    verdict = told(circuit, {**COIL, "value": "4.7 uH to 10 uH"})
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    assert verdict.measured.value == 1.2346


def test_a_sheet_that_asks_for_a_coil_and_none_is_there() -> None:
    verdict = told(PINS.format("LX"), CAPACITOR, {**COIL, "value": "4.7 uH"})
    assert isinstance(verdict, Fail)
    assert verdict.firm


def test_a_sheet_that_asks_for_other_parts_alone_may_mean_a_coil_inside() -> None:
    assert isinstance(told(PINS.format("LX"), CAPACITOR), Unknown)


@pytest.mark.parametrize("by_kind", [True, False])
def test_a_pin_that_its_kind_or_a_cross_marks_as_open(by_kind: bool) -> None:
    board = make_board(
        "U2 ZQ88 SOT-23-5 : 1/VIN/pwr=VBAT 2/GND/pwr=GND 3/EN/in=VBAT 4/VOUT/src=V5 5/LX/out=~"
    )
    (part,) = board.circuit.parts
    *others, last = part.pins
    last = replace(last, kind=PinKind.NO_CONNECT) if by_kind else replace(last, marked_open=True)
    made = replace(board.circuit, parts=(replace(part, pins=(*others, last)),))
    marked = Board(replace(board.design, circuit=made, netlist=made))
    (verdict,) = function_of(rule := all_rules()["converter-inductor"])(marked, rule)
    assert isinstance(verdict, Unknown)
