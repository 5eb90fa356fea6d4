"""What a port may see on its supply and give to the board, just at the limits."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from rules import verdicts

PORT = "J1 USB_Micro-B USB_Micro-B : 1/VBUS=VBUS 2/D-=~ 3/D+=~ 4/ID=~ 5/GND=GND\n"
CHARGER = (
    "U1 X99 SOT-23-5 : 1/STAT=CHG 2/VSS=GND 3/VBAT=VBAT 4/VDD=VBUS 5/PROG=~\n"
    'BT1 "LiPo 1000mAh" - : 1/+=VBAT 2/-=GND\n'
)


def stored(*values: str) -> Verdict:
    lines = "".join(f"C{i} {value} C_0603 : VBUS GND\n" for i, value in enumerate(values))
    (verdict,) = verdicts("usb-vbus-capacitance", make_board(PORT + lines))
    return verdict


@pytest.mark.parametrize("values", [("950n",), ("10u", "470n"), ("10u", "0.5u")])
def test_just_inside_the_slack(values: tuple[str, ...]) -> None:
    assert isinstance(stored(*values), Pass)


@pytest.mark.parametrize(
    ("values", "case"),
    [(("940n",), "low"), (("10u", "510n"), "high"), (("10u", "1u"), "high"), ((), "none")],
)
def test_just_outside_the_slack(values: tuple[str, ...], case: str) -> None:
    verdict = stored(*values)
    assert isinstance(verdict, Fail)
    assert verdict.case == case


def drawn(load: str, charge: str) -> Verdict:
    facts = f'[modes.hold]\ncurrent = "{load}"\n[parts.U1]\nrole = "charger"\n'
    facts += f'charge_current = "{charge}"\n'
    (verdict,) = verdicts("usb-current", make_board(PORT + CHARGER, facts))
    return verdict


# USB 2.0, 7.2.1: five unit loads of 100 mA.
def test_500_ma_may_be_drawn_and_not_one_more() -> None:
    assert isinstance(drawn("100 mA", "400 mA"), Pass)
    assert isinstance(drawn("101 mA", "400 mA"), Fail)


def test_the_draw_is_told_to_the_microampere() -> None:
    verdict = drawn("200.00016 mA", "400 mA")
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    assert verdict.measured.value == 600.0


def test_a_range_may_reach_a_tenth_over_the_limit() -> None:
    assert isinstance(drawn("0 mA", "450 mA to 550 mA"), Pass)
    assert isinstance(drawn("0 mA", "450 mA to 551 mA"), Unknown)
