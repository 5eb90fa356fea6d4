"""The line that feeds an antenna: how much of it counts, over what, and beside what."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boards import make_board
from counterpoise.estimates.rf import coplanar, microstrip
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from layouts import layout
from rules import verdicts

WIRING = "AE1 2.4GHz ANT : 1/FEED=RF 2=~\nU1 RADIO QFN : 1/ANT=RF 2/GND=GND 3/VDD/pwr=VCC\n"
FACTS = '[parts.AE1]\nrole = "antenna"\n'
# The body ends at x 6; with a margin of 3 mm what lies left of x 9 belongs to the antenna.
AERIAL = """
part AE1 at 4 20 "ANT"
  pad 1 rect 1 x 2 at -2 0 net=RF
  pad 2 rect 1 x 2 at 1.5 0
  body -2 -1 2 1
"""
TWO = "thickness 1.0\nboard 60 x 40\n" + AERIAL
GROUND = "zone GND B.Cu : 0 0 60 0 60 40 0 40\n"
LINE = "track RF F.Cu {} : 5 20 9 20 35 20\n"


def judged(slug: str, drawn: str, facts: str = FACTS, wiring: str = WIRING) -> Verdict:
    (verdict,) = verdicts(slug, make_board(wiring, facts, layout=layout(drawn)))
    return verdict


def impedance(drawn: str, facts: str = FACTS, wiring: str = WIRING) -> Verdict:
    return judged("feed-impedance", drawn, facts, wiring)


def told(verdict: Verdict) -> str:
    return verdict.case if isinstance(verdict, Fail) else type(verdict).__name__


def ohms(verdict: Verdict) -> float:
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    return verdict.measured.value


def usual(width: float, height: float, *, copper: float = 0.035) -> float:
    """Middle of what a line has on FR-4 of which the stack-up says nothing."""
    ends = [microstrip(width, height, er, copper).ohms for er in (4.2, 4.8)]
    return round(sum(ends) / 2, 1)


# -- the limits ----------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("width", "expected"),
    [
        (0.9, "off"),  # 68 to 72 Ω over 0.93 mm
        (1.25, "Unknown"),  # 57.8 to 61.3 Ω: by the laminate
        (1.35, "Pass"),  # 55.5 to 58.8 Ω
        (2.3, "Pass"),  # 40.5 to 43.0 Ω
        (2.5, "Unknown"),  # 38.4 to 40.8 Ω
        (2.8, "off"),
    ],
)
def test_from_40_to_60_ohms(width: float, expected: str) -> None:
    verdict = impedance(TWO + GROUND + LINE.format(width))
    assert told(verdict) == expected
    if isinstance(verdict, Unknown):
        assert "permittivity" in verdict.needs[0].what
    if isinstance(verdict, Fail):
        assert ohms(verdict) == usual(width, 0.93)
        assert verdict.words["measured"] == f"{usual(width, 0.93):.0f} Ω"
        assert verdict.nets == ("RF",)


@pytest.mark.parametrize(
    ("end", "expected"), [(12.36, "Pass"), (12.38, "off")], ids=["a twentieth", "more"]
)
def test_less_than_a_twentieth_of_a_wavelength_is_uncritical(end: float, expected: str) -> None:
    # 67.36 mm at 2.45 GHz and an effective permittivity of 3.3: c / (f √3.3); beyond x 9.
    drawn = TWO + GROUND + f"track RF F.Cu 0.25 : 5 20 9 20 {end} 20\n"
    assert told(impedance(drawn)) == expected


@pytest.mark.parametrize(
    ("end", "expected"), [(11.735, "Pass"), (11.7371, "long")], ids=["a tenth", "more"]
)
def test_a_tenth_of_a_wavelength_without_a_place_to_tune(end: float, expected: str) -> None:
    verdict = judged("feed-length", TWO + f"track RF F.Cu 0.25 : 5 20 9 20 {end} 20\n")
    assert told(verdict) == expected
    if isinstance(verdict, Fail):
        assert verdict.limit is not None
        assert (verdict.limit.max, verdict.words["measured"]) == (6.74, "6.74 mm")
        assert verdict.measured is not None
        assert verdict.measured.value == 6.74


# -- which line ----------------------------------------------------------------------------------
def test_what_lies_in_the_clear_zone_belongs_to_the_antenna() -> None:
    within = "track RF F.Cu 0.25 : 2 21 9 21 2 22 9 22 2 23\n"
    assert impedance(TWO + GROUND + within) == Pass("AE1")
    # One stroke that leaves the zone counts from its rim: x 9 to 12.3.
    assert impedance(TWO + GROUND + "track RF F.Cu 0.25 : 6 20 12.3 20\n") == Pass("AE1")
    assert told(impedance(TWO + GROUND + "track RF F.Cu 0.25 : 6 20 12.5 20\n")) == "off"
    # A socket has no such zone.
    socket = FACTS.replace("antenna", "antenna-connector")
    assert told(impedance(TWO + GROUND + "track RF F.Cu 0.25 : 6 20 9.4 20\n", socket)) == "off"


def test_the_usual_width_is_that_of_most_of_the_line() -> None:
    mixed = "track RF F.Cu 1.8 : 5 20 9 20 21 20\ntrack RF F.Cu 0.25 : 21 20 31 20\n"
    assert impedance(TWO + GROUND + mixed) == Pass("AE1")
    mixed = mixed.replace("31 20", "34 20")
    verdict = impedance(TWO + GROUND + mixed)
    assert isinstance(verdict, Fail)
    assert verdict.words["width"] == "0.25 mm"


def test_the_longest_line_of_the_feed_is_judged() -> None:
    wiring = WIRING.replace("ANT=RF", "ANT=RFP") + "C1 1p C_0402 : RF RFP\n"
    lines = "track RF F.Cu 1.8 : 5 20 9 20 {} 20\ntrack RFP F.Cu 0.25 : 30 10 40 10\n"
    assert impedance(TWO + GROUND + lines.format(20), FACTS, wiring) == Pass("AE1")
    verdict = impedance(TWO + GROUND + lines.format(18), FACTS, wiring)
    assert isinstance(verdict, Fail)
    assert verdict.nets == ("RFP",)


def test_a_supply_behind_a_choke_is_no_part_of_the_feed() -> None:
    power = "U2 REG SOT : 1/GND=GND 2/VOUT=VCC 3/VIN=VIN\n"
    power += "J9 USB_B_Micro - : 1/VBUS=VIN 5/GND=GND @symbol=USB_B_Micro\n"
    power += "L1 10n L_0402 : RF VCC\nR1 10k R_0402 : VCC SDA\n"
    facts = FACTS + '[parts.U2]\nrole = "regulator"\noutput = "3.3 V"\ndropout = "0.1 V"\n'
    lines = "track RF F.Cu 1.8 : 5 20 9 20 14 20\n"
    lines += "track VCC F.Cu 0.25 : 20 10 55 10\ntrack SDA F.Cu 0.2 : 20 5 55 5\n"
    assert impedance(TWO + GROUND + lines, facts, WIRING + power) == Pass("AE1")


@pytest.mark.parametrize(
    ("wiring", "lines", "expected"),
    [
        ("", "track RF F.Cu 0.25 : 5 20 9 20 20 20\n", "long"),
        # Both layers of the line count: 4 mm and 4 mm.
        ("", "track RF F.Cu 0.25 : 5 20 9 20\ntrack RF B.Cu 0.25 : 9 20 13 20\n", "long"),
        ("", "track RF F.Cu 0 : 5 20 20 20\ntrack RF F.Cu 0.25 : 5 20 9 20\n", "Pass"),
        ("", "track VCC F.Cu 0.25 : 5 20 20 20\ntrack RF F.Cu 0.25 : 5 20 9 20\n", "Pass"),
        ("", "track ~ F.Cu 0.25 : 5 20 20 20\n", "Pass"),
        ("", "", "Unknown"),
        ("C1 1p C_0402 : RF GND\n", "track RF F.Cu 0.25 : 5 20 9 20 20 20\n", "Pass"),
        # Pads for a part that is left out are a place to tune too.
        ("C1 1p C_0402 : RF GND @dnp\n", "track RF F.Cu 0.25 : 5 20 9 20 20 20\n", "Pass"),
        ("R1 0R R : RF A\n", "track RF F.Cu 0.25 : 5 20 9 20 20 20\n", "Pass"),
        ("D1 ESD SOD : RF GND\n", "track RF F.Cu 0.25 : 5 20 9 20 20 20\n", "long"),
    ],
)
def test_the_length_of_a_feed_that_cannot_be_tuned(wiring: str, lines: str, expected: str) -> None:
    facts = FACTS + ('[parts.D1]\nrole = "clamp"\n' if "D1" in wiring else "")
    verdict = judged("feed-length", TWO + lines, facts, WIRING + wiring)
    assert told(verdict) == expected
    if isinstance(verdict, Unknown):
        assert verdict.needs[0].what == "the tracks of the board"


def test_a_balun_is_a_place_to_tune() -> None:
    balun = "T1 BAL - : 1/UNBAL=RF 2/GND=GND 3/BAL1=P 4/BAL2=N @symbol=Balun\n"
    facts = FACTS + '[parts.T1]\nrole = "balun"\n'
    wiring = WIRING.replace("ANT=RF", "RF_P=P") + balun
    line = "track RF F.Cu 0.25 : 5 20 9 20 30 20\n"
    assert judged("feed-length", TWO + line, facts, wiring) == Pass("AE1")
    # The pair behind it is no 50 Ω line.
    pair = "track RF F.Cu 1.8 : 5 20 9 20 16 20\ntrack P F.Cu 0.2 : 20 20 40 20\n"
    assert impedance(TWO + GROUND + pair, facts, wiring) == Pass("AE1")


def test_every_antenna_is_judged() -> None:
    wiring = WIRING + "AE2 2.4GHz ANT : 1/FEED=RF2 2=~\n"
    facts = FACTS + FACTS.replace("AE1", "AE2")
    second = AERIAL.replace("AE1", "AE2").replace("at 4 20", "at 4 5").replace("RF", "RF2")
    lines = "track RF2 F.Cu 0.25 : 5 5 9 5 35 5\n"
    board = make_board(wiring, facts, layout=layout(TWO + second + GROUND + lines))
    for slug, case in [("feed-length", "long"), ("feed-impedance", "off")]:
        first, other = verdicts(slug, board)
        assert first == Pass("AE1")  # joined pad to pad
        assert told(other) == case


# -- over what -----------------------------------------------------------------------------------
SEGMENTS = "track RF F.Cu 0.25 : 9 20 14 20 19 20 24 20 29 20 34 20\n"


@pytest.mark.parametrize(
    ("x", "expected"), [(19, "off"), (24.1, "Unknown")], ids=["three of five", "two of five"]
)
def test_ground_under_most_of_the_line(x: float, expected: str) -> None:
    ground = f"zone GND B.Cu : {x} 0 60 0 60 40 {x} 40\n"
    verdict = impedance(TWO + ground + SEGMENTS)
    assert told(verdict) == expected
    if isinstance(verdict, Unknown):
        assert verdict.needs[0].what == "the ground under the feed of net RF"


@pytest.mark.parametrize(
    ("y", "expected"), [(20.15, "off"), (20.25, "Unknown")], ids=["at its middle", "beside it"]
)
def test_ground_that_ends_beside_the_line_is_not_under_it(y: float, expected: str) -> None:
    ground = f"zone VCC B.Cu : 0 0 60 0 60 {y} 0 {y}\nzone GND B.Cu : 0 {y} 60 {y} 60 40 0 40\n"
    assert told(impedance(TWO + ground + SEGMENTS)) == expected


FOUR = (
    "layers F.Cu In1.Cu In2.Cu B.Cu\n"
    "stack F.Cu copper 0.035 / p1 prepreg 0.2 {0} / In1.Cu copper 0.035 / c1 core 0.7 {1} / "
    "In2.Cu copper 0.035 / p2 prepreg 0.3 {2} / B.Cu copper 0.035\n"
    "board 60 x 40\n" + AERIAL
)


def plane(layer: str, x: float = 0) -> str:
    return f"zone GND {layer} : {x} 0 60 0 60 40 {x} 40\n"


@pytest.mark.parametrize(
    ("planes", "layer", "height"),
    [
        (("In1.Cu", "B.Cu"), "F.Cu", 0.2),
        (("In2.Cu", "B.Cu"), "F.Cu", 0.9),
        (("B.Cu",), "F.Cu", 1.2),
        (("In2.Cu", "F.Cu"), "B.Cu", 0.3),
        (("F.Cu",), "B.Cu", 1.2),
        (("F.Cu", "B.Cu"), "In1.Cu", 0.2),
        (("B.Cu",), "In1.Cu", 1.0),
    ],
)
def test_the_laminate_to_the_nearest_ground(
    planes: tuple[str, ...], layer: str, height: float
) -> None:
    drawn = FOUR.format(4.4, 4.4, 4.4) + "".join(map(plane, planes))
    verdict = impedance(drawn + SEGMENTS.replace("F.Cu 0.25", f"{layer} 0.1"))
    assert isinstance(verdict, Fail)
    assert verdict.words["height"] == f"{height:g} mm"
    assert ohms(verdict) == round(microstrip(0.1, height, 4.4, 0.035).ohms, 1)
    assert verdict.place is not None
    assert verdict.place.side == ("back" if layer == "B.Cu" else "front")
    assert (verdict.place.x_mm, verdict.place.y_mm) == (9, 20)


def test_a_nearer_plane_that_lies_under_a_part_of_it_only_is_passed_over() -> None:
    drawn = FOUR.format(4.4, 4.4, 4.4) + plane("In1.Cu", 25) + plane("In2.Cu")
    verdict = impedance(drawn + SEGMENTS)
    assert isinstance(verdict, Fail)
    assert verdict.words["height"] == "0.9 mm"


@pytest.mark.parametrize(
    ("known", "expected"),
    [
        (("4.2", "4.2"), "off"),  # 1.25 mm over 0.93 mm: 61.3 Ω
        (("4.8", "4.8"), "Pass"),  # 57.8 Ω
        (("4.2", "4.8"), "Pass"),  # their mean, 4.5: 59.5 Ω
        (("4.2", "4.4"), "off"),  # 4.3: 60.7 Ω
        (("", "4.8"), "Unknown"),
        (("4.8", ""), "Unknown"),
    ],
)
def test_the_permittivity_of_every_layer_between(known: tuple[str, str], expected: str) -> None:
    a, b = known
    stack = f"stack F.Cu copper 0.035 / c core 0.5 {a} / p prepreg 0.43 {b} / B.Cu copper 0.035\n"
    drawn = stack + TWO.replace("thickness 1.0", "thickness 2.0") + GROUND
    assert told(impedance(drawn + LINE.format(1.25))) == expected


@pytest.mark.parametrize(
    "stack",
    [
        "",
        "stack F.Cu copper 0.035 / c core 0.5\n",
        "stack B.Cu copper 0.035 / c core 0.5\n",
        "stack F.Cu copper 0.035 / B.Cu copper 0.035\n",
        "stack F.Cu copper 0.035 / c core 0.5 4.4 / p prepreg 0 4.4 / B.Cu copper 0.035\n",
    ],
)
def test_two_layers_without_a_whole_stack_up_are_as_far_apart_as_the_board_is_thick(
    stack: str,
) -> None:
    verdict = impedance(stack + TWO + GROUND + LINE.format(0.25))
    assert ohms(verdict) == usual(0.25, 0.93)


@pytest.mark.parametrize(
    ("board", "width", "height", "copper"),
    [
        ("", 0.25, 0.93, 0.035),
        ('thickness = "1.6 mm"\n', 0.25, 1.53, 0.035),
        ('copper = "70 um"\n', 0.25, 0.86, 0.07),
    ],
)
def test_thickness_and_copper_of_the_manifest(
    board: str, width: float, height: float, copper: float
) -> None:
    verdict = impedance(TWO + GROUND + LINE.format(width), "[board]\n" + board + FACTS)
    assert ohms(verdict) == usual(width, height, copper=copper)


@pytest.mark.parametrize("thickness", ["thickness 0.07\n", "thickness 0.05\n", ""])
def test_a_board_thinner_than_its_copper_is_asked_about(thickness: str) -> None:
    verdict = impedance(TWO.replace("thickness 1.0\n", thickness) + GROUND + LINE.format(0.25))
    assert isinstance(verdict, Unknown)
    assert verdict.needs[0].what == "the laminate between F.Cu and B.Cu"


def test_a_layer_that_the_board_does_not_list_is_asked_about() -> None:
    verdict = impedance(TWO + GROUND + "track RF In9.Cu 0.25 : 9 20 30 20\n")
    assert isinstance(verdict, Unknown)
    assert verdict.needs[0].what == "where the layer In9.Cu lies, on which net RF runs"


# -- beside what ---------------------------------------------------------------------------------
def beside(gap: float, width: float = 0.9, net: str = "GND", x: float = 0) -> str:
    y = 20 + width / 2 + gap
    return f"zone {net} F.Cu : {x} {y} 60 {y} 60 40 {x} 40\n"


def coplanar_usual(width: float, gap: float, height: float = 0.93) -> float:
    ends = [coplanar(width, gap, height, er).ohms for er in (4.2, 4.8)]
    return round(sum(ends) / 2, 1)


@pytest.mark.parametrize(
    ("gap", "expected"),
    [
        (0.012, coplanar_usual(0.9, 0.012)),
        (0.009, usual(0.9, 0.93)),  # as good as touching: no coplanar line
        (1.0, coplanar_usual(0.9, 1.0)),
        (1.85, coplanar_usual(0.9, 1.85)),  # less than two heights of laminate
        (1.9, usual(0.9, 0.93)),
        (0.0, usual(0.9, 0.93)),
        (12.0, usual(0.9, 0.93)),
    ],
)
def test_ground_beside_the_line(gap: float, expected: float) -> None:
    assert ohms(impedance(TWO + GROUND + LINE.format(0.9) + beside(gap))) == pytest.approx(
        expected, abs=0.1
    )


def test_a_pour_is_as_near_as_its_copper_that_is_wider_than_its_outline() -> None:
    made = layout(TWO + GROUND + LINE.format(0.9) + beside(1.2))
    zones = (made.zones[0], replace(made.zones[1], grow_mm=0.2))
    (verdict,) = verdicts(
        "feed-impedance", make_board(WIRING, FACTS, layout=replace(made, zones=zones))
    )
    assert ohms(verdict) == pytest.approx(coplanar_usual(0.9, 1.0), abs=0.1)


def test_copper_of_another_net_beside_it_is_no_ground() -> None:
    drawn = TWO + GROUND + LINE.format(0.9) + beside(0.2, net="VCC")
    assert ohms(impedance(drawn)) == usual(0.9, 0.93)
    drawn += "zone GND F.Cu : 0 18.55 60 18.55 60 0 0 0\n"  # 1 mm away on the other side
    assert ohms(impedance(drawn)) == pytest.approx(coplanar_usual(0.9, 1.0), abs=0.1)


def test_the_usual_gap_is_the_middle_one() -> None:
    line = SEGMENTS.replace("0.25", "0.9")
    near_two = TWO + GROUND + line + beside(1.0) + beside(0.4, x=24.1)
    assert ohms(impedance(near_two)) == pytest.approx(coplanar_usual(0.9, 1.0), abs=0.1)
    near_three = TWO + GROUND + line + beside(1.0) + beside(0.4, x=19)
    assert impedance(near_three) != impedance(near_two)
    assert told(impedance(near_three)) == "Unknown"  # 58.6 to 62.0 Ω


def test_strokes_on_another_layer_do_not_count_for_the_gap() -> None:
    line = LINE.format(0.9) + "".join(
        f"track RF B.Cu 0.9 : {x} 10 {x + 1} 10\n" for x in (10, 12, 14)
    )
    verdict = impedance(TWO + GROUND + line + beside(1.0))
    assert ohms(verdict) == pytest.approx(coplanar_usual(0.9, 1.0), abs=0.1)
