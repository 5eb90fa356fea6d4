"""Which zone an antenna asks for, on which evidence, and copper that may be an antenna."""

from __future__ import annotations

import pytest

from aerials import CHIP, FACTS, INSIDE, MODULE, MODULE_WIRING, WIRING, pour, told
from aerials import judged_zone as judged
from aerials import one_zone as one
from boards import circuit, manifest
from counterpoise.catalog.cards import read_cards
from counterpoise.model.design import Design
from counterpoise.model.verdicts import Fail, Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from layouts import layout
from rules import verdicts

RADIO = '[parts.U1]\nrole = "radio"\n'


def test_a_zone_half_stated_is_none() -> None:
    for key in ("clear_length", "clear_width"):
        facts = FACTS.replace('"antenna"\n', f'"antenna"\n{key} = "20 mm"\n', 1)
        verdict = one(CHIP + pour(18, 19, 22, 21), facts)
        assert isinstance(verdict, Fail)
        assert verdict.words["basis"].startswith("3 mm round")


@pytest.mark.parametrize("recalled", [(), ("clear_length",), ("clear_width",)])
def test_a_zone_of_which_one_side_is_recalled_stops_nothing_beside_the_body(
    recalled: tuple[str, ...],
) -> None:
    sides = {"clear_length": "8 mm", "clear_width": "4 mm"}
    facts = {k: {"value": v, "memory": k in recalled} for k, v in sides.items()}
    card = {"matches": ["CHIPANT9"], "title": "a chip antenna", "role": "antenna"}
    cards = read_cards("own.toml", {"chip": {**card, "sources": ["own test data"], "facts": facts}})
    made = layout(CHIP + pour(10, 10, 30, 19) + pour(10, 21, 30, 30))
    board = Board(
        Design(
            "test",
            circuit=circuit(WIRING.replace("2.4GHz", "CHIPANT9")),
            layout=made,
            manifest=manifest(FACTS),
        ),
        cards,
    )
    (verdict,) = verdicts("antenna-clear-zone", board)
    assert told(verdict) == ("slight" if recalled else "within")


@pytest.mark.parametrize(
    ("keepout", "expected"),
    [
        ("keepout copper *.Cu : 15 15 26 15 26 25 15 25\n", "Pass"),
        ("keepout tracks *.Cu : 15 15 26 15 26 25 15 25\n", "slight"),
    ],
)
def test_the_area_that_the_drawing_keeps_clear_is_the_zone(keepout: str, expected: str) -> None:
    # Copper 0.5 mm inside the margin of 3 mm, outside the area that is kept clear of it.
    near = keepout.replace("26", "24") + pour(24.2, 10, 30, 30)
    verdict = one(CHIP + near)
    assert told(verdict) == expected
    within = one(CHIP + keepout + pour(23, 10, 30, 30))
    assert isinstance(within, Fail)
    stated = "keeps clear" in within.words["basis"]
    assert stated == (expected == "Pass")


def test_copper_in_a_quarter_of_what_the_drawing_keeps_clear_stops() -> None:
    kept = "keepout copper *.Cu : 10 10 30 10 30 30 10 30\n"  # 3 mm round the body: 10 x 8 mm
    assert told(one(CHIP + kept + pour(15, 16, 25, 18))) == "within"
    assert told(one(CHIP + kept + pour(15, 16, 25, 17.9))) == "slight"


PRINTED = """
board 40 x 40
part AE1 at 10 10 "IFA"
  pad 1 rect 1 x 1 at 0 8 net=RF
  fill F.Cu -4 0 4 0 4 8.5 -4 8.5
"""


def test_a_printed_antenna_is_its_own_zone() -> None:
    # Its copper less the strip of its feed: x 6 to 14, y 10 to 17.2.
    verdict = one(PRINTED + pour(6, 10, 14, 11.9))
    assert isinstance(verdict, Fail)
    assert (verdict.case, verdict.words["share"]) == ("under", "26%")
    assert verdict.words["basis"].startswith("the printed antenna itself")
    assert told(one(PRINTED + pour(6, 10, 14, 11.7))) == "slight"


def test_the_feed_is_the_pad_that_is_named_so_else_the_first() -> None:
    left, right = pour(15, 16, 17, 24), pour(23, 16, 25, 24)
    assert [told(one(CHIP + copper)) for copper in (left, right)] == ["Pass", "slight"]
    second = WIRING.replace("1/FEED=RF 2=~", "1/NC=~ 2/FEED=RF")
    at_the_end = CHIP.replace("at 1.5 0", "at 2 0")
    found = [told(one(at_the_end + copper, FACTS, second)) for copper in (left, right)]
    assert found == ["slight", "Pass"]
    unnamed = WIRING.replace("1/FEED=RF 2=~", "1/P=RF 2/Q=~")
    found = [told(one(CHIP + copper, FACTS, unnamed)) for copper in (left, right)]
    assert found == ["Pass", "slight"]


@pytest.mark.parametrize(
    ("fact", "where", "expected"),
    [
        ("", "", "under"),
        ("clear_zone_inside = true", "", "Skip"),
        ("clear_zone_inside = false", "", "under"),
        ('antenna_kind = "wire"', "", "Skip"),
        ('antenna_kind = "external"', "", "Skip"),
        ('antenna_kind = "above-metal"', "", "Skip"),
        ('antenna_kind = "chip"', "", "under"),
        ("", 'AE1 "ceramic patch" ANT', "Skip"),
        ("", "AE1 2.4GHz PATCH-18", "Skip"),
    ],
)
def test_an_antenna_that_may_stand_over_metal(fact: str, where: str, expected: str) -> None:
    wiring = WIRING.replace("AE1 2.4GHz ANT", where) if where else WIRING
    facts = FACTS.replace('"antenna"\n', f'"antenna"\n{fact}\n', 1)
    assert told(one(CHIP + pour(18, 19, 22, 21), facts, wiring)) == expected


def test_an_antenna_that_the_layout_lacks() -> None:
    verdict = one(CHIP.replace("AE1", "AE2"))
    assert verdict == Skip("AE1 is not on the layout")


def test_an_antenna_guessed_from_its_ref_says_so() -> None:
    made = CHIP.replace("AE1", "E1") + pour(18, 19, 22, 21)
    verdict = one(made, RADIO, WIRING.replace("AE1 2.4GHz ANT", "E1 - X"))
    assert isinstance(verdict, Fail)
    assert not verdict.firm
    assert verdict.doubt.startswith("taken for an antenna: ")


# -- modules -------------------------------------------------------------------------------------
PLANE = pour(15, 10, 25, 14)


@pytest.mark.parametrize(
    ("facts", "drawn", "expected"),
    [
        (INSIDE, MODULE, "under"),
        (INSIDE.replace("true", "false"), MODULE, "Skip"),
        # Its pads reach every end: stated to hold an antenna, it is asked where.
        (INSIDE, MODULE.replace("body -5 -10", "body -5 -7"), "Unknown"),
        (
            INSIDE.replace("antenna_inside = true\n", ""),
            MODULE.replace("body -5 -10", "body -5 -7"),
            "Skip",
        ),
    ],
)
def test_the_end_of_a_module_that_holds_its_antenna(facts: str, drawn: str, expected: str) -> None:
    assert told(one(drawn + PLANE, facts, MODULE_WIRING)) == expected


@pytest.mark.parametrize(
    ("facts", "doubt"),
    [
        (INSIDE, ""),
        (
            '[parts.U1]\nrole = "radio-module"\n',
            "taken for the antenna's end since no pad reaches it",
        ),
    ],
)
def test_how_sure_the_end_of_a_module_is(facts: str, doubt: str) -> None:
    verdict = one(MODULE + PLANE, facts, MODULE_WIRING)
    assert isinstance(verdict, Fail)
    assert (verdict.doubt, verdict.firm) == (doubt, not doubt)


@pytest.mark.parametrize(
    ("y", "expected"), [(7, "under"), (6.9, "Pass")], ids=["a quarter on the board", "less"]
)
def test_a_module_that_hangs_over_the_edge(y: float, expected: str) -> None:
    drawn = MODULE.replace("at 20 20", f"at 20 {y}")
    assert told(one(drawn + pour(0, 0, 40, 39), INSIDE, MODULE_WIRING)) == expected
    without_an_edge = drawn.replace("board 40 x 40\n", "")
    assert told(one(without_an_edge + pour(0, -5, 40, 39), INSIDE, MODULE_WIRING)) == "under"


MANY = "".join(
    f"  pad {n} rect 1 x 1 at {x} {y}\n"
    for n, (x, y) in enumerate(
        [(x, y) for x in (-4.5, 4.5) for y in (-5.5, -2, 2, 6)] + [(-2, 9.5), (0, 9.5), (2, 9.5)], 1
    )
)
SHAPED = 'board 40 x 40\npart U3 at 20 20 "X"\n' + MANY + "  body -5 -10 5 10\n"


def test_a_part_shaped_like_a_module_counts_only_where_nothing_else_radiates() -> None:
    facts = '[parts.U3]\nrole = "chip"\n'
    (verdict,) = judged(SHAPED + PLANE, facts, "U3 X9 - : 1=A 2=B\n")
    assert isinstance(verdict, Fail)
    assert not verdict.firm
    assert verdict.doubt == "U3 is taken for a radio module by its shape: no pad reaches one end"
    socket = "J1 U.FL - : 1/IN=A 2/EXT=GND\n"
    with_socket = facts + '[parts.J1]\nrole = "antenna-connector"\n'
    assert judged(SHAPED + PLANE, with_socket, "U3 X9 - : 1=A 2=B\n" + socket) == []
    beside = CHIP + SHAPED.split("\n", 1)[1].replace("at 20 20", "at 10 20")
    assert judged(beside, FACTS + facts, WIRING + "U3 X9 - : 1=A 2=B\n") == [Pass("AE1")]


# -- antennas drawn as loose copper --------------------------------------------------------------
LOOSE = """
board 40 x 30
part U1 at 20 15 "QFN"
  pad 1 rect 0.5 x 0.3 at 0 -2 net=RF
  pad 2 rect 0.5 x 0.3 at 0 2 net=GND
"""
TO_EDGE = "track RF F.Cu 0.5 : 20 13 20 {y}\n"


def loose(drawn: str, wiring: str = "", facts: str = "") -> list[Verdict]:
    text = "U1 RADIO QFN : 1/RF=RF 2/GND=GND 3/VDD/pwr=VDD\n" + wiring
    return judged(LOOSE + drawn, RADIO + facts, text)


@pytest.mark.parametrize(
    ("y", "expected"), [(5.25, 1), (5.26, 0)], ids=["5 mm from the edge", "farther in"]
)
def test_a_line_without_a_pad_counts_near_the_edge(y: float, expected: int) -> None:
    found = loose(TO_EDGE.format(y=y))
    assert len(found) == expected
    for verdict in found:
        assert isinstance(verdict, Unknown)
        assert (verdict.subject, "net RF" in verdict.needs[0].what) == ("U1", True)


def test_without_a_closed_edge_no_line_ends_near_it() -> None:
    drawn = LOOSE.replace("board 40 x 30", "edge line 0 0 40 0") + TO_EDGE.format(y=2)
    text = "U1 RADIO QFN : 1/RF=RF 2/GND=GND 3/VDD/pwr=VDD\n"
    assert judged(drawn, RADIO, text) == []


def test_loose_copper_beside_an_antenna_or_its_socket_is_not_asked_about() -> None:
    end = TO_EDGE.format(y=2)
    assert len(loose(end)) == 1
    socket = '[parts.J1]\nrole = "antenna-connector"\n'
    assert loose(end, "J1 U.FL - : 1/IN=RF 2/EXT=GND\n", socket) == []
    aerial = '[parts.AE1]\nrole = "antenna"\n'
    chip = CHIP.split("\n", 2)[2].replace("at 20 20", "at 5 25")
    found = loose(end + chip, "AE1 X ANT : 1/FEED=RF 2=~\n", aerial)
    assert found == [Pass("AE1")]


@pytest.mark.parametrize(
    ("wiring", "net", "expected"),
    [
        ("C1 1p C_0402 : RF OUT\n", "OUT", 1),
        ("C1 1p C_0402 : RF A\nL1 2n2 L_0402 : A OUT\n", "OUT", 1),
        ("T1 BAL - : 1/UNBAL=OUT 2/GND=GND 3/BAL1=RF 4/BAL2=N @symbol=Balun\n", "OUT", 1),
        # A supply behind the choke, and what hangs on it, carries no signal.
        ("L1 10n L_0402 : RF VCC\nR1 10k R_0402 : VCC OUT\n", "OUT", 0),
        ("C1 1p C_0402 : RF GND\nR1 10k R_0402 : GND OUT\n", "OUT", 0),
        ("", "GND", 0),
        ("", "OTHER", 0),
    ],
)
def test_the_signal_is_followed_to_the_loose_copper(wiring: str, net: str, expected: int) -> None:
    end = f'part X1 at 10 13 "P"\n  pad 1 rect 0.5 x 0.5 at 0 0 net={net}\n'
    end += f"track {net} F.Cu 0.5 : 10 13 10 2\n"
    power = "U2 REG SOT : 1/GND=GND 2/VOUT=VCC 3/VIN=VIN\n"
    power += "J9 USB_B_Micro - : 1/VBUS=VIN 5/GND=GND @symbol=USB_B_Micro\n"
    facts = '[parts.U2]\nrole = "regulator"\noutput = "3.3 V"\ndropout = "0.1 V"\n'
    if "T1" in wiring:
        facts += '[parts.T1]\nrole = "balun"\n'
    found = loose(end, power + wiring, facts)
    assert len(found) == expected
