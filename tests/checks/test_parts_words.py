"""What many rules ask of a part: what a stop may rest on, what is a supply, what plugs in."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from boards import make_board, part
from counterpoise.catalog.cards import read_cards
from counterpoise.checks._parts import (
    distinct,
    fact_firm,
    pin_firm,
    pins_firm,
    plugs_in,
    supply,
)
from counterpoise.roles.board import Board
from counterpoise.roles.facts import manifest_line


@pytest.mark.parametrize("ref", ["R1", "R-1", "R_1", "R 1", "R.1", 'R"1', "R\\1", "Ω1"])
def test_the_manifest_line_of_any_ref_is_toml(ref: str) -> None:
    line = manifest_line(ref, 'load = "9 pF"')
    head, _, fact = line.removeprefix("board.toml: ").partition("] ")
    assert tomllib.loads(f"{head}]\n{fact}") == {"parts": {ref: {"load": "9 pF"}}}


def test_each_ref_once_in_order() -> None:
    first, second = part("R1 1k - : A B"), part("R2 1k - : A B")
    assert distinct([second, first, second]) == (second, first)


# -- what a stop may rest on ----------------------------------------------------------------------
CARD: dict[str, Any] = {
    "title": "a chip of ours",
    "role": "controller",
    "matches": ["ZQ900"],
    "pins": {"reset": ["NRST", "~RES"], "set": "RB"},
    "packages": {
        "SOT": {"matches": "SOT-23", "pins": {"1": "supply", "2": "ground", "3": "sense"}},
        "QFN": {"matches": "QFN", "memory": True, "pins": {"1": "ground", "2": "supply"}},
    },
    "facts": {"internal_load": True, "input_pulls": {"value": "internal", "memory": True}},
    "sources": ["our own sheet, 3"],
}


def chip(line: str, facts: str = "", **change: object) -> Board:
    return Board(make_board(line, facts).design, read_cards("own", {"A": {**CARD, **change}}))


def firm(board: Board, number: str) -> bool:
    (pin,) = [pin for pin in board.circuit.parts[0].pins if pin.number == number]
    return pin_firm(board, pin)


PLAIN = "U1 ZQ900 {} : 1=A 2=B"


def test_a_pin_by_a_table_of_its_package() -> None:
    assert firm(chip(PLAIN.format("SOT-23")), "1")
    assert not firm(chip(PLAIN.format("QFN-16")), "1"), "that table is from memory"


def test_a_pin_by_its_name_on_the_card_is_firm_though_the_table_is_not() -> None:
    named = chip("U1 ZQ900 QFN-16 : 1/nrst=A 2/IO=B")
    assert firm(named, "1")
    assert not firm(named, "2")
    all_from_memory = chip("U1 ZQ900 QFN-16 : 1/~RES=A 2/IO=B", memory=True)
    assert firm(all_from_memory, "1"), "its name says it, whoever recalled the card"


def test_a_pin_of_an_unknown_chip_is_firm_by_its_name_or_as_stated() -> None:
    board = make_board("U1 RX900 QFN-16 : 1/VDD/pwr=A 2/GND/pwr=B 3=C")
    assert firm(board, "1")
    assert not firm(board, "3")
    assert pins_firm(board, board.circuit.parts[0].pins[:2])
    assert not pins_firm(board, board.circuit.parts[0].pins)


@pytest.mark.parametrize(
    ("line", "stated", "key", "expected"),
    [
        ("U1 ZQ900 - : A", "", "internal_load", True),
        ("U1 ZQ900 - : A", "", "input_pulls", False),  # from memory
        ("U1 ZQ900 - : A", 'input_pulls = "none"', "input_pulls", True),
        ("U1 ZQ900 - : A", "internal_load = true", "input_pulls", False),
        ("U1 ZQ900 - : A", "", "crystal_inside", False),
        ("U1 OTHER - : A", "", "internal_load", False),
        ("U1 OTHER - : A", "internal_load = true", "internal_load", True),
    ],
)
def test_a_fact_is_firm_as_stated_or_on_a_card_that_was_read(
    line: str, stated: str, key: str, expected: bool
) -> None:
    board = chip(line, f"[parts.U1]\n{stated}\n" if stated else "")
    assert fact_firm(board, board.circuit.parts[0], key) is expected


# -- what is a supply -----------------------------------------------------------------------------
REGULATOR = (
    "U3 - SOT-23-5 : 1/VIN/pwr=VIN 2/GND=GND 3/VOUT/src=V3\n"
    "U1 - QFN-16 : 1/VDD/pwr=V3 2/GND=GND 3/IO=IO\n"
)
MAKES = '[parts.U3]\nrole = "regulator"\noutput = "{}"\n[parts.U1]\nrole = "controller"\n'


def is_supply(net: str | None, text: str = "", volts: str = "3.3 V") -> bool:
    return supply(make_board(REGULATOR + text, MAKES.format(volts)), net) is not None


@pytest.mark.parametrize(
    ("volts", "expected"), [("3.3 V", True), ("0.6 V", True), ("0.5 V", True), ("0.49 V", False)]
)
def test_a_supply_has_half_a_volt_at_least(volts: str, expected: bool) -> None:
    assert is_supply("V3", volts=volts) is expected


def test_ground_no_net_and_a_signal_are_none() -> None:
    assert not is_supply("GND")
    assert not is_supply(None)
    assert not is_supply("IO")


FILTER = "R1 {} - : V3 VA\nC1 1u - : VA GND\n"
TAKES = "U2 - - : 1/VDDA/pwr=VA 2/GND=GND\n"
MORE = "C2 1u - : VA GND\nC3 1u - : VA GND\nC4 1u - : VA GND\n"


@pytest.mark.parametrize("more", ["", MORE])
@pytest.mark.parametrize("pin", ["VDDA/pwr", "VDDA", "X/pwr"])
def test_a_filtered_supply_is_one_and_so_is_its_source(more: str, pin: str) -> None:
    """10 Ω and a capacitor before an analogue supply pin (common practice, no source)."""
    text = FILTER.format("10R") + TAKES.replace("VDDA/pwr", pin) + more
    assert is_supply("VA", text)
    assert is_supply("V3", text)


@pytest.mark.parametrize(
    "text",
    [
        FILTER.format("10R"),
        FILTER.format("10R") + MORE,
        "R1 10R - : V3 M\nR2 10R - : M VA\nC1 1u - : VA GND\n",
        "R1 10R - : V3 M\nR2 10R - : M N\nR3 10R - : N VA\nC1 1u - : VA GND\n",
        FILTER.format("10k"),
        "R0 10k - : VA GND\n" + FILTER.format("10R"),
        "R0 10k - : VA IO\n" + FILTER.format("10R"),
    ],
    ids=["one", "many capacitors", "two", "three", "large", "and to ground", "and to a signal"],
)
def test_behind_a_resistor_where_nothing_takes_its_supply_is_none(text: str) -> None:
    assert not is_supply("VA", text)
    assert is_supply("V3", text)


NAMED = "J1 - - : 1=+5V 2=GND\nR1 10R - : +5V X\nC1 1u - : X GND\n"
"""A supply that only its name tells: no pin on it says what it is for."""


def test_a_supply_by_its_name_alone_is_the_net_with_more_on_it() -> None:
    board = make_board(NAMED + "C2 1u - : +5V GND\n")
    assert supply(board, "+5V") is not None
    assert supply(board, "X") is None
    alike = make_board(NAMED)
    assert supply(alike, "+5V") is not None
    bled = make_board(NAMED + "R0 10k - : +5V GND\nC2 1u - : X GND\n")
    assert supply(bled, "+5V") is not None, "ground is no source"


# -- what plugs in --------------------------------------------------------------------------------
def with_pins(count: int, *names: str) -> str:
    pins = [*names, *(f"D{k}" for k in range(count - len(names)))]
    return "U1 - - : " + " ".join(f"{k}/{name}=~" for k, name in enumerate(pins, 1))


@pytest.mark.parametrize(
    ("count", "names", "expected"),
    [
        (12, ("RAW", "GND"), True),
        (12, ("raw", "GND"), True),
        (11, ("RAW", "GND"), False),
        (12, ("5V", "3V3"), True),
        (12, ("VSYS", "3V3(OUT)"), True),
        (12, ("5V", "GND"), False),
        (12, ("3V3", "GND"), False),
        (12, ("VDD", "GND"), False),
    ],
)
def test_a_controller_board_on_headers_names_its_supplies(
    count: int, names: tuple[str, ...], expected: bool
) -> None:
    assert plugs_in(part(with_pins(count, *names))) is expected
