"""Charge currents and set resistors: the edges, the figures, and what is advised."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Finding, Pass, Verdict
from rules import outcome, verdicts

CHARGER = "U1 X99 SOT-23-5 : 1/CHRG=N 2/GND=GND 3/BAT=VBAT 4/VCC=VBUS 5/PROG=PROG\n"
CELL = 'BT1 "LiPo 100mAh" - : 1/+=VBAT 2/-=GND\n'
OWN = '[parts.U1]\nrole = "charger"\n'


def set_with(ohms: str) -> Verdict:
    facts = f'{OWN}set_constant = "1000 V"\nset_resistance = "2 kohm to 20 kohm"\n'
    (verdict,) = verdicts(
        "charge-set-resistor", make_board(f"{CHARGER}{CELL}R1 {ohms} - : PROG GND", facts)
    )
    return verdict


@pytest.mark.parametrize(
    ("ohms", "sound"), [("1960R", True), ("1959R", False), ("20.4k", True), ("20401R", False)]
)
def test_a_fiftieth_over_and_under_the_sheets_range_is_let_pass(ohms: str, sound: bool) -> None:
    assert isinstance(set_with(ohms), Pass) is sound


def test_the_resistance_is_told_to_the_milliohm() -> None:
    facts = f'{OWN}set_constant = "1000 V"\nset_resistance = "2 kohm to 20 kohm"\n'
    both = f"{CHARGER}{CELL}R1 30R - : PROG GND\nR2 75R - : PROG GND"
    (verdict,) = verdicts("charge-set-resistor", make_board(both, facts))
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    assert verdict.measured.value == 21.429  # 30 * 75 / 105


def only_finding(slug: str, circuit: str, facts: str) -> Finding:
    (finding,) = outcome(slug, make_board(circuit, facts)).findings
    return finding


def test_current_and_limit_are_told_to_the_microampere() -> None:
    finding = only_finding(
        "charge-rate",
        CHARGER + CELL,
        f'[cell]\ncharge_limit = "50.0006 mA"\n{OWN}charge_current = "100.0006 mA"\n',
    )
    assert finding.measured is not None
    assert finding.limit is not None
    assert (finding.measured.value, finding.limit.max) == (100.001, 50.001)


@pytest.mark.parametrize(
    ("limit", "aim"), [("", "50 mA"), ('charge_limit = "80 mA"', "80 mA")]
)  # half of the capacity where the cell's own limit is not stated
def test_what_to_lower_a_stated_current_to(limit: str, aim: str) -> None:
    facts = f'[cell]\n{limit}\n{OWN}charge_current = "300 mA"\n'
    finding = only_finding("charge-rate", CHARGER + CELL, facts)
    assert f"lower the charge current to {aim} or less" in finding.remedy


@pytest.mark.parametrize(
    ("limit", "ohms"), [("", "20 kΩ"), ('charge_limit = "80 mA"', "13 kΩ")]
)  # 1000 V over 50 mA; over 80 mA it is 12.5 kΩ, of which 13 kΩ is the next in E24
def test_which_resistor_to_fit_instead(limit: str, ohms: str) -> None:
    circuit = f"{CHARGER}{CELL}R1 2k - : PROG GND"
    facts = f'[cell]\n{limit}\n{OWN}set_constant = "1000 V"\n'
    assert f"fit about {ohms} at" in only_finding("charge-rate", circuit, facts).remedy


def test_which_resistor_to_fit_where_there_is_none() -> None:
    facts = f'{OWN}set_constant = "1000 V"\n'
    finding = only_finding("charge-set-resistor", CHARGER + CELL, facts)
    assert "20 kΩ" in finding.remedy  # 1000 V over half of 100 mAh in an hour


@pytest.mark.parametrize(
    ("cell", "constant"),
    [("LiPo", 'set_constant = "1000 V"'), ('"LiPo 100mAh"', "")],
)
def test_without_capacity_or_constant_the_sheet_is_named(cell: str, constant: str) -> None:
    circuit = f"{CHARGER}BT1 {cell} - : 1/+=VBAT 2/-=GND\n"
    finding = only_finding("charge-set-resistor", circuit, f"{OWN}{constant}\n")
    assert "data sheet gives for the wanted current" in finding.remedy
