"""Radio rules without geometry: the way from chip to antenna, matching pads, the radio's supply."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from rules import outcome, verdicts

CHIP = "U1 RX900 QFN-32 : 1/RF={} 2/VDD/pwr=+3V3 3/GND/pwr=GND 4/XIN=XIN\n"
CHIP_ANTENNA = "AE1 Antenna_Chip - : 1/FEED={} 2/GND=GND @symbol=Antenna_Chip\n"
FACTS = '[parts.U1]\nrole = "radio"\n'
SERIES = ["2n2 L_0402", "1.5p C_0402", "0R R_0402"]


def fed(text: str, facts: str = FACTS) -> Verdict:
    (verdict,) = verdicts("antenna-fed", make_board(text, facts))
    return verdict


def ladder(kinds: list[str], *, missing: int | None = None, shunts: bool = False) -> str:
    """RF pin to antenna through the parts in turn; one of them may be not fitted."""
    nets = ["RFP", *(f"N{i}" for i in range(1, len(kinds))), "FEED"]
    lines = [CHIP.format("RFP"), CHIP_ANTENNA.format("FEED")]
    for i, kind in enumerate(kinds):
        mark = " @dnp" if i == missing else ""
        ref = {"L": "L", "C": "C", "R": "R"}[kind.split(" ")[1][0]]
        lines.append(f"{ref}{i + 1} {kind} : {nets[i]} {nets[i + 1]}{mark}\n")
    if shunts:
        lines += [f"C{90 + i} 1p C_0402 : {net} GND\n" for i, net in enumerate(nets)]
    return "".join(lines)


@given(st.lists(st.sampled_from(SERIES), min_size=1, max_size=3), st.booleans())
def test_a_ladder_of_fitted_parts_feeds_the_antenna(kinds: list[str], shunts: bool) -> None:
    assert isinstance(fed(ladder(kinds, shunts=shunts)), Pass)


@given(st.lists(st.sampled_from(SERIES), min_size=1, max_size=3), st.data())
def test_with_one_rung_not_fitted_it_does_not_and_that_part_is_named(
    kinds: list[str], data: st.DataObject
) -> None:
    missing = data.draw(st.integers(0, len(kinds) - 1))
    text = ladder(kinds, missing=missing, shunts=True)
    verdict = fed(text)
    assert isinstance(verdict, Fail)
    assert verdict.subjects[0] == "AE1"
    assert any(ref.endswith(str(missing + 1)) for ref in verdict.subjects[1:])


def test_a_shunt_alone_is_no_way() -> None:
    text = CHIP.format("RFP") + CHIP_ANTENNA.format("FEED") + "C1 1p C_0402 : RFP GND\n"
    verdict = fed(text)
    assert isinstance(verdict, Fail)
    assert verdict.case == "nowhere"


def test_straight_on_the_pin() -> None:
    assert isinstance(fed(CHIP.format("FEED") + CHIP_ANTENNA.format("FEED")), Pass)


def test_a_chip_nobody_knows_is_asked_for_and_not_blamed() -> None:
    text = "U1 XQ99 QFN-32 : 1=FEED 2=A 3=GND 4=B\n" + CHIP_ANTENNA.format("FEED")
    verdict = fed(text, "")
    assert isinstance(verdict, Unknown)
    assert "U1" in verdict.needs[0].what


@pytest.mark.parametrize(("feed", "case"), [("GND", "grounded"), ("+3V3", "railed"), ("~", "open")])
def test_a_feed_where_no_radio_can_be(feed: str, case: str) -> None:
    power = (
        "J1 USB_B_Micro - : 1/VBUS=VBUS 5/GND=GND @symbol=USB_B_Micro\n"
        "U2 REG SOT-23-3 : 1/GND=GND 2/VOUT=+3V3 3/VIN=VBUS\n"
    )
    facts = FACTS + '[parts.U2]\nrole = "regulator"\noutput = "3.3 V"\ndropout = "0.1 V"\n'
    text = CHIP.format("RFP") + CHIP_ANTENNA.format(feed) + power
    verdict = fed(text, facts)
    assert isinstance(verdict, Fail)
    assert verdict.case == case
    (finding,) = outcome("antenna-fed", make_board(text, facts)).findings
    assert finding.severity.value == "stop"


def test_a_stop_is_not_taken_from_a_guessed_antenna() -> None:
    text = CHIP.format("RFP") + "ANT1 X9 - : FEED GND\n"
    for verdict in verdicts("antenna-fed", make_board(text, FACTS)):
        assert not (isinstance(verdict, Fail) and verdict.firm)
