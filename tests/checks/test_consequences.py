"""One cause, one finding: what follows from a told cause is told beneath it."""

from __future__ import annotations

from boards import make_board
from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import Outcome, function_of, judge
from counterpoise.model.verdicts import Severity
from layouts import layout

CHARGER = """
J1 USB_C_Receptacle USB_C_Receptacle_16P : A1/GND=GND A4/VBUS=VBUS A5/CC1=CC1 B5/CC2=CC2 A12/GND=GND
BT1 "LiPo 500mAh" - : 1/+=VBAT 2/-=GND
U3 MCP73831T-2ACI/OT SOT-23-5 : 1/STAT=ST 2/VSS=GND 3/VBAT=VBAT 4/VDD=VBUS 5/PROG=PROG
R3 {ohms} - : PROG GND
"""
SWITCHES = """
BT1 CR2450 - : 1/+=VCC 2/-=GND
U7 X7 QFN-16 : 1/VDD/pwr=VCC 2/GND/pwr=GND 3/PA0/io=K1 4/PA1/io=K2
SW1 K1 SW_Push_1P1T : 1=K1 2=GND
{second} K2 SW_Push_1P1T : 1=~ 2=GND
"""
MODES = '[modes.hold]\ncurrent = "600 mA"\n'


TRACK = """
board 40 x 30
track VBAT F.Cu 0.2 : 5 5 20 5
"""


def told(circuit: str, manifest: str, *slugs: str, drawn: str = "") -> Outcome:
    rules = [all_rules()[slug] for slug in slugs]
    board = make_board(circuit, manifest, layout=layout(drawn) if drawn else None)
    return judge(board, [(rule, function_of(rule)) for rule in rules])


def test_the_draw_from_usb_is_told_beneath_a_wrong_set_resistor() -> None:
    slugs = ("charge-set-resistor", "usb-current")
    apart = told(CHARGER.format(ohms="10k"), MODES, *slugs)
    assert [f.rule for f in apart.findings] == ["usb-current"]
    (finding,) = told(CHARGER.format(ohms="470"), MODES, *slugs).findings
    assert finding.rule == "charge-set-resistor"
    assert any("J1 draws" in line for line in finding.under)


def test_a_narrow_track_is_told_beneath_a_wrong_set_resistor() -> None:
    slugs = ("charge-set-resistor", "track-current")
    loads = MODES.replace("600 mA", "2 A")
    apart = told(CHARGER.format(ohms="10k"), loads, *slugs, drawn=TRACK)
    assert [f.subjects for f in apart.findings] == [("VBAT",)]
    (finding,) = told(CHARGER.format(ohms="470"), "", *slugs, drawn=TRACK).findings
    assert finding.rule == "charge-set-resistor"
    assert any("VBAT carries" in line for line in finding.under)


def test_what_is_said_of_a_shared_ref_is_told_beneath_the_shared_ref() -> None:
    slugs = ("switch-no-return", "duplicate-reference")
    apart = told(SWITCHES.format(second="SW2"), "", *slugs)
    assert [(f.rule, f.subjects) for f in apart.findings] == [("switch-no-return", ("SW2",))]
    (finding,) = told(SWITCHES.format(second="SW1"), "", *slugs).findings
    assert (finding.rule, finding.severity) == ("duplicate-reference", Severity.STOP)
    assert len(finding.under) == 1
