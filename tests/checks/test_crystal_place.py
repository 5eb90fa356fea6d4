"""Where crystals stand on the layout, and what runs under them, at and beside each limit.

A chip's pins XI and XO lie 0.25 mm by 0.25 mm at x 10; a crystal's pads are 1 mm squares, so that
one at x stands x - 10.75 mm from its pin.
"""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from layouts import layout
from rules import verdicts

CHIP = "U1 CHIP QFN : 1/XIN=XI 2/XOUT=XO 3/GND=GND 4/IO=SCL 5/VDD/pwr=VDD\n"
CIRCUIT = "Y1 {} XTAL : 1=XI 2=XO\n" + CHIP
FACTS = '[parts.Y1]\nrole = "crystal"\n[parts.Y2]\nrole = "crystal"\n'
BOARD = "layers {}\nboard 60 x 40\n"
PINS = """
part U1 at 10 20 "QFN"
  pad 1 rect 0.5 x 0.5 at 0 -0.5 net=XI
  pad 2 rect 0.5 x 0.5 at 0 0.5 net=XO
"""
AT = """
part {} at {} 20 "XTAL"
  pad 1 rect 1 x 1 at 0 -0.5 net=XI
  pad 2 rect 1 x 1 at 0 0.5 net=XO
"""
# under a 4 mm by 2 mm room: two pads that reach over it, and a courtyard a little larger
WIDE = """
part Y1 at 14 20{} "XTAL"
  pad 1 rect 1 x 2 at -1.5 0 net=XI
  pad 2 rect 1 x 2 at 1.5 0 net=XO
  courtyard -2.5 -1.5 2.5 1.5
"""


def judged(text: str, drawn: str, layers: str = "F.Cu B.Cu") -> list[Verdict]:
    board = make_board(text, FACTS, layout=layout(BOARD.format(layers) + PINS + drawn))
    return verdicts("crystal-distance", board)


def one(text: str, drawn: str, layers: str = "F.Cu B.Cu") -> Verdict:
    (verdict,) = judged(text, drawn, layers)
    return verdict


# -- how far --------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("value", "x", "expected"),
    [
        ("16MHz", 20.7, Pass),
        ("16MHz", 20.8, Fail),  # 10 mm in the megahertz (common practice, no source)
        ("1MHz", 20.8, Fail),
        ("1.2MHz", 20.8, Fail),
        ("0.9MHz", 20.8, Pass),
        ("32.768kHz", 25.7, Pass),
        ("32.768kHz", 25.8, Fail),  # 15 mm for a tuning fork (common practice, no source)
        ("-", 20.7, Pass),  # no frequency: the nearer limit holds for any
        ("-", 20.8, Unknown),
        ("-", 25.7, Unknown),
        ("-", 25.8, Fail),
    ],
)
def test_how_far(value: str, x: float, expected: type) -> None:
    verdict = one(CIRCUIT.format(value), AT.format("Y1", x))
    assert isinstance(verdict, expected)
    if isinstance(verdict, Fail):
        assert verdict.case == "far"
        assert verdict.measured is not None
        assert verdict.measured.value == pytest.approx(x - 10.75)


def test_exactly_at_the_limit_stands_near_enough() -> None:
    for value in ("16MHz", "-"):
        assert isinstance(one(CIRCUIT.format(value), AT.format("Y1", 20.75)), Pass)
    assert isinstance(one(CIRCUIT.format("-"), AT.format("Y1", 25.75)), Unknown)
    assert isinstance(one(CIRCUIT.format("32.768kHz"), AT.format("Y1", 25.75)), Pass)


def test_the_further_of_its_two_lines_counts() -> None:
    for first, second in ((-4.5, 5.5), (5.5, -4.5)):
        pads = f"part Y1 at 16 20 XTAL\n  pad 1 rect 1 x 1 at {first} 0 net=XI\n"
        pads += f"  pad 2 rect 1 x 1 at {second} 0 net=XO\n"
        verdict = one(CIRCUIT.format("16MHz"), pads)
        assert isinstance(verdict, Fail)
        assert verdict.words["pin"] == ("U1.2 (XOUT)" if second > 0 else "U1.1 (XIN)")


def test_the_nearest_of_the_pins_on_a_line_counts() -> None:
    text = "U0 FAR QFN : 1/IN=XI\n" + CIRCUIT.format("16MHz")
    far = 'part U0 at 50 20 "QFN"\n  pad 1 rect 0.5 x 0.5 at 0 0 net=XI\n'
    assert isinstance(one(text, far + AT.format("Y1", 14)), Pass)


def test_a_series_resistor_may_stand_between() -> None:
    text = CIRCUIT.format("16MHz").replace("2=XO", "2=XR") + "R1 330 R_0402 : XR XO\n"
    pads = AT.replace("0.5 net=XO", "0.5 net=XR")
    assert isinstance(one(text, pads.format("Y1", 14)), Pass)
    assert isinstance(one(text, pads.format("Y1", 21)), Fail)
    only = text.replace("1/XIN=XI", "1=~")
    assert isinstance(one(only, pads.format("Y1", 21)), Fail), "by that line alone"


def test_open_and_grounded_pads_have_no_line() -> None:
    text = "Y1 16MHz XTAL : 1=~ 2=GND 3=XI 4=XO\n" + CHIP
    pads = """
part Y1 at {} 20 "XTAL"
  pad 1 rect 1 x 1 at 0 -0.5
  pad 2 rect 1 x 1 at 0 -0.5 net=GND
  pad 3 rect 1 x 1 at 0 -0.5 net=XI
  pad 4 rect 1 x 1 at 0 0.5 net=XO
"""
    ground = 'part J1 at 55 20 "PIN"\n  pad 1 rect 1 x 1 at 0 0 net=GND\n'
    chip = "U2 CHIP QFN : 3/GND=GND\n"
    far_ground = 'part U2 at 50 20 "QFN"\n  pad 3 rect 0.5 x 0.5 at 0 0 net=GND\n'
    assert isinstance(one(text + chip, pads.format(14) + ground + far_ground), Pass)
    assert isinstance(one(text + chip, pads.format(21) + ground + far_ground), Fail)


def test_each_crystal_is_judged_whatever_the_one_before_it_lacks() -> None:
    absent = "Y0 16MHz XTAL : 1=A 2=B\n" + CIRCUIT.format("16MHz")
    facts = FACTS + '[parts.Y0]\nrole = "crystal"\n'
    drawn = BOARD.format("F.Cu B.Cu") + PINS + AT.format("Y1", 21)
    board = make_board(absent, facts, layout=layout(drawn))
    (verdict,) = verdicts("crystal-distance", board)
    assert isinstance(verdict, Fail)
    unjoined = make_board(absent, facts, layout=layout(drawn + AT.format("Y0", 30)))
    assert [type(v) for v in verdicts("crystal-distance", unjoined)] == [Unknown, Fail]


# -- what runs under it ---------------------------------------------------------------------------
CROSSED = "track {} {} 0.25 : 14 10 14 30\n"
SIXTEEN = CIRCUIT.format("16MHz")


@pytest.mark.parametrize(
    ("track", "expected"),
    [
        (CROSSED.format("SCL", "B.Cu"), Fail),
        (CROSSED.format("SCL", "F.Cu"), Fail),
        (CROSSED.format("GND", "B.Cu"), Pass),
        (CROSSED.format("XO", "B.Cu"), Pass),
        (CROSSED.format("VDD", "B.Cu"), Pass),
        (CROSSED.format("~", "B.Cu"), Pass),
        ("via SCL 14 20 0.6 / 0.3\n", Pass),
        # the room is 4 mm by 2 mm: a track counts from a quarter of its breadth, 0.71 mm, on
        ("track SCL B.Cu 0.2 : 14 18.4 14 19.6\n", Pass),
        ("track SCL B.Cu 0.2 : 14 18.4 14 19.66\n", Fail),
        # beside the pads, though inside the courtyard
        ("track SCL B.Cu 0.2 : 10 21.3 18 21.3\n", Pass),
        # the first of two that only grazes does not hide the second
        ("track SDA B.Cu 0.2 : 12 18.9 12.2 18.9\n" + CROSSED.format("SCL", "B.Cu"), Fail),
        ("track XI B.Cu 0.2 : 14 10 14 30\n" + CROSSED.format("SCL", "B.Cu"), Fail),
        ("track GND B.Cu 0.2 : 13 10 13 30\n" + CROSSED.format("SCL", "B.Cu"), Fail),
    ],
)
def test_which_track_crosses(track: str, expected: type) -> None:
    text = SIXTEEN + "U3 - SOT-23-5 : 1/VIN=VIN 2/GND=GND 3/VOUT=VDD\n"
    board = make_board(
        text,
        FACTS + '[parts.U3]\nrole = "regulator"\noutput = "3.3 V"\n',
        layout=layout(BOARD.format("F.Cu B.Cu") + PINS + WIDE.format("") + track),
    )
    (verdict,) = verdicts("crystal-distance", board)
    assert isinstance(verdict, expected)
    if isinstance(verdict, Fail):
        assert verdict.case == "crossed"
        assert verdict.nets == ("SCL",)


def test_a_crystal_of_a_square_millimetre_has_room_under_it_too() -> None:
    small = """
part Y1 at 14 20 "XTAL"
  pad 1 rect 0.3 x 0.8 at -0.35 0 net=XI
  pad 2 rect 0.3 x 0.8 at 0.35 0 net=XO
  courtyard -0.6 -0.5 0.6 0.5
"""
    assert isinstance(one(SIXTEEN, small + CROSSED.format("SCL", "B.Cu")), Fail)


def test_its_own_line_behind_the_series_resistor_may_run_under_it() -> None:
    text = SIXTEEN.replace("2=XO", "2=XR") + "R1 330 R_0402 : XR XO\n"
    drawn = WIDE.format("").replace("net=XO", "net=XR") + CROSSED.format("XO", "B.Cu")
    assert isinstance(one(text, drawn), Pass)


def test_the_side_of_the_part_is_the_layer_told() -> None:
    verdict = one(SIXTEEN, WIDE.format("") + CROSSED.format("SCL", "B.Cu"))
    assert isinstance(verdict, Fail)
    assert verdict.words["layer"] == "B.Cu"
    assert verdict.place is not None
    assert verdict.place.side == "back"


FOUR = "F.Cu In1.Cu In2.Cu B.Cu"


@pytest.mark.parametrize(
    ("turn", "ground", "track", "expected"),
    [
        ("", "In1.Cu", "In2.Cu", Pass),
        ("", "In1.Cu", "In1.Cu", Fail),  # beside the pour on its own layer
        ("", "In2.Cu", "In1.Cu", Fail),
        ("", "In1.Cu", "F.Cu", Fail),
        (" 0 back", "In1.Cu", "In2.Cu", Fail),
        (" 0 back", "In2.Cu", "In1.Cu", Pass),
        (" 0 back", "In2.Cu", "F.Cu", Pass),
        (" 0 back", "In1.Cu", "F.Cu", Pass),
    ],
)
def test_ground_between_it_and_the_track(
    turn: str, ground: str, track: str, expected: type
) -> None:
    pour = f"zone GND {ground} : 1 1 59 1 59 39 1 39\n"
    drawn = WIDE.format(turn) + pour + CROSSED.format("SCL", track)
    assert isinstance(one(SIXTEEN, drawn, FOUR), expected)


@pytest.mark.parametrize(
    ("pour", "expected"),
    [
        ("zone GND In1.Cu : 1 1 14.1 1 14.1 39 1 39\n", Pass),  # a little over half of its room
        ("zone GND In1.Cu : 1 1 13.9 1 13.9 39 1 39\n", Fail),
        ("zone VDD In1.Cu : 1 1 59 1 59 39 1 39\n", Fail),
        (
            "zone GND In1.Cu : 1 1 13.2 1 13.2 39 1 39\n"
            "zone GND In1.Cu : 14.6 1 59 1 59 39 14.6 39\n",
            Pass,  # in two pieces
        ),
    ],
)
def test_ground_under_half_of_it_is_enough(pour: str, expected: type) -> None:
    drawn = WIDE.format("") + pour + CROSSED.format("SCL", "B.Cu")
    assert isinstance(one(SIXTEEN, drawn, FOUR), expected)


def test_without_an_outline_or_pads_nothing_is_said_to_cross() -> None:
    drawn = WIDE.format("").replace("  courtyard -2.5 -1.5 2.5 1.5\n", "")
    assert isinstance(one(SIXTEEN, drawn + CROSSED.format("SCL", "B.Cu")), Pass)
    apart = WIDE.format("").replace("courtyard -2.5 -1.5 2.5 1.5", "courtyard 5 5 6 6")
    assert isinstance(one(SIXTEEN, apart + CROSSED.format("SCL", "B.Cu")), Pass)


def test_too_far_is_told_before_what_crosses() -> None:
    drawn = WIDE.format("").replace("at 14 20", "at 30 20")
    verdict = one(SIXTEEN, drawn + CROSSED.format("SCL", "B.Cu").replace("14", "30"))
    assert isinstance(verdict, Fail)
    assert verdict.case == "far"
