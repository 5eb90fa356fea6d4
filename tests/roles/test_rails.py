"""Rails: reasoned from what drives them."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.roles.rails import Rail

CELL = '[cell]\nchemistry = "li-po"\n'


def rail(board: Board, net: str) -> Rail:
    found = board.volts(net)
    assert isinstance(found, Rail), found
    return found


def ends(board: Board, net: str) -> tuple[float, float]:
    volts = rail(board, net).volts
    return (round(volts.low, 3), round(volts.high, 3))


def lines(*text: str) -> str:
    return "\n".join(text)


BATTERY = "BT1 Battery JST_PH : 1/+=VBAT 2/-=GND @symbol=Battery"
USB = "J1 USB_C USB_C_Receptacle : A4/VBUS=VBUS A1/GND=GND A5/CC1=CC1 A6/D+=DP A7/D-=DM"


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # MCP73831 data sheet DS20001984: 4.20 V option; 3.0 V: common practice, no source
        (CELL, (3.0, 4.2)),
        (
            '[cell]\nchemistry = "li-po"\nend_voltage = "3.2 V"\ncharge_voltage = "4.35 V"\n',
            (3.2, 4.35),
        ),
        ('[cell]\nchemistry = "alkaline"\ncells = 2\n', (1.8, 3.3)),
    ],
)
def test_the_cells_range(facts: str, expected: tuple[float, float]) -> None:
    assert ends(make_board(BATTERY, facts), "VBAT") == expected


def test_a_cell_of_unknown_chemistry_is_a_need() -> None:
    found = make_board(BATTERY).volts("VBAT")
    assert isinstance(found, Need)
    assert "[cell] chemistry" in found.where


def test_a_figure_from_memory_is_not_firm() -> None:
    assert not rail(make_board(BATTERY, '[cell]\nchemistry = "nimh"\n'), "VBAT").firm
    assert rail(make_board(BATTERY, CELL), "VBAT").firm


def test_two_cells_in_series() -> None:
    text = lines(
        "BT1 LR03 - : 1/+=MID 2/-=GND",
        "BT2 LR03 - : 1/+=TOP 2/-=MID",
    )
    assert ends(make_board(text), "MID") == (0.9, 1.65)
    assert ends(make_board(text), "TOP") == (1.8, 3.3)


def test_a_coin_cell_by_its_code() -> None:
    assert ends(make_board("BT1 CR2032 - : 1/+=VCC 2/-=GND"), "VCC") == (2.0, 3.3)


@pytest.mark.parametrize("order", [0, 1])
def test_load_sharing_is_the_union_of_both_ways(order: int) -> None:
    parts = [
        BATTERY,
        USB,
        "D2 MBR0530 D_SOD-123 : 1/K=SYS 2/A=VBUS @symbol=D_Schottky",
        "Q1 AO3401A SOT-23 : 1/G=VBUS 2/S=SYS 3/D=VBAT @symbol=Q_PMOS_GSD",
    ]
    board = make_board(lines(*(parts if order else parts[::-1])), CELL)
    low, high = ends(board, "SYS")
    assert low == 3.0
    assert 5.2 < high < 5.5
    assert ends(board, "VBAT") == (3.0, 4.2)
    assert ends(board, "VBUS") == (4.0, 5.5)
    assert set(rail(board, "SYS").drivers) == {"BT1", "J1"}


def test_series_parts_and_switches() -> None:
    text = lines(
        BATTERY,
        "F1 500mA Fuse_0805 : VBAT A",
        "SW1 - SW_Slide_MSK12 : 1=~ 2=A 3=B",
        "FB1 600R@100MHz L_0402 : B C",
        "D1 1N4148 D_SOD-323 : 1/K=E 2/A=C",
        "R1 100k R_0402 : E F",
    )
    board = make_board(text, CELL)
    assert ends(board, "A") == ends(board, "B") == ends(board, "C") == (3.0, 4.2)
    assert ends(board, "E") == (2.0, 4.0)
    assert ends(board, "F") == (0.0, 4.0)


def test_a_diode_does_not_conduct_backwards() -> None:
    board = make_board(lines(BATTERY, "D1 1N4148 D_SOD-323 : 1/K=VBAT 2/A=X\nR1 1k - : X Y"), CELL)
    assert isinstance(board.volts("X"), Need)


def test_a_regulator_in_dropout() -> None:
    text = lines(
        BATTERY,
        "U2 QQLDO SOT-23-5 : 1/IN=VBAT 2/GND=GND 3/EN=VBAT 5/OUT=OUT3",
    )
    facts = CELL + '[parts.U2]\nrole = "regulator"\noutput = "3.3 V"\ndropout = "0.2 V"\n'
    board = make_board(text, facts)
    assert ends(board, "OUT3") == (2.8, 3.3)
    assert rail(board, "OUT3").firm


def test_a_regulator_of_unknown_output_is_a_need_beyond_it_too() -> None:
    text = lines(
        BATTERY,
        "U2 QQLDO SOT-23-5 : 1/IN=VBAT 2/GND=GND 3/EN=VBAT 5/OUT=VX",
        "D1 1N4148 D_SOD-323 : 1/K=VY 2/A=VX",
    )
    board = make_board(text, CELL + '[parts.U2]\nrole = "regulator"\n')
    for net in ("VX", "VY"):
        found = board.volts(net)
        assert isinstance(found, Need)
        assert found.where == 'board.toml: [parts.U2] output = "3.3 V"'


def test_a_feedback_divider() -> None:
    # Vout = Vref (1 + R1/R2): TI SLVA477, from memory.
    text = lines(
        BATTERY,
        "U1 QQB - : 1/SW=LX 2/GND=GND 3/FB=FB 4/VOUT=V5 5/VIN=VBAT",
        "L1 4.7uH L_0805 : VBAT LX",
        "R1 732k R_0402 : V5 FB",
        "R2 100k R_0402 : FB GND",
    )
    facts = CELL + '[parts.U1]\nrole = "boost"\nreference = "0.6 V"\n'
    board = make_board(text, facts)
    low, high = ends(board, "V5")
    assert low < 0.6 * 8.32 < high
    assert high - low < 0.25
    assert isinstance(board.volts("LX"), Need)


def test_a_boost_fed_above_its_setting_passes_its_input_on() -> None:
    text = lines(BATTERY, "U1 QQB - : 1/SW=LX 2/GND=GND 4/VOUT=V33 5/VIN=VBAT")
    board = make_board(text, CELL + '[parts.U1]\nrole = "boost"\noutput = "3.3 V"\n')
    assert ends(board, "V33") == (3.3, 4.2)


def test_a_name_is_evidence_never_proof() -> None:
    board = make_board("R1 1k R_0402 : +3V3 A\nR2 1k - : A GND")
    assert ends(board, "+3V3") == (3.3, 3.3)
    assert not rail(board, "+3V3").firm
    assert "name" in rail(board, "+3V3").because


def test_a_driver_overrules_the_name() -> None:
    text = BATTERY.replace("VBAT", "+3V3")
    assert ends(make_board(text, CELL), "+3V3") == (3.0, 4.2)


def test_a_stated_output_of_a_connector() -> None:
    board = make_board("J5 - PinHeader_1x02 : IN GND", '[parts.J5]\noutput = "5 V"\n')
    assert ends(board, "IN") == (5.0, 5.0)


def test_a_discrete_boost_is_not_read_as_its_input() -> None:
    text = lines(
        BATTERY,
        "L2 47uH L_4040 : VBAT LX",
        "Q3 2N7002 SOT-23 : 1/G=PWM 2/S=GND 3/D=LX",
        "D5 MBR0530 D_SOD-123 : 1/K=HV 2/A=LX",
        "C1 4.7uF C_0603 : HV GND",
        "C2 4.7uF C_0603 : VBAT GND",
    )
    assert isinstance(make_board(text, CELL).volts("HV"), Need)


def test_ground_and_nothing() -> None:
    board = make_board(BATTERY, CELL)
    assert ends(board, "GND") == (0.0, 0.0)
    assert isinstance(board.volts(None), Need)


def test_power_path_system_output() -> None:
    text = lines(
        BATTERY,
        USB,
        "U1 QQPP - : 1/IN=VBUS 2/GND=GND 3/BAT=VBAT 4/SYS=VSYS 5/PROG=P",
        "R1 2k R_0402 : P GND",
    )
    low, high = ends(make_board(text, CELL), "VSYS")
    assert low == pytest.approx(2.8)
    assert high == 5.5


def test_loops_end() -> None:
    text = lines(
        BATTERY,
        "D1 1N4148 D_SOD-323 : 1/K=B 2/A=VBAT",
        "D2 1N4148 D_SOD-323 : 1/K=C 2/A=B",
        "D3 1N4148 D_SOD-323 : 1/K=B 2/A=C",
        "U1 Q - : 1/IN=B 2/GND=GND 3/OUT=C",
        "U2 Q - : 1/IN=C 2/GND=GND 3/OUT=B",
    )
    facts = CELL + "".join(
        f'[parts.{u}]\nrole = "regulator"\noutput = "3.3 V"\n' for u in ("U1", "U2")
    )
    assert ends(make_board(text, facts), "C")[1] <= 4.2
