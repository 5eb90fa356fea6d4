"""What pulls a switch's input: which resistors count, how far away, and what they draw."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from rules import verdicts

BOARD = """
J1 USB_B_Micro - : 1/VBUS=VBUS 5/GND=GND @symbol=USB_B_Micro
U2 REG SOT-23-3 : 1/GND=GND 2/VOUT=+3V3 3/VIN=VBUS
U1 "" QFN-32 : 1/P1=IN1 2/P2=IN2 3/VDD/pwr=+3V3 4/GND/pwr=GND 5/P5=~ 6/P6=~
"""
FACTS = """
[parts.U2]
role = "regulator"
output = "3.3 V"
dropout = "0.2 V"
[parts.U1]
role = "controller"
input_pulls = "none"
"""
TO_GROUND = "SW1 - SW_Push_4.2x3.2 : IN1 GND @symbol=SW_Push\n"
TO_SUPPLY = "SW1 - SW_Push_4.2x3.2 : IN1 +3V3 @symbol=SW_Push\n"


def judged(parts: str, facts: str = FACTS) -> list[Verdict]:
    return verdicts("input-pull", make_board(BOARD + parts, facts))


def failed(parts: str, facts: str = FACTS) -> Fail:
    (found,) = judged(parts, facts)
    assert isinstance(found, Fail), found
    return found


# -- which inputs ---------------------------------------------------------------------------------
def test_a_switch_between_two_signals_hides_no_later_one() -> None:
    between = "SW0 - SW_Push_4.2x3.2 : ROW COL @symbol=SW_Push\n"
    assert failed(between + TO_GROUND).subjects == ("SW1",)


def test_an_input_that_two_switches_move_hides_no_later_one() -> None:
    parts = TO_GROUND + "SW2 - SW_Push_4.2x3.2 : IN1 GND @symbol=SW_Push\n"
    parts += "SW3 - SW_Push_4.2x3.2 : IN2 GND @symbol=SW_Push\n"
    found = failed(parts)
    assert found.subjects == ("SW1", "SW3")
    assert found.words["pins"] == "U1.1 (P1) and U1.2 (P2)"


def test_a_resistor_with_an_open_end_leads_to_no_input() -> None:
    """Not to the open pins of the chip."""
    found = failed(TO_GROUND + "R1 10k R_0402 : IN1 ~\n")
    assert found.words["pins"] == "U1.1 (P1)"


@pytest.mark.parametrize(
    ("row", "read"),
    [
        ("R1 1k - : A IN1", True),
        ("R1 1k - : A B\nR2 1k - : B IN1", True),
        # Further away it is another circuit's input.
        ("R1 1k - : A B\nR2 1k - : B C\nR3 1k - : C IN1", False),
    ],
)
def test_an_input_is_the_switchs_through_two_parts_at_most(row: str, read: bool) -> None:
    found = judged(f"SW1 - SW_Push_4.2x3.2 : A GND @symbol=SW_Push\n{row}\n")
    assert [type(one) for one in found] == ([Fail] if read else [])


# -- which resistors ------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("switch", "pull", "case"),
    [
        (TO_GROUND, "IN1 +3V3", ""),
        (TO_SUPPLY, "IN1 GND", ""),
        # To the side that the switch leads to as well: nothing changes when it is pressed.
        (TO_GROUND, "IN1 GND", "idle"),
        (TO_SUPPLY, "IN1 +3V3", "idle"),
        (TO_SUPPLY, "IN1 VBUS", "idle"),
    ],
)
def test_a_pull_goes_to_the_other_level_than_the_switch(switch: str, pull: str, case: str) -> None:
    parts = f"{switch}R1 10k R_0402 : {pull}\n"
    if case:
        found = failed(parts)
        assert (found.case, found.subjects, found.nets) == (case, ("SW1", "R1"), ("IN1",))
        # A pull inside the chip does not overcome it.
        assert failed(parts, FACTS.replace('"none"', '"internal"')).case == case
    else:
        assert isinstance(judged(parts)[0], Pass)


def test_beside_a_pull_a_resistor_to_the_other_side_is_a_divider() -> None:
    parts = TO_GROUND + "R1 10k R_0402 : IN1 +3V3\nR2 100k R_0402 : IN1 GND\n"
    assert isinstance(judged(parts)[0], Pass)
    assert failed(parts.replace("10k", "100")).subjects == ("SW1", "R1")


def test_a_change_over_switch_leads_to_both_levels() -> None:
    parts = "SW1 - - : 1/COM=IN1 2/NO=GND 3/NC=+3V3 @symbol=SW_SPDT\nR1 10k R_0402 : IN1 GND\n"
    assert isinstance(judged(parts, FACTS + '[parts.SW1]\nrole = "change-over-switch"\n')[0], Pass)


@pytest.mark.parametrize(
    ("ohms", "verdict"), [("220k", Fail), ("221k", Pass), ("1M", Pass), ("-", Pass)]
)
def test_a_resistor_too_weak_for_a_pull_leaves_the_input_to_the_chip(
    ohms: str, verdict: type
) -> None:
    """A leakage resistor of 1 MΩ to ground; common practice, no source."""
    parts = TO_GROUND + f"R1 {ohms} R_0402 : IN1 GND\n"
    (found,) = judged(parts, FACTS.replace('"none"', '"internal"'))
    assert isinstance(found, verdict)


# -- what it draws --------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "parts", [TO_GROUND + "R1 100 - : IN1 +3V3", TO_SUPPLY + "R1 100 - : IN1 GND"]
)
def test_a_strong_pull_tells_what_it_draws(parts: str) -> None:
    """3.3 V across 100 Ω, to whichever level it pulls."""
    found = failed(parts)
    assert (found.case, found.words["current"]) == ("strong", ", 33 mA while it is closed")


def test_a_pull_that_may_be_no_ohms_at_all_tells_no_current() -> None:
    """A setting resistor stated from nothing on: the least counts, and no current can be told."""
    facts = FACTS + '[parts.R1]\nresistance = "0 ohm to 500 ohm"\n'
    found = failed(TO_GROUND + "R1 500 R_0402 : IN1 +3V3\n", facts)
    assert (found.case, found.words["current"]) == ("strong", "")
    least = FACTS + '[parts.R1]\nresistance = "1 ohm to 500 ohm"\n'
    found = failed(TO_GROUND + "R1 500 R_0402 : IN1 +3V3\n", least)
    assert found.words["current"] == ", 3.3 A while it is closed"


def test_a_chip_whose_pulls_are_not_told_is_asked_for() -> None:
    (found,) = judged(TO_GROUND, FACTS.replace('input_pulls = "none"\n', ""))
    assert isinstance(found, Unknown)
    assert "U1 pulls the inputs of SW1" in found.needs[0].what
