"""From antenna to radio, pin by pin: where the signal passes, where it ends, and who is asked."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass, Skip, Unknown, Verdict
from rules import outcome, verdicts

CHIP = "U1 RX900 QFN-32 : 1/RF=RFP 2/VDD/pwr=+3V3 3/GND/pwr=GND 4/XIN=XIN\n"
ANTENNA = "AE1 Antenna_Chip - : 1/FEED=FEED 2/GND=GND @symbol=Antenna_Chip\n"
FACTS = '[parts.U1]\nrole = "radio"\n'
AERIAL = FACTS + '[parts.AE1]\nrole = "antenna"\n'
REGULATOR = "U2 REG SOT-23-3 : 1/GND=GND 2/VOUT=+3V3 3/VIN=VBUS\n" + (
    "J9 USB_B_Micro - : 1/VBUS=VBUS 5/GND=GND @symbol=USB_B_Micro\n"
)
RAIL = '[parts.U2]\nrole = "regulator"\noutput = "3.3 V"\ndropout = "0.1 V"\n'


def told(slug: str, text: str, facts: str = FACTS) -> list[Verdict]:
    return verdicts(slug, make_board(text, facts))


def one(slug: str, text: str, facts: str = FACTS) -> Verdict:
    (verdict,) = told(slug, text, facts)
    return verdict


def case_of(verdict: Verdict) -> str:
    return verdict.case if isinstance(verdict, Fail) else type(verdict).__name__


@pytest.mark.parametrize(
    ("pins", "expected"),
    [
        ("1=~ 2=~", "open"),
        ("1=~ 2=LONE", "open"),
        ("1=~ 2=GND", "open"),
        ("1=GND 2=GND", "grounded"),
        ("1/NC=LONE 2=~", "open"),
        ("1/FEED=~ 2=XIN", "open"),
        # Which of two pads without names is the feed is a habit only: ask before a stop.
        ("1=~ 2=XIN", "Unknown"),
        ("1/GND=XIN", "Unknown"),
        ("", "Unknown"),
    ],
)
def test_an_antenna_without_a_net_at_its_feed(pins: str, expected: str) -> None:
    verdict = one("antenna-fed", CHIP + f"AE1 X - : {pins}\n", AERIAL)
    assert case_of(verdict) == expected
    if isinstance(verdict, Unknown):
        assert "the net that feeds AE1" in verdict.needs[0].what


def test_the_pad_on_ground_is_named_and_is_firm_only_where_the_feed_is_known() -> None:
    known = one("antenna-fed", CHIP + "AE1 X - : 1/FEED=GND 2=RFP\n", AERIAL)
    assert isinstance(known, Fail)
    assert (known.case, known.words["pin"], known.nets) == ("grounded", "AE1.1 (FEED)", ("GND",))
    assert known.firm
    habit = one("antenna-fed", CHIP + "AE1 X - : 1=GND 2=RFP\n", AERIAL)
    assert isinstance(habit, Fail)
    assert (habit.case, habit.firm) == ("grounded", False)


@pytest.mark.parametrize(
    ("pins", "expected"),
    [
        ("1/FEED=GND 2/FEED=RFP", "Pass"),
        ("1/FEED=+3V3 2/FEED=RFP", "Pass"),
        ("1/FEED=+3V3 2/FEED=GND", "railed"),
        ("1/FEED=+3V3 2/FEED=+3V3", "railed"),
        ("1/FEED=~ 2/FEED=RFP", "Pass"),
        ("1/FEED=LONE 2/FEED=RFP", "Pass"),
    ],
)
def test_an_antenna_with_two_feeds_is_judged_by_the_better_one(pins: str, expected: str) -> None:
    text = CHIP + REGULATOR + f"AE1 X - : {pins}\n"
    assert case_of(one("antenna-fed", text, AERIAL + RAIL)) == expected


@pytest.mark.parametrize(
    ("pins", "expected"),
    [
        ("1/P=RFP 2/Q=GND", "Pass"),
        ("1/P=+3V3 2/Q=GND", "railed"),
        # Pads that are no feed by their names do not speak for it.
        ("1/P=+3V3 2/GND=LONE", "railed"),
        ("1/P=+3V3 2/NC=LONE", "railed"),
        ("1/P=+3V3 2/SHELL=LONE", "railed"),
        ("1/P=+3V3 2/Q=LONE", "nowhere"),
    ],
)
def test_pads_whose_names_say_nothing_may_each_be_the_feed(pins: str, expected: str) -> None:
    text = CHIP + REGULATOR + f"AE1 X - : {pins}\n"
    assert case_of(one("antenna-fed", text, AERIAL + RAIL)) == expected


def test_of_two_modules_the_one_without_an_antenna_is_asked_for() -> None:
    text = "U1 M1 MOD : 1/GND=GND 2/VDD=VDD\nU2 M2 MOD : 1/GND=GND 2/RF=OUT\n"
    facts = "".join(f'[parts.U{i}]\nrole = "radio-module"\n' for i in (1, 2))
    inside = facts.replace("\n[parts.U2]", "\nantenna_inside = true\n[parts.U2]")
    first, second = told("antenna-fed", text, inside)
    assert isinstance(first, Skip)
    assert isinstance(second, Unknown)
    assert second.subject == "U2"
    first, second = told("antenna-fed", text, facts)
    assert first == Skip("U1 is a module that leads no RF pin out")
    assert isinstance(second, Unknown)


@pytest.mark.parametrize(
    ("pin", "role", "expected"),
    [
        ("RF/io", "controller", "Pass"),
        ("RF/io", "chip", "Pass"),
        ("RF_SW/io", "sensor", "Unknown"),
        ("GPIO4/io", "sensor", "elsewhere"),
        ("BYP", "sensor", "elsewhere"),
        ("RF", "sensor", "Unknown"),
        ("ZZ9", "sensor", "Unknown"),
    ],
)
def test_what_the_pin_at_the_end_of_the_feed_may_be(pin: str, role: str, expected: str) -> None:
    other = f"U3 XQ QFN-32 : 1/{pin}=FEED 2/VDD/pwr=+3V3 3/GND/pwr=GND\n"
    facts = FACTS + f'[parts.U3]\nrole = "{role}"\n'
    verdict = one("antenna-fed", CHIP + ANTENNA + other, facts)
    assert case_of(verdict) == expected
    if isinstance(verdict, Fail):
        assert verdict.words["reached"].startswith("U3.1")
        assert verdict.words["radio"] == "U1"


@pytest.mark.parametrize("stage", ["TP1 - PAD : FEED", "D1 ESD SOD : FEED GND", "H1 - HOLE : FEED"])
def test_a_test_pad_or_a_clamp_is_nowhere_to_lead_to(stage: str) -> None:
    kinds = {"T": "test-point", "D": "clamp", "H": "mechanical"}
    ref = stage.split()[0]
    facts = FACTS + f'[parts.{ref}]\nrole = "{kinds[ref[0]]}"\n'
    verdict = one("antenna-fed", CHIP + ANTENNA + stage + "\n", facts)
    assert case_of(verdict) == "nowhere"
    assert isinstance(
        one("antenna-fed", CHIP + ANTENNA + stage + "\nL1 2n2 L : RFP FEED\n", facts), Pass
    )


def test_the_signal_ends_at_a_supply_and_at_ground() -> None:
    choke = "L1 10n L_0402 : FEED +3V3\nL2 10n L_0402 : +3V3 RFP\n"
    assert (
        case_of(one("antenna-fed", CHIP + ANTENNA + REGULATOR + choke, FACTS + RAIL)) == "nowhere"
    )
    shunts = "L1 10n L_0402 : FEED GND\nL2 10n L_0402 : GND RFP\n"
    assert case_of(one("antenna-fed", CHIP + ANTENNA + shunts)) == "nowhere"
    both = CHIP + ANTENNA + REGULATOR + choke + "C1 1p C_0402 : RFP FEED\n"
    assert isinstance(one("antenna-fed", both, FACTS + RAIL), Pass)


@pytest.mark.parametrize(
    ("part", "case", "subjects"),
    [
        ("L1 2n2 L_0402 : RFP FEED @dnp", "unfitted", ("AE1", "L1")),
        ("L1 2n2 L_0402 : FEED GND @dnp", "nowhere", ("AE1",)),
        ("L1 2n2 L_0402 : FEED +3V3 @dnp", "nowhere", ("AE1",)),
        ("L1 2n2 L_0402 : RFP XIN @dnp", "nowhere", ("AE1",)),
        ("L1 2n2 L_0402 : FEED FEED @dnp", "nowhere", ("AE1",)),
        ("L1 2n2 L_0402 : FEED A RFP @dnp", "nowhere", ("AE1",)),
        ("U3 XQ QFN : FEED A @dnp", "nowhere", ("AE1",)),
        ("C2 1p C_0402 : FEED A\nL1 2n2 L_0402 : A RFP @dnp", "unfitted", ("AE1", "L1")),
        ("C2 1p C_0402 : FEED A\nL1 2n2 L_0402 : A FEED @dnp", "nowhere", ("AE1",)),
    ],
)
def test_only_an_unfitted_part_that_leads_on_is_named(
    part: str, case: str, subjects: tuple[str, ...]
) -> None:
    text = CHIP + ANTENNA + REGULATOR + part + "\n"
    verdict = one("antenna-fed", text, FACTS + RAIL)
    assert isinstance(verdict, Fail)
    assert (verdict.case, verdict.subjects) == (case, subjects)


def test_a_socket_that_leads_nowhere_is_a_caution_and_an_antenna_a_stop() -> None:
    socket = "J1 U.FL - : 1/IN=COAX 2/EXT=GND\n"
    facts = FACTS + '[parts.J1]\nrole = "antenna-connector"\n'
    found = outcome("antenna-fed", make_board(CHIP + ANTENNA + socket, facts)).findings
    severities = {f.subjects[0]: f.severity.value for f in found}
    assert severities == {"AE1": "stop", "J1": "caution"}


def test_an_alternative_left_out_is_none_where_no_antenna_is_fed() -> None:
    text = (
        CHIP
        + ANTENNA
        + "J1 U.FL - : 1/IN=COAX 2/EXT=GND\nR1 0R R : RFP COAX @dnp\nR2 0R R : RFP FEED{}\n"
    )
    facts = FACTS + '[parts.J1]\nrole = "antenna-connector"\n'
    fitted = told("antenna-fed", text.format(""), facts)
    assert [type(v) for v in fitted] == [Pass, Skip]
    assert [case_of(v) for v in told("antenna-fed", text.format(" @dnp"), facts)] == [
        "unfitted"
    ] * 2


# -- a place to tune -----------------------------------------------------------------------------
def test_a_balun_or_a_socket_on_the_way_is_a_place_to_tune() -> None:
    balun = "T1 BAL - : 1/UNBAL=FEED 2/GND=GND 3/BAL1=RFP 4/BAL2=N @symbol=Balun\n"
    facts = FACTS + '[parts.T1]\nrole = "balun"\n'
    assert isinstance(one("antenna-match-pads", CHIP + ANTENNA + balun, facts), Pass)


def test_an_antenna_that_is_not_fed_is_left_to_the_other_rule() -> None:
    verdict = one("antenna-match-pads", CHIP + ANTENNA)
    assert verdict == Skip("AE1 is not fed, which is another rule's finding")
    railed = CHIP + REGULATOR + ANTENNA.replace("=FEED", "=+3V3")
    assert isinstance(one("antenna-match-pads", railed, FACTS + RAIL), Skip)


def test_the_heard_feed_of_two_decides_and_the_unheard_part_is_asked_for() -> None:
    two = CHIP + "AE1 X - : 1/FEED=LONE 2/FEED=RFP\nC1 1p C_0402 : LONE GND\n"
    verdict = one("antenna-match-pads", two, AERIAL)
    assert isinstance(verdict, Fail)
    assert (verdict.words["pin"], verdict.words["net"]) == ("U1.1 (RF)", "RFP")
    maybe = CHIP + "AE1 X - : 1/FEED=LONE 2/FEED=FEED\nU3 XQ QFN-32 : 1=FEED 2=A 3=GND 4=B\n"
    verdict = one("antenna-match-pads", maybe, AERIAL)
    assert isinstance(verdict, Unknown)
    assert "[parts.U3]" in verdict.needs[0].where


# -- the capacitors of the RF supply -------------------------------------------------------------
@pytest.mark.parametrize(
    ("pins", "expected"),
    [
        ("2/VDD_PA/pwr=+3V3", "bare"),
        ("2/VDD_PA/pwr=CAP", "Pass"),
        ("2/VDD_PA/pwr=CAP 5/VDD_RF/pwr=+3V3", "bare"),
        ("2/VDD_PA/pwr=~ 5/VDD_RF/pwr=CAP", "Pass"),
        ("2/VDD_PA/pwr=~", "Unknown"),
        ("2/VDD_PA/pwr=GND 5/VDD_RF/pwr=CAP", "Pass"),
        ("2/VDD_PA/pwr=GND", "Unknown"),
        # Plain supply pins that their names give to the RF part.
        ("2/VDDRF/pwr=+3V3", "bare"),
        ("2/VCC_RF/pwr=+3V3", "bare"),
        ("2/VDDIO/pwr=+3V3", "Unknown"),
    ],
)
def test_each_supply_pin_of_the_rf_part_has_its_capacitor(pins: str, expected: str) -> None:
    text = f"U1 RX900 QFN-32 : 1/RF=RFP 3/GND/pwr=GND {pins}\nC1 100n C_0402 : CAP GND\n"
    assert case_of(one("radio-supply-guard", text)) == expected


GUARDED = """
U1 RX900 QFN-32 : 1/RF=RFP 2/VDD_RF/pwr=V1 3/GND/pwr=GND 4/VDD_PA/pwr=V2
C1 100n C_0402 : V1 GND
C2 100n C_0402 : V2 GND
C3 100n C_0402 : V2 GND
"""


def guard(first: float, second: float, third: float, text: str = GUARDED) -> Verdict:
    """C1, C2 and C3 that far from the pins they guard, pad centre to pad centre."""
    from layouts import layout

    drawn = "part U1 at 0 0\n  pad 2 rect 0.3 x 0.3 at 0 0 net=V1\n"
    drawn += "  pad 2 rect 0.3 x 0.3 at -9 0 net=V1\n  pad 4 rect 0.3 x 0.3 at 0 9 net=V2\n"
    facts = FACTS.replace("U1", "U7") if "U7" in text else FACTS
    for ref, net, x, y in [("C1", "V1", first, 0), ("C2", "V2", second, 9), ("C3", "V2", third, 9)]:
        drawn += f"part {ref} at {x} {y}\n  pad 2 rect 0.5 x 0.5 at -2 0 net=GND\n"
        drawn += f"  pad 1 rect 0.5 x 0.5 at 0 0 net={net}\n"
    (verdict,) = verdicts("radio-supply-guard", make_board(text, facts, layout=layout(drawn)))
    return verdict


@pytest.mark.parametrize(
    ("first", "second", "third", "pin", "apart"),
    [
        (5.0, 5.0, 20.0, "", 0),
        (5.1, 5.0, 20.0, "U1.2 (VDD_RF)", 5.1),
        (5.0, 20.0, 5.1, "U1.4 (VDD_PA)", 5.1),
        (6.0, 6.0, 6.0, "U1.4 (VDD_PA)", 6.0),
        (6.0, 7.0, 7.0, "U1.4 (VDD_PA)", 7.0),
        (7.1234, 6.0, 6.0, "U1.2 (VDD_RF)", 7.12),
        # The other pad of that number is nearer.
        (-5.0, 1.0, 1.0, "", 0),
    ],
)
def test_the_pin_farthest_from_its_nearest_capacitor_is_told(
    first: float, second: float, third: float, pin: str, apart: float
) -> None:
    verdict = guard(first, second, third)
    if not pin:
        assert isinstance(verdict, Pass)
        return
    assert isinstance(verdict, Fail)
    assert (verdict.case, verdict.words["pins"]) == ("far", pin)
    assert verdict.measured is not None
    assert verdict.measured.value == apart


def test_a_capacitor_that_the_layout_lacks_is_not_measured() -> None:
    text = GUARDED.replace("C3 100n", "C9 100n")
    assert isinstance(guard(1.0, 1.0, 1.0, text), Pass)
    assert isinstance(guard(1.0, 6.0, 1.0, text), Fail)
    assert isinstance(guard(9.0, 1.0, 1.0, GUARDED.replace("C1 100n", "C9 100n")), Pass)
    other_pad = GUARDED.replace("4/VDD_PA", "5/VDD_PA")
    assert isinstance(guard(1.0, 9.0, 9.0, other_pad), Pass)
    radio_elsewhere = GUARDED.replace("U1 RX900", "U7 RX900")
    assert isinstance(guard(9.0, 9.0, 9.0, radio_elsewhere), Pass)
