"""Where rails begin: cells, converters' settings, chargers' shapes, walks along the current."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.roles.paths import plus_nets, walk
from counterpoise.roles.rails import Rail

CELL = '[cell]\nchemistry = "li-po"\n'
BATTERY = "BT1 Battery JST_PH : 1/+=VBAT 2/-=GND @symbol=Battery\n"
USB = "J1 USB_C USB_C_Receptacle : A4/VBUS=VBUS A1/GND=GND A5/CC1=CC1 A6/D+=DP A7/D-=DM\n"


def rail(board: Board, net: str) -> Rail:
    found = board.volts(net)
    assert isinstance(found, Rail), found
    return found


def ends(board: Board, net: str) -> tuple[float, float]:
    volts = rail(board, net).volts
    return (round(volts.low, 3), round(volts.high, 3))


@pytest.mark.parametrize("value", ["2S LiPo", "LiPo 2S1P"])
def test_cells_in_series_by_the_packs_text(value: str) -> None:
    board = make_board(f'BT1 "{value}" JST_XH : 1/+=VBAT 2/-=GND @symbol=Battery\n', CELL)
    assert ends(board, "VBAT") == (6.0, 8.4)
    assert "2 x li-po" in rail(board, "VBAT").because


def test_both_stated_ends_need_no_chemistry() -> None:
    facts = '[cell]\nend_voltage = "2.5 V"\ncharge_voltage = "3.65 V"\n'
    board = make_board(BATTERY, facts)
    assert ends(board, "VBAT") == (2.5, 3.65)
    assert rail(board, "VBAT").firm


def test_one_stated_end_is_not_enough() -> None:
    assert isinstance(make_board(BATTERY, '[cell]\nend_voltage = "2.5 V"\n').volts("VBAT"), Need)


def test_a_holder_of_round_cells_is_dry_or_nimh_and_not_firm() -> None:
    board = make_board("BT1 AA BatteryHolder_AA : 1/+=VBAT 2/-=GND @symbol=Battery_Cell\n")
    assert ends(board, "VBAT")[0] <= 1.0
    assert not rail(board, "VBAT").firm


def converter(facts: str, more: str, value: str = "CONV1") -> Board:
    circuit = BATTERY + (
        f"U2 {value} SOT-23-6 : 1/SW=LX 2/GND=GND 3/FB=FB 4/EN=VBAT 5/IN=VBAT 6/OUT=OUT\n"
        "L1 4.7u L_0603 : VBAT LX\n" + more
    )
    return make_board(circuit, CELL + "[parts.U2]\n" + facts)


BOOST = 'role = "boost"\nreference = "0.6 V"\n'


def test_a_dividers_output_within_the_resistors_tolerance() -> None:
    board = converter(BOOST, "R1 730k R_0402 : OUT FB\nR2 100k R_0402 : FB GND\n")
    # 0.6 V (1 + 730/100) = 4.98 V; each resistor 1 %
    assert ends(board, "OUT") == (4.893, 5.068)


def test_a_dividers_own_tolerance_counts() -> None:
    board = converter(BOOST, 'R1 "730k 5%" R_0402 : OUT FB\nR2 "100k 5%" R_0402 : FB GND\n')
    # 0.6 V (1 + 7.3 · 0.95/1.05) to 0.6 V (1 + 7.3 · 1.05/0.95)
    assert ends(board, "OUT") == (4.563, 5.441)


def test_two_resistors_below_count_side_by_side() -> None:
    below = "R2 200k R_0402 : FB GND\nR3 200k R_0402 : FB GND\n"
    board = converter(BOOST, "R1 730k R_0402 : OUT FB\n" + below)
    assert ends(board, "OUT") == (4.893, 5.068)


@pytest.mark.parametrize(
    "divider",
    [
        "R1 730k R_0402 : OUT FB\n",
        "R1 730k R_0402 : OUT FB\nR2 100k R_0402 : FB M\nR3 100k R_0402 : M GND\n",
        "R1 - R_0402 : OUT FB\nR2 100k R_0402 : FB GND\n",
        "R1 730k R_0402 : OUT FB\nR2 - R_0402 : FB GND\n",
    ],
)
def test_a_divider_that_does_not_tell_is_a_need(divider: str) -> None:
    found = converter(BOOST, divider).volts("OUT")
    assert isinstance(found, Need)
    assert "U2" in found.what


def test_without_a_reference_the_divider_tells_nothing() -> None:
    more = "R1 730k R_0402 : OUT FB\nR2 100k R_0402 : FB GND\n"
    assert isinstance(converter('role = "boost"\n', more).volts("OUT"), Need)


def test_a_code_alone_tells_the_output_but_not_firmly() -> None:
    board = make_board(
        USB + "U2 XC9142-3.3 SOT-23-3 : 1/GND=GND 2/VOUT=OUT 3/VIN=VBUS\n",
        '[parts.U2]\nrole = "regulator"\ndropout = "0.2 V"\n',
    )
    assert ends(board, "OUT") == (3.3, 3.3)
    assert not rail(board, "OUT").firm
    assert "code" in rail(board, "OUT").because


def test_a_code_against_the_nets_name_tells_nothing() -> None:
    board = make_board(
        USB + "U2 XC9142-3.3 SOT-23-3 : 1/GND=GND 2/VOUT=+1V8 3/VIN=VBUS\n",
        '[parts.U2]\nrole = "regulator"\n',
    )
    assert not isinstance(board.volts("+1V8"), Rail) or not rail(board, "+1V8").firm


def test_a_buck_passes_a_lower_input_on() -> None:
    board = make_board(
        BATTERY
        + "U2 BUCK1 SOT-23-6 : 1/SW=LX 2/GND=GND 3/FB=OUT 4/EN=VBAT 5/IN=VBAT\n"
        + "L1 2.2u L_0603 : LX OUT\nC1 10u C_0603 : OUT GND\n",
        CELL + '[parts.U2]\nrole = "buck"\noutput = "3.3 V"\n',
    )
    assert ends(board, "OUT") == (3.0, 3.3)


def test_a_buck_whose_pins_are_unknown_drives_behind_its_coil() -> None:
    board = make_board(
        BATTERY
        + "U2 BUCK1 SOT-23-6 : 1=LX 2=GND 3=VBAT\nL1 2.2u L_0603 : LX OUT\nC1 10u C_0603 : OUT GND\n",
        CELL + '[parts.U2]\nrole = "buck"\noutput = "2.5 V"\n',
    )
    assert ends(board, "OUT") == (2.5, 2.5)


@pytest.mark.parametrize(
    ("output", "drop", "expected"),
    [
        ("2.8 V", "0.2 V", (2.8, 2.8)),  # 3.0 V less 0.2 V is just enough
        ("2.8 V", "0.3 V", (2.7, 2.8)),
        ("3.3 V", "0.2 V", (2.8, 3.3)),
        ("5 V", "0.2 V", (2.8, 4.2)),  # never more than it gets
    ],
)
def test_a_regulator_follows_its_input_down(
    output: str, drop: str, expected: tuple[float, float]
) -> None:
    board = make_board(
        BATTERY + "U2 REG SOT-23-3 : 1/GND=GND 2/VOUT=OUT 3/VIN=VBAT\n",
        CELL + f'[parts.U2]\nrole = "regulator"\noutput = "{output}"\ndropout = "{drop}"\n',
    )
    assert ends(board, "OUT") == expected


def test_two_outputs_on_one_rail_give_the_union() -> None:
    regulators = (
        "U2 REG SOT-23-3 : 1/GND=GND 2/VOUT=OUT 3/VIN=VBUS\n"
        "U3 REG SOT-23-3 : 1/GND=GND 2/VOUT=OUT 3/VIN=VBUS\n"
    )
    fact = '[parts.{}]\nrole = "regulator"\noutput = "{}"\ndropout = "0.1 V"\n'
    board = make_board(USB + regulators, fact.format("U2", "1.8 V") + fact.format("U3", "3.3 V"))
    assert ends(board, "OUT") == (1.8, 3.3)


CHARGER = "U1 X99 SOT-23-5 : {}\nR1 2k R_0402 : PROG GND\n" + BATTERY
FIVE = "1=CHG 2=GND 3=VBAT 4=VBUS 5=PROG"


def test_five_unnamed_pins_with_cell_supply_and_resistor_are_a_charger() -> None:
    assert make_board(CHARGER.format(FIVE)).role("U1").name == "charger"


@pytest.mark.parametrize(
    "pins",
    [
        "1=CHG 2=GND 3=VBAT 4=VBUS",  # four pads
        "1=CHG 2=X 3=VBAT 4=VBUS 5=PROG",  # pin 2 not on ground
        "1=CHG 2=GND 3=Y 4=VBUS 5=PROG",  # no cell on pin 3
        "1=CHG 2=GND 3=GND 4=VBUS 5=PROG",
        "1=CHG 2=GND 3=VBAT 4=~ 5=PROG",  # no supply
        "1=CHG 2=GND 3=VBAT 4=VBUS 5=Z",  # nothing sets the current
    ],
)
def test_one_thing_amiss_and_they_are_not(pins: str) -> None:
    assert make_board(CHARGER.format(pins)).role("U1").name != "charger"


def test_a_capacitor_beside_the_set_resistor_is_another_shape() -> None:
    text = CHARGER.format(FIVE) + "C1 1n C_0402 : PROG GND\n"
    assert make_board(text).role("U1").name != "charger"


def test_a_cell_without_signs_may_be_any_net_but_ground() -> None:
    board = make_board("BT1 Battery JST_PH : 1=A 2=B @symbol=Battery\nR1 1k R_0402 : GND A\n")
    cell = board.circuit.part("BT1")
    assert cell is not None
    assert set(plus_nets(board, cell)) <= {"A", "B"}


def test_current_walks_through_sense_resistors_and_switches_but_no_diode_or_load() -> None:
    board = make_board(
        BATTERY
        + "R1 0.05 R_1206 : VBAT A\nF1 500mA Fuse_0603 : A B\nR2 10k R_0402 : B C\n"
        + "D1 SS14 SMA : 1/K=D 2/A=B @symbol=D_Schottky\nQ1 AO3401 SOT-23 : 1/G=G 2/S=B 3/D=E\n",
        CELL,
    )
    assert set(walk(board, ["VBAT"])) == {"VBAT", "A", "B", "E"}
    assert set(walk(board, ["VBAT"], transistors=False)) == {"VBAT", "A", "B"}
    assert walk(board, ["VBAT"])["B"].through == ("R1", "F1")
    assert set(walk(board, ["GND"])) == set()


def test_a_transistor_of_unknown_pins_lets_current_through_doubtfully() -> None:
    board = make_board(BATTERY + "Q1 XQ DFN-8 : 4=VBAT 6=OUT 8=G\n", CELL)
    found = walk(board, ["VBAT"])
    assert not any(reached.sure for net, reached in found.items() if net != "VBAT")


def test_nothing_lies_between_a_net_and_itself_or_no_net() -> None:
    board = make_board("R1 1k R_0402 : A B\n")
    assert [p.ref for p in board.between("A", "B")] == ["R1"]
    assert board.between("A", "A") == ()
    assert board.between("A", None) == ()
    assert board.between(None, "B") == ()
