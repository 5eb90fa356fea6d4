"""What counts as a sink's pull-down, a source's pull-up and a series resistor, at the edges."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass, Skip, Verdict
from rules import verdicts

PORT = (
    "J1 USB_C_Receptacle USB_C_16P : A1/GND=GND A4/VBUS=VBUS A5/CC1=CC1 B5/CC2=CC2 S1/SHIELD=GND\n"
    "U9 X9 SOT-23 : 1/VDD=+3V3 2/GND=GND\n"
)


def at_contacts(*lines: str) -> Verdict:
    """The verdict on a port with these further parts."""
    (verdict,) = verdicts("usb-cc-pulldowns", make_board(PORT + "\n".join(lines)))
    return verdict


def pulled_up(ohms: float, supply: str) -> list[Verdict]:
    lines = "\n".join(f"R{i} {ohms:g}R R_0402 : CC{i} {supply}" for i in (1, 2))
    return verdicts("usb-cc-pulldowns", make_board(PORT + lines))


# USB Type-C Specification, source CC termination (Rp), from memory: 56, 22 and 10 kΩ to 5 V,
# 36, 12 and 4.7 kΩ to 3.3 V; 20 % where only the default current is offered, else 5 %.
RP = [
    ("VBUS", 56e3, 0.2),
    ("VBUS", 22e3, 0.05),
    ("VBUS", 10e3, 0.05),
    ("+3V3", 36e3, 0.2),
    ("+3V3", 12e3, 0.05),
    ("+3V3", 4.7e3, 0.05),
]


@pytest.mark.parametrize(("supply", "ohms", "spread"), RP)
def test_a_pull_up_of_a_source_makes_it_one(supply: str, ohms: float, spread: float) -> None:
    for share in (1 - spread, 1.0, 1 + spread):
        assert [type(v) for v in pulled_up(round(ohms * share), supply)] == [Skip], share


@pytest.mark.parametrize(
    ("supply", "ohms"),
    [
        ("VBUS", 44.0e3),  # between the two of 20 %
        ("VBUS", 67.9e3),
        ("VBUS", 23.3e3),
        ("VBUS", 20.7e3),
        ("VBUS", 10.7e3),
        ("VBUS", 9.3e3),
        ("+3V3", 44.0e3),
        ("+3V3", 28.5e3),
        ("+3V3", 12.8e3),
        ("+3V3", 11.3e3),
        ("+3V3", 5.1e3),  # a sink's resistor on the wrong side
        ("+3V3", 4.4e3),
    ],
)
def test_any_other_resistor_to_a_supply_is_a_mistake(supply: str, ohms: float) -> None:
    for verdict in pulled_up(ohms, supply):
        assert isinstance(verdict, Fail)
        assert verdict.case == "elsewhere"
        assert verdict.words["net"] == supply


@pytest.mark.parametrize("ohms", [4080, 6120])
def test_the_ends_of_the_sinks_band_are_inside(ohms: int) -> None:
    assert isinstance(at_contacts(*(f"R{i} {ohms}R - : CC{i} GND" for i in (1, 2))), Pass)


def test_a_resistor_that_is_no_longer_in_series_is_a_pull() -> None:
    verdict = at_contacts("R1 220R - : CC1 CX", "R2 4.7k - : CX GND", "R3 5.1k - : CC2 GND")
    assert isinstance(verdict, Fail)
    assert verdict.case == "elsewhere"


def test_resistors_side_by_side_are_reckoned_together_and_rounded() -> None:
    verdict = at_contacts("R1 3R - : CC1 GND", "R2 7.5R - : CC1 GND", "R3 5.1k - : CC2 GND")
    assert isinstance(verdict, Fail)
    assert verdict.subjects == ("J1", "R1", "R2")
    assert verdict.measured is not None
    assert verdict.measured.value == 2.143  # 3 * 7.5 / 10.5
