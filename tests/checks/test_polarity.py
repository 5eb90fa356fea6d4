"""Capacitors, diodes and LEDs that have a polarity: the boards next to each other that differ."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass, Severity, Skip, Unknown, Verdict
from rules import outcome, verdicts

# A USB supply of 4 to 5.5 V, 3.3 V and 1.8 V (VCORE) made of it, a cell of 3 to 4.2 V; VSYS is a
# chip's supply that nothing tells the voltage of; "+9V" says its voltage by its name alone.
BOARD = """
J1 USB_B_Micro - : 1/VBUS=VBUS 2/D-=DM 5/GND=GND @symbol=USB_B_Micro
U2 REG SOT-23-3 : 1/GND=GND 2/VOUT=+3V3 3/VIN=VBUS
U1 "" QFN-32 : 1/P1=IO1 2/P2=IO2 3/VDD/pwr=+3V3 4/GND/pwr=GND
U4 "" QFN-32 : 1/VDD/pwr=VSYS 2/GND/pwr=GND
U7 REG SOT-23-3 : 1/GND=GND 2/VOUT=VCORE 3/VIN=VBUS
BT1 "LiPo 100mAh" - : 1/+=VBAT 2/-=GND
"""
FACTS = """
[cell]
chemistry = "li-po"
[parts.U2]
role = "regulator"
output = "3.3 V"
dropout = "0.2 V"
[parts.U7]
role = "regulator"
output = "1.8 V"
dropout = "0.2 V"
[parts.U1]
role = "controller"
[parts.U4]
role = "controller"
"""


def judged(slug: str, parts: str, facts: str = "") -> Verdict:
    (verdict,) = verdicts(slug, make_board(BOARD + parts, FACTS + facts))
    return verdict


def failed(slug: str, parts: str, facts: str = "") -> Fail:
    found = judged(slug, parts, facts)
    assert isinstance(found, Fail), found
    return found


# -- capacitors ---------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("plus", "minus", "firm"),
    [
        ("1/+=+3V3", "2/-=VBUS", True),
        # By usual numbering only, then against a net whose name alone says 9 V, 1.8 V.
        ("1=+3V3", "2=VBUS", False),
        ("1/+=+3V3", "2/-=+9V", False),
        ("1/+=+1V8", "2/-=VBUS", False),
    ],
)
def test_a_capacitor_between_two_supplies_stops_only_on_sure_levels_and_pads(
    plus: str, minus: str, firm: bool
) -> None:
    found = failed("polar-cap-reversed", f"C1 47u CP_EIA-3528 : {plus} {minus} @symbol=C_Polarized")
    assert (found.case, found.firm) == ("below", firm)


def test_one_named_pad_of_two_tells_the_other() -> None:
    """A symbol that marks only its positive pin, which is not pad 1."""
    right = "C1 47u CP_EIA-3528 : 1=GND 2/+=+3V3 @symbol=C_Polarized"
    wrong = "C1 47u CP_EIA-3528 : 1=+3V3 2/+=GND @symbol=C_Polarized"
    assert isinstance(judged("polar-cap-reversed", right), Pass)
    assert failed("polar-cap-reversed", wrong).case == "grounded"
    marked = "C1 47u CP_EIA-3528 : 1/-={} 2=+3V3 @symbol=C_Polarized"
    assert isinstance(judged("polar-cap-reversed", marked.format("GND")), Pass)


def test_one_named_pad_of_three_leaves_the_others_open() -> None:
    for pins in ("1/+=+3V3 2/X=GND 3/Y=GND", "1/X=+3V3 2/-=GND 3/Y=GND"):
        found = judged("polar-cap-reversed", f"C1 47u CP_EIA-3528 : {pins} @symbol=C_Polarized")
        assert isinstance(found, Unknown)


@pytest.mark.parametrize("land", ["CP_Elec_4x5.4", "Capacitor_SMD:CP_EIA-3528", "ELKO_CP"])
def test_a_land_pattern_for_polarised_capacitors_is_enough(land: str) -> None:
    assert failed("polar-cap-reversed", f"C1 47u {land} : 1=GND 2=+3V3").case == "grounded"
    assert isinstance(judged("polar-cap-reversed", f"C1 47u {land} : 1=+3V3 2=GND"), Pass)


# -- diodes -------------------------------------------------------------------------------------
LOAD = 'U3 "" SOT-23-5 : 1/{name}{kind}=LOAD 2/GND/pwr=GND 3/X=X 4/Y=Y 5/Z=Z\n'


@pytest.mark.parametrize(
    ("name", "kind"), [("VDD", ""), ("FEED", "/pwr"), ("VDD", "/pwr")], ids=str
)
def test_a_diode_against_the_source_is_told_by_the_pin_that_it_feeds(name: str, kind: str) -> None:
    """The load's pin is a supply by its name, or by its electrical kind."""
    load = LOAD.format(name=name, kind=kind)
    facts = '[parts.U3]\nrole = "logic"\n'
    found = failed("diode-reversed", load + "D1 1N5819 SOD-123 : 1/K=VBUS 2/A=LOAD", facts)
    assert (found.case, found.words["fed"]) == ("against", f"U3.1 ({name})")


@pytest.mark.parametrize(
    "parts",
    [
        # To a signal there is nothing to feed: the diode holds the line below the supply.
        LOAD.format(name="SENSE", kind="") + "D1 1N5819 SOD-123 : 1/K=VBUS 2/A=LOAD",
        # A Zener diode there drops its own voltage on purpose.
        LOAD.format(name="VDD", kind="/pwr")
        + "D1 BZX84 SOD-123 : 1/K=VBUS 2/A=LOAD @symbol=D_Zener",
        # A net whose name alone says that it is a supply may be the load.
        LOAD.format(name="VDD", kind="/pwr") + "D1 1N5819 SOD-123 : 1/K=+9V 2/A=LOAD",
        # Nor is one sure that is fed through a diode whose pads are taken by usual numbering.
        LOAD.format(name="VDD", kind="/pwr")
        + "D1 1N5819 SOD-123 : 1/K=VX 2/A=LOAD\nD2 1N5819 SOD-123 : VX VBUS",
        # Ground feeds every chip, and is no load.
        "D1 1N5819 SOD-123 : 1/K=+3V3 2/A=GND",
    ],
    ids=["signal", "zener", "by name", "by numbers", "ground"],
)
def test_a_diode_with_its_cathode_on_a_supply_may_be_sound(parts: str) -> None:
    facts = '[parts.U3]\nrole = "logic"\n' if "U3" in parts else ""
    found = verdicts("diode-reversed", make_board(BOARD + parts, FACTS + facts))
    assert found[0] == Pass("D1")


def test_a_second_chip_is_fed_where_the_first_pin_is_none() -> None:
    parts = (
        "R1 10k R_0402 : LOAD FB\n"
        + LOAD.format(name="VDD", kind="/pwr")
        + "D1 1N5819 SOD-123 : 1/K=VBUS 2/A=LOAD"
    )
    found = failed("diode-reversed", parts, '[parts.U3]\nrole = "logic"\n')
    assert found.words["fed"] == "U3.1 (VDD)"


@pytest.mark.parametrize(
    ("line", "back"),
    [
        ("D1 1N5819 SOD-123 : 1/K=VBUS 2/A=VBAT", True),
        ("F1 500mA F_0805 : VBUS IN @symbol=Fuse\nD1 1N5819 SOD-123 : 1/K=IN 2/A=VBAT", True),
        # Another contact of the socket is no way out for the supply.
        ("D1 1N5819 SOD-123 : 1/K=DM 2/A=VBAT", False),
        ("D1 BZX84 SOD-123 : 1/K=VBUS 2/A=VBAT @symbol=D_Zener", False),
    ],
    ids=["straight", "behind a fuse", "data line", "zener"],
)
def test_a_diode_from_the_cell_out_into_the_socket_is_a_caution(line: str, back: bool) -> None:
    found = judged("diode-reversed", line)
    if back:
        assert isinstance(found, Fail)
        assert (found.case, found.severity) == ("back", Severity.CAUTION)
    else:
        assert isinstance(found, Pass)


@pytest.mark.parametrize(
    ("pins", "reason"),
    [
        ("1/A1=IO1 2/A2=IO2 3/K=GND", "several diodes"),
        ("1/K1=+3V3 2/K2=VBUS 3/A=GND", "several diodes"),
        ("1/A1=IO1 2/A2=IO2 3/K1=+3V3 4/K2=+3V3", "several diodes"),
    ],
    ids=["common cathode", "common anode", "apart"],
)
def test_a_body_with_two_diodes_is_left_alone(pins: str, reason: str) -> None:
    found = judged("diode-reversed", f"D1 BAT54 SOT-23 : {pins} @symbol=D_Dual")
    assert isinstance(found, Skip)
    assert reason in found.reason


@pytest.mark.parametrize("pins", ["1/A=GND 2/Q=+3V3", "1/Q=+3V3 2/K=GND"])
def test_a_diode_with_one_named_pad_asks_for_the_cathode(pins: str) -> None:
    found = judged("diode-reversed", f"D1 1N5819 SOD-123 : {pins}", '[parts.D1]\nrole = "diode"\n')
    assert isinstance(found, Unknown)
    assert "the cathode" in found.needs[0].what


# -- LEDs ---------------------------------------------------------------------------------------
def led(cathode: str, anode: str, more: str = "") -> str:
    return f"D1 red LED_0603 : 1/K={cathode} 2/A={anode} @symbol=LED\n{more}"


def test_an_end_that_leads_nowhere_is_told_apart_from_a_driven_one() -> None:
    driven = judged("led-reversed", led("IO1", "IO2"))
    lost = judged("led-reversed", led("LOST", "IO1"))
    other = judged("led-reversed", led("IO1", "LOST"))
    assert isinstance(driven, Skip)
    assert "two driven pins" in driven.reason
    for found in (lost, other):
        assert isinstance(found, Skip)
        assert "leads to no supply and no driving pin" in found.reason


@pytest.mark.parametrize(
    ("parts", "what"),
    [
        (led("IO1", "VSYS"), "sound"),
        (led("X", "VSYS", "R1 1k R_0402 : X IO1"), "sound"),
        (led("VSYS", "IO1"), "turned"),
        (led("VSYS", "X", "R1 1k R_0402 : X IO1"), "turned"),
        (led("VSYS", "VSYS2", 'U5 "" QFN-32 : 1/VDD/pwr=VSYS2 2/GND/pwr=GND'), "open"),
        # A pull-up beside a driving pin makes no supply of it.
        (led("IO1", "IO2", "R1 10k R_0402 : IO1 VSYS"), "open"),
        (led("IO1", "IO2", "R1 10k R_0402 : IO2 VSYS"), "open"),
    ],
)
def test_an_led_at_a_supply_of_unknown_voltage(parts: str, what: str) -> None:
    facts = '[parts.U5]\nrole = "controller"\n' if "U5" in parts else ""
    found = judged("led-reversed", parts, facts)
    kinds = {"sound": Pass, "turned": Fail, "open": Skip}
    assert isinstance(found, kinds[what])
    if isinstance(found, Fail):
        assert not found.firm
        assert "VSYS" in found.doubt


@pytest.mark.parametrize(
    "parts",
    [
        # A status pin with its pull-up, and the LED it sinks, on one supply.
        led("IO1", "X", "R1 1k R_0402 : X +3V3\nR2 10k R_0402 : IO1 +3V3"),
        # A resistor beside the LED, against glowing by leakage: at ground, at the sinking pin.
        led("GND", "X", "R1 10k R_0402 : X GND\nR2 330 R_0402 : X +3V3"),
        led("IO1", "X", "R1 10k R_0402 : X IO1\nR2 330 R_0402 : X +3V3"),
        # A pull-down at the pin that lights it, before and behind the LED's resistor.
        led("Y", "IO1", "R1 10k R_0402 : IO1 GND\nR2 330 R_0402 : Y GND"),
        led("GND", "X", "R1 10k R_0402 : IO1 GND\nR2 330 R_0402 : X IO1"),
        # A pull-down at the anode of an LED that a pin sinks.
        led("IO1", "X", "R1 10k R_0402 : X GND\nR2 330 R_0402 : X +3V3"),
        # Two supplies at one end: the LED lights from the higher, into the lower.
        led("+3V3", "X", "R1 1k R_0402 : X VCORE\nR2 1k R_0402 : X VBUS"),
        led("X", "+3V3", "R1 1k R_0402 : X VBUS\nR2 1k R_0402 : X VCORE"),
        # A pin behind the first resistor, the supply behind the second; and the other way round.
        led("IO2", "X", "R1 1k R_0402 : X IO1\nR2 1k R_0402 : X +3V3"),
        led("X", "IO2", "R1 1k R_0402 : X IO1\nR2 1k R_0402 : X GND"),
    ],
)
def test_an_led_is_sound_that_one_of_several_ways_lights(parts: str) -> None:
    assert isinstance(judged("led-reversed", parts), Pass)
    assert isinstance(judged("led-current", parts), Pass)


@pytest.mark.parametrize(
    ("parts", "case"),
    [
        # The same boards with the LED turned.
        (led("X", "IO1", "R1 1k R_0402 : X +3V3\nR2 10k R_0402 : IO1 +3V3"), "cathode-up"),
        (led("X", "GND", "R1 10k R_0402 : X GND\nR2 330 R_0402 : X +3V3"), "anode-grounded"),
        (led("X", "+3V3", "R1 1k R_0402 : X VBUS\nR2 1k R_0402 : X +9V"), "cathode-up"),
        (led("VBUS", "X", "R1 1k R_0402 : X VCORE\nR2 1k R_0402 : X +3V3"), "cathode-up"),
        # A pin may sink the cathode, but where it lies at a supply the pin is shorted.
        (led("+3V3", "X", "R1 1k R_0402 : X IO1\nR2 1k R_0402 : X IO2"), "cathode-up"),
    ],
)
def test_an_led_is_turned_that_none_of_several_ways_lights(parts: str, case: str) -> None:
    assert failed("led-reversed", parts).case == case


def test_a_pin_may_hold_the_other_end_low_or_high_beside_a_supply() -> None:
    """A pin beats the last choice of its end: ground for an anode, a supply for a cathode."""
    anode = led("IO2", "X", "R1 1k R_0402 : X IO1\nR2 1k R_0402 : X GND")
    cathode = led("X", "IO2", "R1 1k R_0402 : X IO1\nR2 1k R_0402 : X +3V3")
    for parts in (anode, cathode):
        found = judged("led-reversed", parts)
        assert isinstance(found, Skip)
        assert "two driven pins" in found.reason


def test_an_led_between_supplies_that_only_touch_waits_for_their_voltages() -> None:
    """At 4 V above 4 V nothing flows: whether it ever lights is open."""
    parts = "U6 REG SOT-23-3 : 1/GND=GND 2/VOUT=AUX 3/VIN=VBUS\nR1 1k R_0402 : VBUS X\n"
    facts = '[parts.U6]\nrole = "regulator"\noutput = "{}"\ndropout = "0 V"\n'
    at = judged("led-reversed", parts + led("AUX", "X"), facts.format("4.0 V"))
    under = judged("led-reversed", parts + led("AUX", "X"), facts.format("3.9 V"))
    assert isinstance(at, Unknown)
    assert isinstance(under, Pass)


CAPS = "C1 100n C_0402 : +1V8 GND\nC2 100n C_0402 : +1V8 GND\n"


@pytest.mark.parametrize(
    ("cathode", "anode", "firm"),
    [("VBUS", "+3V3", True), ("+9V", "+3V3", False), ("VBUS", "+1V8", False)],
)
def test_an_led_between_two_supplies_stops_only_on_sure_levels(
    cathode: str, anode: str, firm: bool
) -> None:
    found = failed("led-reversed", led(cathode, "X", f"R1 1k R_0402 : X {anode}\n{CAPS}"))
    assert (found.case, found.firm) == ("cathode-up", firm)


def test_a_charger_lifts_by_its_output_not_by_its_status_pin() -> None:
    """At the supply a cathode never gets below a status pin; a charger's output is not known."""
    charger = "U8 CHG SOT-23-5 : 1/STAT=ST 2/VSS=GND 3/BAT=OUT 4/VDD=VBUS 5/PROG=P\n"
    facts = '[parts.U8]\nrole = "charger"\n'
    assert failed("led-reversed", charger + led("+3V3", "ST"), facts).case == "cathode-up"
    assert isinstance(judged("led-reversed", charger + led("+3V3", "OUT"), facts), Unknown)


def test_a_stated_polarity_is_sure() -> None:
    parts = "D1 red LED_0603 : +3V3 X @symbol=LED\nR1 1k R_0402 : X GND\n"
    guessed = failed("led-reversed", parts)
    stated = failed("led-reversed", parts, '[parts.D1]\npolarity = "cathode 1"\n')
    assert (guessed.firm, stated.firm) == (False, True)


def test_a_turned_led_with_a_sure_cause_stops() -> None:
    made = make_board(BOARD + led("+3V3", "GND"), FACTS)
    (finding,) = outcome("led-reversed", made).findings
    assert finding.severity is Severity.STOP
