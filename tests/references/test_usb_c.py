"""USB figures against the published tables."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.catalog.rules import all_rules
from counterpoise.model.verdicts import Fail, Pass
from rules import outcome, verdicts

PORT = "J1 USB_C_Receptacle USB_C_16P : A1/GND=GND A4/VBUS=VBUS A5/CC1=CC1 B5/CC2=CC2\n"


# USB Type-C Specification, sink CC termination (Rd): 5.1 kΩ ±20 %, the same in ST UM2191 table 3.
def test_band_is_twenty_per_cent_around_5_1_kilohm() -> None:
    band = all_rules()["usb-cc-pulldowns"].limit("pull-down")
    assert [band.low, band.high] == pytest.approx([5100 * 0.8, 5100 * 1.2])


# TI TUSB422, electrical characteristics: Rd 4.6, 5.1, 5.6 kΩ.
@pytest.mark.parametrize("ohms", ["4.6k", "5.1k", "5.6k"])
def test_chip_values_of_the_pull_down_pass(ohms: str) -> None:
    board = make_board(f"{PORT}R1 {ohms} R_0402 : CC1 GND\nR2 {ohms} R_0402 : CC2 GND")
    (found,) = verdicts("usb-cc-pulldowns", board)
    assert isinstance(found, Pass)


# TI TUSB422: Ra 0.8, 1, 1.2 kΩ; 5.1 kΩ beside 1 kΩ is 836 Ω, inside Ra's own band.
def test_a_shared_pull_down_looks_like_an_accessory() -> None:
    board = make_board(
        PORT.replace("CC1=CC1", "CC1=CC").replace("CC2=CC2", "CC2=CC") + "R1 5.1k R_0402 : CC GND"
    )
    (finding,) = outcome("usb-cc-pulldowns", board).findings
    assert "836 Ω" in finding.message
    assert pytest.approx(836.07, abs=0.01) == 5100 * 1000 / 6100


# ST UM2191 table 2: a source's pull-ups to 5 V 56 k ±20 %, 22 k ±5 %, 10 k ±5 %; to 3.3 V 36 k,
# 12 k, 4.7 k. A port that has them gives power, and needs no pull-downs.
@pytest.mark.parametrize("ohms", ["56k", "22k", "10k", "36k", "12k", "4.7k"])
def test_a_source_is_left_alone(ohms: str) -> None:
    board = make_board(f"{PORT}R1 {ohms} R_0402 : CC1 VBUS\nR2 {ohms} R_0402 : CC2 VBUS")
    assert outcome("usb-cc-pulldowns", board).coverage[0].verdict == "not-applicable"


# TI TUSB1210 table 8-4: VBUS capacitance of a device 4.7 µF, range 1.0 to 10.0 µF.
@pytest.mark.parametrize(
    ("value", "verdict"),
    [("1u", Pass), ("4.7u", Pass), ("10u", Pass), ("22u", Fail), ("470n", Fail)],
)
def test_supply_capacitance_of_a_device(value: str, verdict: type) -> None:
    (found,) = verdicts("usb-vbus-capacitance", make_board(f"{PORT}C1 {value} C_0603 : VBUS GND"))
    assert type(found) is verdict
