"""Cards, codes, manifests and tables: the ways a part is known by."""

from __future__ import annotations

import pytest

from boards import bom, make_board
from counterpoise.catalog import tables
from counterpoise.catalog.toml import CatalogError, Table
from counterpoise.model.bom import Bom, BomLine
from counterpoise.model.facts import Need
from counterpoise.roles.evidence import Known
from counterpoise.roles.refdes import natural, readings
from counterpoise.roles.voltages import volts_in_code, volts_in_name
from counterpoise.roles.wording import span
from counterpoise.values.ranges import Range


def test_the_bom_gives_code_and_value() -> None:
    line = BomLine(refs=("U1",), order_code="MCP73831T-2ACI/OT")
    bill = Bom((line, BomLine(refs=("C1",), value="100n")), frozenset())
    board = make_board("U1 - - : A GND B C D\nC1 - C_0402 : A GND", bill=bill)
    assert board.role("U1").name == "charger"
    capacity = board.value(board.parts_as("capacitor")[0])
    assert isinstance(capacity, Known)
    assert capacity.value.middle == pytest.approx(1e-7)


def test_bom_rows_without_a_card_change_nothing() -> None:
    board = make_board("R1 10k R_0402 : A B", bill=bom(("R1", "10k")))
    assert board.role("R1").name == "resistor"


def test_a_package_in_brackets_or_behind_a_slash_is_no_part_of_the_code() -> None:
    board = make_board('U1 "TP4054(SOT23-5)" - : A GND B C D\nU2 TP4054/SOT23-5 - : A GND B C D')
    assert board.role("U1").name == board.role("U2").name == "charger"


def test_the_manifest_names_a_card() -> None:
    board = make_board("U1 - SOT-23-5 : A GND B C D", '[parts.U1]\ncard = "MCP73831T-2ACI/OT"\n')
    assert board.role("U1").name == "charger"
    found = board.card("U1")
    assert found is not None
    by_key = make_board("U1 ? - : A GND B C D", f'[parts.U1]\ncard = "{found.key}"\n')
    assert by_key.card("U1") == found
    none = make_board("U1 - SOT-23-5 : A GND B C D", '[parts.U1]\ncard = "NOSUCHCARD"\n')
    assert none.card("U1") is None


def test_the_manifest_names_the_cell() -> None:
    board = make_board("J5 Conn_01x02 PinHeader_1x02 : A GND", '[cell]\nref = "J5"\n')
    assert board.role("J5").name == "cell"
    assert board.role("J5").firm


def test_a_connector_by_its_card_may_be_the_cells() -> None:
    text = "BT1 'Li-po 150 mAh' JST_PH_S2B : 1/+=VB 2/-=GND @MPN=S2B-PH-SM4-TB(LF)(SN)"
    board = make_board(text)
    assert board.card("BT1") is not None
    assert (board.role("BT1").name, board.role("BT1").firm) == ("cell", True)


@pytest.mark.parametrize("pads", ["GND VB", "VB GND"])
def test_a_cell_connector_without_signs_is_read_by_its_nets(pads: str) -> None:
    board = make_board(f"J5 Battery JST_PH : {pads}\nC1 1u C_0402 : VB GND")
    (cell,) = board.parts_as("cell")
    assert board.nets_for(cell, "plus") == ("VB",)
    assert board.function_evidence(board.pins_for(cell, "minus")[0]) == "nets"


def test_a_cell_drawn_with_signs_keeps_them_though_it_is_reversed() -> None:
    board = make_board("BT1 CR2032 - : 1/+=GND 2/-=VB\nC1 1u C_0402 : VB GND")
    assert board.nets_for(board.parts_as("cell")[0], "plus") == ("GND",)


def test_stated_number_of_cells_is_shared_by_two_holders() -> None:
    text = "BT1 LR03 - : 1/+=MID 2/-=GND\nBT2 LR03 - : 1/+=TOP 2/-=MID"
    board = make_board(text, '[cell]\nchemistry = "alkaline"\ncells = 2\n')
    assert board.rails["TOP"].volts.high == pytest.approx(3.3)


@pytest.mark.parametrize(
    ("code", "volts"),
    [
        ("AP2112K-3.3", 3.3),
        ("XX6206P332MR", 3.3),
        ("XX1117-33", 3.3),
        ("XX1700-3302E", 3.3),
        ("XX5504-3.3YM5", 3.3),
        ("XX2985A1V8", 1.8),
        ("AB7A20PDBV", None),
        ("XX7333PDBV", None),
        ("XX1117-ADJ", None),
        ("LM317", None),
        ("", None),
    ],
)
def test_volts_in_codes(code: str, volts: float | None) -> None:
    assert volts_in_code(code) == volts


@pytest.mark.parametrize(
    ("net", "volts"),
    [
        ("+3V3", 3.3),
        ("/Power/+3.3V", 3.3),
        ("VCC_5V", 5.0),
        ("3V0", 3.0),
        ("P1.35V", 1.35),
        ("VDD_1V8_IO", 1.8),
        ("Net-(U1-3V3)", None),
        ("VCC", None),
        ("SDA", None),
        ("99V", None),
    ],
)
def test_volts_in_names(net: str, volts: float | None) -> None:
    found = volts_in_name(net)
    assert (found.middle if found else None) == volts


def test_references() -> None:
    assert sorted(["R10", "R2", "R1"], key=natural) == ["R1", "R2", "R10"]
    assert readings("USB-UART1") == ("USB", ("usb-connector",))
    assert readings("uC1")[1] == ("chip",)
    assert readings("CHARGING1") == readings("") == readings("123") == readings("Rx") == ("", ())


def test_a_table_that_is_missing_or_faulty_is_one_line() -> None:
    with pytest.raises(CatalogError, match=r"nosuch\.toml: this table is missing"):
        tables.table("nosuch")
    with pytest.raises(CatalogError, match=r"roles\.toml: \[nosuch\]: expected a table"):
        tables.section("roles", "nosuch")
    with pytest.raises(CatalogError, match="not a pattern"):
        tables.pattern(Table("x.toml", "words", {"symbol": "(a"}), "symbol")
    assert tables.pattern(Table("x.toml", "words", {}), "symbol") is None


def test_a_need_quotes_an_odd_reference() -> None:
    board = make_board("'Y?1' 16MHz Crystal_SMD : A B")
    found = board.known(board.parts[0], "load")
    assert found == Need("the load of Y?1", 'board.toml: [parts."Y?1"] load = "9 pF"')


def test_an_unknown_regulator_is_firm_where_code_and_net_agree() -> None:
    text = "U2 QQ621-33 SOT-23-5 : 1/IN=VB 2/GND=GND 3/EN=VB 5/OUT={}\nC1 1u C_0402 : VB GND"
    assert make_board(text.format("+3V3")).role("U2").firm
    assert not make_board(text.format("VOUT")).role("U2").firm
    assert make_board(text.format("VOUT")).role("U2").name == "regulator"


def test_an_unknown_regulator_without_pin_names_is_read_by_place() -> None:
    text = """
    U2 QQ621-33 SOT-23-5 : VB GND VB ~ +3V3
    C1 1u C_0402 : +3V3 GND
    R1 1k R_0402 : VB X
    """
    board = make_board(text)
    (chip,) = board.parts_as("regulator")
    assert not board.role("U2").firm
    assert board.nets_for(chip, "output") == ("+3V3",)
    assert not board.rails["+3V3"].firm


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (0.0, 3e-14, "0 ppm"),
        (20.0, 20.0, "20 ppm"),
        (0.5, 12.0, "0.5 to 12 ppm"),
        (20000.0, 20000.0, "20000 ppm"),
    ],
)
def test_a_share_in_millionths_takes_no_prefix(low: float, high: float, text: str) -> None:
    assert span(Range(low, high), "ppm") == text


@pytest.mark.parametrize(
    "line",
    [
        "Y1 32MHz_TCXO SMD_2016 : 1/NC=GND 2/GND=GND 3/OUT=CLK 4/VCC=VT",
        "Y1 32MHz TCXO_2016-4Pin : 1=GND 2=GND 3=CLK 4=VT",
        "Y1 26MHz SMD_3225 : 1/EN=VT 2/GND=GND 3/OUTPUT=CLK 4/VDD=VT",
    ],
)
def test_an_oscillator_is_known_by_word_or_by_its_supply_and_output_pins(line: str) -> None:
    assert make_board(f"{line}\nU1 - - : 1/XTA=CLK 2/TCXO=VT").role("Y1").name == "oscillator"


def test_a_clock_chip_whose_description_tells_of_its_oscillator_is_no_oscillator() -> None:
    line = 'U1 RTC1 SOIC-16 : 1/32K=~ 2/VCC=V 3/INT=~ 4/GND=GND "@desc=Accurate RTC with TCXO"'
    assert make_board(line).role("U1").name != "oscillator"


def test_a_watch_crystal_is_known_by_its_number_without_a_unit() -> None:
    assert make_board("Y2 32.768k - : X1 X2\nU1 - - : X1 X2 A B").role("Y2").name == "crystal"
    assert make_board("R2 32.4k - : A B").role("R2").name == "resistor"


@pytest.mark.parametrize(
    ("line", "functions"),
    [
        ("LED1 RED LED0603 : A/A=X C/C=Y", ["anode", "cathode"]),
        ("D1 1N4148 SOD-323 : K=X A=Y", ["cathode", "anode"]),
        ("Q1 BSS138 SOT-23 : G=X S=Y D=Z", ["gate", "source", "drain"]),
        ("SW1 - MicroSwitch_D2F : COM=X NO=Y NC=Z", ["common", "open", "closed"]),
    ],
)
def test_pads_numbered_by_letters_tell_what_they_are(line: str, functions: list[str]) -> None:
    board = make_board(line)
    assert [board.function_of(pin) for pin in board.circuit.parts[0].pins] == functions
