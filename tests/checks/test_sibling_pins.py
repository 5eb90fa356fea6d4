"""Ground and supply pins of one chip that are wired otherwise than their siblings, at the edges."""

from __future__ import annotations

from typing import Any

import pytest

from boards import make_board
from counterpoise.catalog.cards import read_cards
from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import function_of
from counterpoise.model.verdicts import Fail
from counterpoise.roles.board import Board
from rules import verdicts

CELL = 'BT1 "LiPo 100mAh" - : 1/+=VBAT 2/-=GND\n'
OUTSIDE = "J9 Conn_01x03 PinHeader_1x03 : 1=VX 2=GND 3=SIG\n"
STATED = '[cell]\nchemistry = "li-po"\nend_voltage = "3 V"\ncharge_voltage = "4.2 V"\n'


def fails(circuit: str, facts: str = STATED) -> list[Fail]:
    found = verdicts("supply-pin-open", make_board(circuit, facts))
    return [verdict for verdict in found if isinstance(verdict, Fail)]


def cases(circuit: str, facts: str = STATED) -> list[str]:
    return [verdict.case for verdict in fails(circuit, facts)]


# -- a ground pin on a supply --------------------------------------------------------------------
APART = "U5 QX11 QFN-16 : 1/GND=GND 2/PA0/io=A 3/VDD=VBAT 9/GND={}\n"


def test_behind_the_cells_fuse_is_a_supply_too() -> None:
    fuse = "F1 500mA Fuse_0603 : VBAT VF\nR1 10k - : VF A\n"
    assert cases(CELL + fuse + APART.format("VF")) == ["raised"]


@pytest.mark.parametrize(
    ("least", "raised"), [("0.6 V", True), ("0.5 V", True), ("0.4 V", False), ("0 V", False)]
)
def test_what_may_fall_under_half_a_volt_is_no_supply(least: str, raised: bool) -> None:
    facts = f'{STATED}[parts.J9]\nrole = "connector"\noutput = "{least} to 5 V"\n'
    other = "U6 QX12 QFN-16 : 1/GND=GND 2/PA0/io=A 3/VDD=VX\n"
    found = cases(CELL + OUTSIDE + other + APART.format("VX"), facts)
    assert ("raised" in found) is raised


def test_an_output_of_unknown_voltage_is_a_supply() -> None:
    regulator = "U2 REGA SOT-23 : 1/GND=GND 2/VOUT=VO 3/VIN=VBAT\n"
    facts = f'{STATED}[parts.U2]\nrole = "regulator"\n'
    assert cases(CELL + regulator + APART.format("VO"), facts) == ["raised"]


def test_a_status_output_of_a_regulator_is_none() -> None:
    regulator = "U2 REGA SOT-23-5 : 1/GND=GND 2/VOUT=VO 3/VIN=VBAT 4/PG=PG\n"
    facts = f'{STATED}[parts.U2]\nrole = "regulator"\n'
    assert "raised" not in cases(CELL + regulator + APART.format("PG"), facts)


def test_a_sensors_output_is_none() -> None:
    sensor = "U6 S1 DFN-6 : 1/VDD=VBAT 2/GND=GND 3/OUT=SENSE\n"
    facts = f'{STATED}[parts.U6]\nrole = "sensor"\n'
    assert "raised" not in cases(CELL + sensor + APART.format("SENSE"), facts)


@pytest.mark.parametrize(("kind", "raised"), [("/pwr", True), ("", False)])
def test_what_another_chip_takes_by_name_and_type_is_a_supply(kind: str, raised: bool) -> None:
    other = f"U6 QX12 QFN-16 : 1/GND=GND 2/PA0/io=A 3/VDD{kind}=VX\n"
    assert ("raised" in cases(CELL + OUTSIDE + other + APART.format("VX"))) is raised


def test_the_net_of_its_own_supply_is_one_whoever_feeds_it() -> None:
    chip = "U5 QX11 QFN-16 : 1/GND=GND 2/PA0/io=A 3/VDD=VX 9/GND=VX\n"
    assert cases(OUTSIDE + chip) == ["raised"]


def test_a_ground_by_a_table_of_pad_numbers_counts_where_the_drawing_gives_no_name() -> None:
    (found,) = fails(CELL + "U2 MCP1700T-3302E/TT SOT-23 : 1=VBAT 2=+3V3 3=VBAT\n")
    assert found.case == "raised"
    assert not found.firm  # that table is from memory


def test_a_negative_supply_is_no_ground() -> None:
    chip = "U5 QX11 SOIC-8 : 1/GND=GND 2/QA=A 3/VCC=VBAT 4/VEE=VBAT\n"
    assert cases(CELL + chip) == []


# -- supply pins of one name on two supplies -----------------------------------------------------
REGULATOR = "U2 REG9 SOT-23-5 : 1/VIN/pwr=VBAT 2/GND/pwr=GND 3/EN/in=VBAT 5/VOUT/src=+3V3\n"


def split(second: str, more: str = "", role: str = "controller", pads: int = 5) -> list[Fail]:
    """What is said of a chip with one VDD pin on +3V3 and the other on ``second``."""
    spare = "".join(f" {number}/Q{number}=~" for number in range(6, pads + 1))
    chip = f"U5 X7 QFN : 1/GND=GND 2/QA=A 3/VDD=+3V3 4/VDD={second} 5/QB=B{spare}\n"
    facts = f'{STATED}[parts.U2]\nrole = "regulator"\noutput = "3.3 V"\n'
    facts += f'[parts.U5]\nrole = "{role}"\n' if role else ""
    return fails(f"{CELL}{REGULATOR}{chip}{more}", facts)


def test_of_two_single_pins_the_later_is_told_against_the_other() -> None:
    (found,) = split("VBAT")
    assert found.case == "split"
    assert (found.words["net"], found.words["other"]) == ("VBAT", "+3V3")


@pytest.mark.parametrize(("ohms", "told"), [("100R", []), ("120R", ["split"])])
def test_a_filter_of_up_to_100_ohms_joins_them(ohms: str, told: list[str]) -> None:
    found = [one.case for one in split("VF", f"R1 {ohms} - : VBAT VF\nR2 10R - : VBAT +3V3\n")]
    assert [case for case in found if case == "split"] == told


@pytest.mark.parametrize("part", ["L1 10uH -", "F1 1A Fuse_0603", "FB1 600R L_0402_Ferrite"])
def test_coils_fuses_and_beads_join_them(part: str) -> None:
    assert split("VF", f"{part} : +3V3 VF\n") == []


def test_a_pin_on_a_net_that_nothing_supplies_is_not_split_but_unfed() -> None:
    assert [one.case for one in split("VZ", "C1 1u - : VZ GND\n")] == ["unfed"]


@pytest.mark.parametrize(
    ("role", "pads", "told"),
    [
        ("", 12, ["split"]),
        ("", 11, []),
        ("logic", 12, []),
        ("sensor", 5, ["split"]),
        ("memory", 5, ["split"]),
    ],
)
def test_which_chips_take_supplies_and_make_none(role: str, pads: int, told: list[str]) -> None:
    assert [one.case for one in split("VBAT", role=role, pads=pads)] == told


def test_an_output_of_unknown_voltage_and_an_inner_regulator_supply_a_pin() -> None:
    other = "U3 REGA SOT-23 : 1/GND=GND 2/VOUT=VO 3/VIN=VBAT\n"
    assert "split" in [one.case for one in split("VO", other)]
    inner = "U6 X8 QFN : 1/GND=GND 2/VDD=VBAT 3/VREG=VC\n"
    assert "split" in [one.case for one in split("VC", inner)]


def test_a_signal_of_another_chip_supplies_none() -> None:
    other = "U6 X8 QFN : 1/GND=GND 2/VDD=VBAT 3/PB0/io=SW\n"
    assert split("SW", other) == []
    status = "U3 REGA SOT-23-5 : 1/GND=GND 2/VOUT=VO 3/VIN=VBAT 4/PG=PG\n"
    assert split("PG", status) == []


def test_pads_without_names_have_no_name_in_common() -> None:
    card: dict[str, Any] = {
        "title": "a controller of ours",
        "role": "controller",
        "matches": ["ZQ900"],
        "pins": {"supply": "VDD", "ground": "GND"},
        "packages": {"qfn": {"matches": "QFN", "pins": {"1,2": "supply", "3": "ground"}}},
        "sources": ["our own sheet, 3"],
    }
    circuit = f"{CELL}{REGULATOR}U5 ZQ900 QFN : 1=VBAT 2=+3V3 3=GND 4=A\n"
    board = Board(make_board(circuit, STATED).design, read_cards("own.toml", {"ZQ900": card}))
    rule = all_rules()["supply-pin-open"]
    assert not [v for v in function_of(rule)(board, rule) if isinstance(v, Fail)]
