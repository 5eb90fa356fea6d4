"""LED currents at their limits, in doubt, and through more than one part; chains of LEDs."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Severity, Unknown, Verdict
from rules import outcome, verdicts

SUPPLY = "J1 USB_B_Micro - : 1/VBUS=VBUS 5/GND=GND @symbol=USB_B_Micro\n"


def lit(
    ohms: str, volts: str = "3 V", forward: str = "", value: str = "red", more: str = ""
) -> Verdict:
    """An LED between a supply and ground, through R1 and what ``more`` gives; X is its anode."""
    text = (
        "U2 REG SOT-23-3 : 1/GND=GND 2/VOUT=VLED 3/VIN=VIN\n"
        f"R1 {ohms} R_0402 : VLED {'Y' if more else 'X'}\n{more}\n"
        f"D1 {value} LED_0603 : 1/K=GND 2/A=X @symbol=LED\n"
    )
    facts = f'[parts.U2]\nrole = "regulator"\noutput = "{volts}"\n'
    facts += f'[parts.D1]\nforward = "{forward}"\n' if forward else ""
    (verdict,) = verdicts("led-current", make_board(SUPPLY + text, facts))
    return verdict


def failed(found: Verdict) -> Fail:
    assert isinstance(found, Fail), found
    return found


# -- limits: 50 µA to 20 mA; from twice the most on, a stop ----------------------------------------
@pytest.mark.parametrize(
    ("ohms", "case", "stops"),
    [
        ("40100", "under", False),
        ("40000", "", False),  # 3 V less 1 V across 40 kΩ: 50 µA
        ("100", "", False),  # 20 mA
        ("99", "over", False),
        ("50", "over", False),  # 40 mA
        ("49", "over", True),
    ],
)
def test_the_current_is_held_against_its_limits(ohms: str, case: str, stops: bool) -> None:
    found = lit(ohms, forward="1 V")
    if not case:
        assert isinstance(found, Pass)
    else:
        assert (failed(found).case, failed(found).severity is None) == (case, stops)


def test_at_its_forward_voltage_an_led_is_dark() -> None:
    assert failed(lit("1k", volts="2 V", forward="2 V")).case == "dark"
    assert failed(lit("100k", volts="2.1 V", forward="2 V")).case == "under"


@pytest.mark.parametrize(("ohms", "shown"), [("30", 66.667), ("3M", 0.0007)], ids=["over", "under"])
def test_the_figure_is_told_to_a_microampere_above_and_a_tenth_below(
    ohms: str, shown: float
) -> None:
    found = failed(lit(ohms, forward="1 V"))
    assert found.measured == Measured(shown, "mA")
    assert found.limit == Limit(0.05, 20.0, "mA")


# LED_notes, University of Latvia (andromeda.df.lu.lv): 5 V, 1.8 V and 2 mA ask for 1.6 kΩ.
def test_the_advised_resistor_is_that_of_the_published_table() -> None:
    assert failed(lit("10", volts="5 V", forward="1.8 V")).words["value"] == "1.6 kΩ"
    assert failed(lit("1M", volts="5 V", forward="1.8 V")).words["value"] == "1.6 kΩ"


def test_the_advised_resistor_burns_no_led_of_a_low_forward_voltage() -> None:
    """Half way there is nothing left for a resistor; at the ends 0.9 V is: 45 Ω for 20 mA."""
    found = failed(lit("1M", volts="2.7 V", forward="1.8 V to 3.6 V"))
    assert found.words["value"] in ("43 Ω", "47 Ω")


# -- doubt --------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("ohms", "volts", "forward", "value", "verdict"),
    [
        # By colour alone: far inside the limits whatever it is; then astride the upper one.
        ("1k", "3.3 V", "", "red", Pass),
        ("68", "3.3 V", "", "red", Unknown),
        # Stated, but as a range that is astride.
        ("68", "3.3 V", "1.6 V to 2.2 V", "red", Unknown),
    ],
)
def test_only_a_doubt_about_the_led_asks_for_its_forward_voltage(
    ohms: str, volts: str, forward: str, value: str, verdict: type
) -> None:
    assert isinstance(lit(ohms, volts, forward, value), verdict)


def test_a_cell_that_sweeps_over_the_limit_is_no_doubt_about_the_led() -> None:
    """3 to 4.2 V less 1 V across 120 Ω: 17 to 27 mA."""
    text = 'BT1 "LiPo 100mAh" - : 1/+=VBAT 2/-=GND\nR1 120 R_0402 : VBAT X\n'
    led = "D1 red LED_0603 : 1/K=GND 2/A=X @symbol=LED\n"
    facts = '[cell]\nchemistry = "li-po"\n[parts.D1]\nforward = "1 V"\n'
    (found,) = verdicts("led-current", make_board(text + led, facts))
    assert isinstance(found, Pass)


@pytest.mark.parametrize(
    ("ohms", "value", "forward", "firm"),
    [("100", "red", "", False), ("47", "LED", "", False), ("100", "red", "2 V", True)],
)
def test_a_forward_voltage_that_nobody_states_is_no_firm_ground(
    ohms: str, value: str, forward: str, firm: bool
) -> None:
    found = failed(lit(ohms, volts="5 V", value=value, forward=forward))
    assert (found.case, found.firm) == ("over", firm)


def test_bare_between_supply_and_ground_stops_where_parts_give_the_supply() -> None:
    line = "D1 red LED_0603 : 1/K=GND 2/A={} @symbol=LED\n"
    (sure,) = outcome("led-current", make_board(SUPPLY + line.format("VBUS"))).findings
    (named,) = outcome("led-current", make_board(SUPPLY + line.format("+9V"))).findings
    assert sure.severity is Severity.STOP
    assert named.severity is Severity.CAUTION


# -- the way of the current -----------------------------------------------------------------------
def test_three_resistors_in_a_row_on_one_side_count_together() -> None:
    """3 V less 1 V across 2 kΩ is 1 mA; across any one of them alone it would be far too much."""
    row = "R2 30 R_0402 : Y Z\nR3 40 R_0402 : Z X"
    assert isinstance(lit("30", forward="1 V", more=row), Pass)
    found = failed(lit("30", forward="1 V", more=row.replace("40", "10")))
    assert found.subjects == ("D1", "R3", "R2", "R1")
    assert found.words["ohms"] == "70 Ω"


CHIP = 'U1 "" QFN-32 : 1/P1=IO1 2/P2=IO2 3/VDD/pwr=VBUS 4/GND/pwr=GND\n'


def pin_lit(parts: str) -> Verdict:
    made = make_board(SUPPLY + CHIP + parts, '[parts.U1]\nrole = "controller"\n')
    (verdict,) = verdicts("led-current", made)
    return verdict


def test_a_pull_at_the_driving_pin_is_not_the_way_of_the_current() -> None:
    """10 Ω from the pin burn the LED; the pull-up at that pin does not limit anything."""
    driven = "D1 red LED_0603 : 1/K=GND 2/A=X @symbol=LED\nR1 10 R_0402 : IO1 X\n"
    for pull in ("", "R2 100k R_0402 : IO1 VBUS\n"):
        found = failed(pin_lit(driven + pull))
        assert found.subjects == ("D1", "R1")


@pytest.mark.parametrize(
    ("pads", "others", "refs"),
    [
        # 10 Ω from the supply; beside it a pull-up at the sinking pin, a leakage resistor across
        # the LED, a second and weaker way, and a pull at the net behind another resistor.
        ("1/K=IO1 2/A=X", "R2 100k R_0402 : IO1 VBUS", "R1"),
        ("1/K=GND 2/A=X", "R2 100k R_0402 : X GND", "R1"),
        ("1/K=GND 2/A=X", "R0 100k R_0402 : X IO1", "R1"),
        ("1/K=Y 2/A=X", "R2 10 R_0402 : Y IO1\nR3 100k R_0402 : IO1 VBUS", "R1 R2"),
    ],
)
def test_only_the_resistors_on_the_way_limit(pads: str, others: str, refs: str) -> None:
    parts = f"D1 red LED_0603 : {pads} @symbol=LED\nR1 10 R_0402 : VBUS X\n{others}\n"
    found = failed(pin_lit(parts))
    assert found.case == "over"
    assert found.subjects == ("D1", *refs.split())


@pytest.mark.parametrize(("ohms", "case"), [("0", "pin"), ("1", "over"), ("10", "over")])
def test_a_bridge_at_a_pin_is_no_resistor(ohms: str, case: str) -> None:
    driven = f"D1 red LED_0603 : 1/K=GND 2/A=X @symbol=LED\nR1 {ohms} R_0402 : IO1 X\n"
    assert failed(pin_lit(driven)).case == case


def test_a_resistor_lights_the_led_that_a_pin_shorts() -> None:
    """An open-drain pin beside the LED: the current comes through the resistor."""
    parts = "D1 red LED_0603 : 1/K=GND 2/A=IO1 @symbol=LED\nR1 1k R_0402 : IO1 VBUS\n"
    assert isinstance(pin_lit(parts), Pass)


# -- chains ---------------------------------------------------------------------------------------
PIXEL = "1/VDD={rail} 2/DOUT={out} 3/VSS=GND 4/DIN={data}"
DRIVER = 'U1 "" QFN-32 : 1/P1=DATA 2/VDD/pwr=VBUS 3/GND/pwr=GND\n'
STATED = '[parts.D1]\nrole = "addressable-led"\nsupply = "3.7 V to 5.5 V"\n'


def chained(parts: str, facts: str = STATED) -> Verdict:
    (verdict,) = verdicts("led-chain", make_board(SUPPLY + DRIVER + parts, facts))
    return verdict


def test_a_pad_order_from_memory_stops_no_chain() -> None:
    """WS2812B-2020 by pad numbers alone: the card's pad table was not read from the data sheet."""
    numbered = "D1 WS2812B-2020 LED_WS2812B-2020 : 1=~ 2=GND 3=LOST 4=VBUS\n"
    named = "D1 WS2812B-2020 - : 1/DOUT=~ 2/VSS=GND 3/DIN=LOST 4/VDD=VBUS\n"
    found = [failed(chained(parts, "")) for parts in (numbered, named)]
    assert [(f.case, f.firm) for f in found] == [("open", False), ("open", True)]


def test_a_second_output_pin_is_looked_at_where_the_first_is_open() -> None:
    pins = "1/VDD=VBUS 2/DOUT=~ 3/VSS=GND 4/DIN=DATA 5/DO=DATA"
    assert failed(chained(f"D1 PIXEL - : {pins}\n")).case == "own"


def test_a_pull_down_drives_no_input() -> None:
    parts = f"D1 PIXEL - : {PIXEL.format(rail='VBUS', out='~', data='D0')}\nR1 10k - : D0 GND\n"
    found = failed(chained(parts))
    assert (found.case, found.nets) == ("open", ("D0",))
    assert isinstance(chained(parts + "R2 330 - : DATA D0\n"), Pass)


def test_a_jumper_on_the_way_with_all_its_pads_on_one_net_leads_nowhere() -> None:
    parts = f"D1 PIXEL - : {PIXEL.format(rail='VBUS', out='~', data='D0')}\nR1 0 - : D0 D0\n"
    assert failed(chained(parts)).case == "open"


@pytest.mark.parametrize(
    ("rail", "value", "facts", "firm"),
    [
        ("+3V3", "PIXEL", STATED, False),  # the rail by its name alone
        ("VREG", "SK6812", "", False),  # the least supply from a card written from memory
        ("VREG", "PIXEL", STATED, True),
    ],
)
def test_too_low_a_supply_stops_only_on_sure_figures(
    rail: str, value: str, facts: str, firm: bool
) -> None:
    parts = (
        f"D1 {value} - : {PIXEL.format(rail=rail, out='~', data='DATA')}\n"
        "U2 REG SOT-23-3 : 1/GND=GND 2/VOUT=VREG 3/VIN=VBUS\n"
    )
    facts += '[parts.U2]\nrole = "regulator"\noutput = "3.3 V"\ndropout = "0 V"\n'
    found = failed(chained(parts, facts))
    assert (found.case, found.firm) == ("low", firm)
