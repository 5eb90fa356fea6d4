"""What parts are taken for: by manifest, card, words, pins and place."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.roles.explain import explain

CHIP_AND_GROUND = """
U9 XYZ9 QFN-32 : 1/XIN=XI 2/XOUT=XO 3/VDD=VCC 4/GND=GND 5/PA0/io=IO1 6/PA1/io=IO2
C90 100n C_0402 : VCC GND
"""


@pytest.mark.parametrize(
    ("line", "role", "firm"),
    [
        ("R1 4k7 R_0402 : A B", "resistor", True),
        ("R1 - - : A B", "resistor", False),
        ("R1 0R R_0402 @symbol=R : A B", "resistor", True),
        ("C1 2u2 C_0603 : A GND", "capacitor", True),
        ("L1 2.2uH L_0805 : A B", "inductor", True),
        ('FB1 "600R@100MHz" L_0402_1005Metric : A B', "ferrite", True),
        ("F1 500m Fuse_0805_2012Metric : A B", "fuse", True),
        ("Y1 16MHz Crystal_SMD_3225-4Pin : XI GND XO GND", "crystal", True),
        ("K7 KEYSW SW_MX : A B", "push-switch", True),
        ("D1 RED LED_0603 : 1/K=GND 2/A=A", "led", True),
        ("D1 1N4148 D_SOD-323 : 1/K=B 2/A=A", "diode", True),
        (
            "D2 SK6812MINI LED_SK6812 : 1/VDD=VCC 2/DOUT=~ 3/VSS=GND 4/DIN=IO1",
            "addressable-led",
            True,
        ),
        ("Q1 2N7002 SOT-23 : 1/G=A 2/S=GND 3/D=B", "transistor", True),
        ("BT1 CR2032 BatteryHolder_X_1x2032 : 1/+=VCC 2/-=GND", "cell", True),
        ("AE1 - Antenna_Chip_2450 : 1/FEED=RF 2=GND", "antenna", True),
        ("H1 - MountingHole_2.2mm : GND", "mechanical", True),
        ("TP1 - TestPoint_Pad_D1.0mm : A", "test-point", True),
        ("SW1 - SW_Slide_MSK12 : A VCC ~", "slide-switch", True),
        ("ENC1 - RotaryEncoder_EC11 : A=IO1 B=IO2 C=GND", "encoder", True),
        ("D9 SS14 D_SMA : 1/K=A 2/A=B", "diode", True),
        ("R7 - - @symbol=R_Photo : A B", "sensor", False),
        ("J4 U.FL U.FL_Receptacle : A GND", "antenna-connector", True),
        ("U3 - SOT-23-5 : 1/A1=A 2/A2=B 3/A3=C", "chip", False),
    ],
)
def test_role_by_words(line: str, role: str, firm: bool) -> None:
    head, _, tail = line.partition(" : ")
    options = " ".join(w for w in head.split() if w.startswith("@"))
    head = " ".join(w for w in head.split() if not w.startswith("@"))
    board = make_board(f"{head} : {tail} {options}\n{CHIP_AND_GROUND}")
    ref = head.split()[0]
    if role == "resistor" and " 0R " in head:
        role = "link"
    assert (board.role(ref).name, board.role(ref).firm) == (role, firm)


def test_manifest_comes_before_everything() -> None:
    board = make_board("R1 10k R_0402 : A GND", '[parts.R1]\nrole = "thermistor"\n')
    assert board.role("R1").name == "thermistor"
    assert board.role("R1").firm


def test_a_card_comes_before_words() -> None:
    board = make_board('U1 "MCP73831T-2ACI/OT" SOT-23-5 : ~ GND BAT VBUS PROG')
    assert board.role("U1").evidence[0].source == "card"
    assert board.role("U1").name == "charger"


def test_the_order_code_field_comes_before_the_value() -> None:
    board = make_board("U1 CHARGER SOT-23-5 : ~ GND BAT VBUS PROG @MPN=MCP73831T-2ACI/OT")
    assert board.card("U1") is not None
    assert board.order_code("U1") == "MCP73831T-2ACI/OT"


def test_a_borrowed_symbol_is_no_card() -> None:
    board = make_board("U1 QQ9876A SOT-23-5 : 1=A 2=GND @symbol=MCP73831-2-OT")
    assert board.card("U1") is None


def test_two_strong_readings_are_unknown() -> None:
    board = make_board(
        "Z1 - - : A B @symbol=R\nU1 - - : 1/VM=A 2/OD=B 3/OC=C 4/BAT=D 5/PROG=E 6/VCC=F"
    )
    assert board.role("U1").name == "chip"
    assert not board.role("U1").firm


UNKNOWN_CHARGER = """
U7 - SOT-23-5 : 1/CHRG=N1 2/GND=GND 3/BAT=VBAT 4/VCC=VBUS 5/PROG=N2
R3 10k R_0402 : N2 GND
BT1 Battery JST_PH_1x02 : VBAT GND
"""


def test_an_unknown_charger_by_pins_and_place() -> None:
    board = make_board(UNKNOWN_CHARGER)
    assert board.role("U7").name == "charger"
    assert board.role("U7").firm
    assert {e.source for e in board.role("U7").evidence} == {"pins", "shape"}


def test_a_charger_without_pin_names_is_read_by_place_only() -> None:
    board = make_board(
        """
        U7 - SOT-23-5 : N1 GND VBAT VBUS N2
        R3 10k R_0402 : N2 GND
        BT1 Battery JST_PH_1x02 : VBAT GND
        """
    )
    assert board.role("U7").name == "charger"
    assert not board.role("U7").firm
    assert board.nets_for(board.circuit.parts[0], "set") == ("N2",)


def test_a_crystal_by_the_pins_it_stands_on() -> None:
    board = make_board(f"Z1 - - : XI XO\n{CHIP_AND_GROUND}")
    assert board.role("Z1").name == "crystal"
    assert not board.role("Z1").firm


def test_the_feedback_resistor_of_an_oscillator_is_no_crystal() -> None:
    board = make_board(f"X1 1M R_0402 : XI XO\n{CHIP_AND_GROUND}")
    assert board.role("X1").name == "resistor"


def test_an_oscillator_is_told_from_a_crystal_by_its_pads() -> None:
    board = make_board(f"X1 26MHz - : EN GND CLK VCC\n{CHIP_AND_GROUND}")
    assert board.role("X1").name == "oscillator"


def test_a_radio_by_its_way_to_the_antenna() -> None:
    board = make_board(
        """
        U4 QQ2400 QFN-24 : 1/RF=N1 2/XTAL1=X1 3/XTAL2=X2 4/VDD=VCC 5/GND=GND
        L1 3n9 L_0402 : N1 N2
        C1 1p C_0402 : N2 GND
        C2 100p C_0402 : N2 N3
        AE1 - Antenna_PCB : N3 GND
        """
    )
    assert board.role("U4").name == "radio"
    assert board.role("U4").firm


@pytest.mark.parametrize(
    ("far", "role", "firm"),
    [("VBAT", "slide-switch", True), ("GND", "change-over-switch", False)],
)
def test_a_change_over_symbol_is_decided_by_place(far: str, role: str, firm: bool) -> None:
    board = make_board(
        f"""
        SW1 SW_SPDT - : ~ {far} IO1
        BT1 CR2032 - : 1/+=VBAT 2/-=GND
        {CHIP_AND_GROUND}
        """
    )
    assert (board.role("SW1").name, board.role("SW1").firm) == (role, firm)


def test_a_surge_array_is_no_usb_socket() -> None:
    board = make_board(
        """
        J1 USB_C USB_C_Receptacle : A4/VBUS=VBUS A1/GND=GND A6/D+=DP A7/D-=DM A5/CC1=CC1
        U1 - - : 1/VBUS=VBUS 2/D-=DM 3/D+=DP 4/GND=GND 6/D+=UDP 7/D-=UDM
        """
    )
    assert board.role("U1").name == "clamp"
    assert not board.role("U1").firm


def test_usb_by_net_names_is_not_firm_alone() -> None:
    board = make_board("Z5 - - : VBUS USB_D- USB_D+ ~ GND")
    assert board.role("Z5").name == "usb-connector"
    assert not board.role("Z5").firm


def test_converters_by_their_inductor() -> None:
    board = make_board(
        """
        U1 - - : 1/SW=LX 2/GND=GND 3/FB=FB 4/VOUT=V5 5/VIN=VBAT
        L1 4u7 L_0805 : VBAT LX
        U2 - - : 1/SW=LY 2/GND=GND 3/FB=FC 5/VIN=VBAT
        L2 2.2uH L_0805 : LY V1
        """
    )
    assert (board.role("U1").name, board.role("U2").name) == ("boost", "buck")


def test_explain_names_the_line_that_corrects() -> None:
    lines = {
        line.ref: line
        for line in explain(make_board("R10 1k R_0402 : A B\nR2 2k - : A B\nQ?1 - - : A"))
    }
    assert [*lines] == ["Q?1", "R2", "R10"]
    assert lines["R2"].correction == 'board.toml: [parts.R2] role = "resistor"'
    assert lines["Q?1"].correction.startswith('board.toml: [parts."Q?1"]')
    assert any(text.startswith("refdes:") for text in lines["R2"].evidence)
