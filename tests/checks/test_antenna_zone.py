"""The clear zone of an antenna at its limits: how much copper, and of what."""

from __future__ import annotations

from dataclasses import replace

import pytest

from aerials import CHIP, FACTS, INSIDE, MODULE, MODULE_WIRING, STATED, WIRING, pour, told
from aerials import one_zone as one
from counterpoise.model.layout import Polygon, Zone
from counterpoise.model.verdicts import Fail, Unknown
from layouts import layout


# -- how much ------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("copper", "expected"),
    [
        (pour(20, 19, 22, 21), "under"),  # half of the body
        (pour(20.1, 19, 22, 21), "slight"),
        (pour(25, 16, 30, 24), "Pass"),  # up to the zone
        (pour(24.9, 16, 30, 24), "slight"),
        (pour(10, 16, 18, 24), "Pass"),  # the feed's side needs none
        (pour(18, 10, 25, 16), "Pass"),
        (pour(18, 10, 25, 16.1), "slight"),
    ],
)
def test_round_a_chip_antenna_whose_sheet_is_not_at_hand(copper: str, expected: str) -> None:
    verdict = one(CHIP + copper)
    assert told(verdict) == expected
    if isinstance(verdict, Fail):
        assert (verdict.severity is None) == (expected == "under")
        assert verdict.words["basis"].startswith("3 mm round a chip antenna")


@pytest.mark.parametrize(
    ("width", "expected"), [(0.1, "Pass"), (0.125, "slight")], ids=["a speck", "more"]
)
def test_copper_of_a_twentieth_of_a_square_millimetre_is_a_speck(
    width: float, expected: str
) -> None:
    # At the origin, so that 0.1 mm times 0.5 mm is the limit to the last bit.
    drawn = CHIP.replace("at 20 20", "at 1 1").replace("board 40 x 40\n", "")
    assert told(one(drawn + pour(0, 0, width, 0.5))) == expected


@pytest.mark.parametrize(
    ("copper", "expected"),
    [
        (pour(10, 22, 30, 23), "Pass"),  # the zone may lie above the body
        (pour(10, 18, 30, 19) + pour(10, 21, 30, 22), "within"),  # a quarter, wherever it lies
        (pour(10, 18, 30, 19.1) + pour(10, 20.9, 30, 22), "under"),
        (pour(10, 10, 30, 19.5) + pour(10, 20.5, 30, 30), "under"),
        (pour(10, 18.1, 30, 19) + pour(10, 21, 30, 21.9), "slight"),
    ],
)
def test_the_zone_of_the_sheet_wherever_it_may_lie(copper: str, expected: str) -> None:
    verdict = one(CHIP + copper, STATED)
    assert told(verdict) == expected
    if isinstance(verdict, Fail):
        assert verdict.words["basis"] == "the stated clear zone"


def test_a_quarter_of_a_stated_zone_stops_and_of_a_guessed_one_does_not() -> None:
    # Both run beside the body and cover more than a quarter of the zone, but nothing of the body.
    copper = pour(10, 10, 30, 19) + pour(10, 21, 30, 30)
    assert told(one(CHIP + copper, STATED)) == "within"
    assert told(one(CHIP + copper)) == "slight"


def test_the_plane_that_stops_the_board_is_not_hidden_by_a_track_over_the_body() -> None:
    plane = pour(10, 10, 30, 19) + pour(10, 21, 30, 30)
    verdict = one(CHIP + plane + "track SDA F.Cu 0.2 : 21 10 21 30\n", STATED)
    assert isinstance(verdict, Fail)
    assert (verdict.case, verdict.words["what"]) == ("within", "copper area GND")
    assert set(verdict.nets) == {"GND", "SDA"}


@pytest.mark.parametrize(("reach", "case"), [(0.008, "within"), (0.012, "under")])
def test_copper_under_a_hundredth_of_the_body_lies_under_it(reach: float, case: str) -> None:
    copper = pour(10, 10, 30, 19 + reach) + pour(10, 21 - reach, 30, 30)
    assert told(one(CHIP + copper, STATED)) == case


def test_more_under_the_body_is_told_first_then_the_larger() -> None:
    both = pour(18, 19, 20, 21, "SDA") + pour(20, 16, 25, 19.9, "VCC")
    verdict = one(CHIP + both)
    assert isinstance(verdict, Fail)
    assert verdict.words["what"] == "copper area SDA"
    beside = pour(18, 16, 20, 19, "SDA") + pour(20, 16, 25, 19, "VCC")
    verdict = one(CHIP + beside)
    assert isinstance(verdict, Fail)
    assert verdict.words["what"] == "copper area VCC"
    # The share told is the largest one's: 15 of 56 mm2.
    assert verdict.words["share"] == "27%"
    assert verdict.measured is not None
    assert verdict.measured.value == pytest.approx(6 + 15)


@pytest.mark.parametrize(
    ("x", "expected"), [(17, "Pass"), (17.1, "slight")], ids=["a twentieth", "more"]
)
def test_a_pour_that_ends_a_little_inside_a_modules_free_end_is_usual(
    x: float, expected: str
) -> None:
    assert told(one(MODULE + pour(15, 10, x, 11), INSIDE, MODULE_WIRING)) == expected


def test_a_little_of_anything_else_there_is_not() -> None:
    track = "track SDA B.Cu 0.2 : 20 5 20 11\n"
    verdict = one(MODULE + track, INSIDE, MODULE_WIRING)
    assert isinstance(verdict, Fail)
    assert (verdict.case, verdict.words["what"]) == ("slight", "track SDA")
    # Round a chip antenna a pour has no such allowance.
    assert told(one(CHIP + pour(18, 16, 19, 16.2))) == "slight"


@pytest.mark.parametrize(
    ("x", "expected"), [(25, "under"), (24.9, "slight")], ids=["a quarter", "less"]
)
def test_a_quarter_of_a_modules_free_end_stops(x: float, expected: str) -> None:
    verdict = one(MODULE + pour(15, 10, x, 11), INSIDE, MODULE_WIRING)
    assert told(verdict) == expected


# -- what counts ---------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("copper", "what"),
    [
        ("track SDA F.Cu 0.5 : 23 10 23 30\n", "track SDA"),
        ("via SDA 23 20 0.6 / 0.3\n", "via SDA"),
        ("track ~ F.Cu 0.5 : 23 10 23 30\n", "track without net"),
        (pour(22, 16, 25, 24, "~"), "copper area without net"),
        ('part C5 at 23 20 "C"\n  pad 1 rect 0.5 x 0.5 at 0 0 net=SDA\n', "pad C5.1"),
        ('part H1 at 23 20 "H"\n  pad - rect 0.5 x 0.5 at 0 0\n', "a pad of H1"),
        ('part L9 at 23 20 "L"\n  fill F.Cu 0 0 1 0 1 1\n', "drawing L9"),
    ],
)
def test_each_kind_of_copper_is_named(copper: str, what: str) -> None:
    verdict = one(CHIP + copper)
    assert isinstance(verdict, Fail)
    assert verdict.words["what"] == what
    ref = copper.split()[1] if copper.startswith("part") else ""
    assert verdict.subjects == (("AE1", ref) if ref else ("AE1",))


def test_the_parts_in_the_zone_are_listed_in_order_and_the_antenna_once() -> None:
    parts = "".join(
        f'part {ref} at {x} 23 "C"\n  pad 1 rect 0.5 x 0.5 at 0 0 net=SDA\n'
        for ref, x in [("C7", 19), ("C5", 21), ("C6", 23)]
    )
    verdict = one(CHIP + parts)
    assert isinstance(verdict, Fail)
    assert verdict.subjects == ("AE1", "C5", "C6", "C7")
    assert verdict.nets == ("SDA",)


def test_its_own_feed_is_no_intruder_and_hides_none() -> None:
    own = pour(10, 19, 22, 21, "RF", "F.Cu") + "track RF F.Cu 0.5 : 10 20 22 20\n"
    assert told(one(CHIP + own)) == "Pass"
    further = own + "track SDA F.Cu 0.5 : 23 10 23 30\n" + pour(23, 16, 25, 24, "GND", "F.Cu")
    verdict = one(CHIP + further)
    assert isinstance(verdict, Fail)
    assert set(verdict.nets) == {"SDA", "GND"}
    # Ground is no feed, though one of the antenna's pads is on it.
    grounded = WIRING.replace("2=~", "2/GND=GND")
    assert told(one(CHIP + pour(18, 19, 22, 21), FACTS, grounded)) == "under"


def test_a_modules_own_nets_are_intruders_under_its_end() -> None:
    verdict = one(MODULE + pour(15, 10, 25, 14, "VDD"), INSIDE, MODULE_WIRING)
    assert told(verdict) == "under"


def test_a_pour_that_goes_round_the_zone_does_not_reach_it() -> None:
    angle = "zone GND B.Cu : 10 10 30 10 30 30 29 30 29 11 10 11\n"
    assert told(one(CHIP + angle)) == "Pass"
    verdict = one(CHIP + angle + pour(22, 16, 25, 24, "SDA"))
    assert isinstance(verdict, Fail)
    assert verdict.nets == ("SDA",)


def test_what_lies_beyond_the_edge_does_not_count() -> None:
    drawn = CHIP.replace("board 40 x 40", "board 40 x 23")
    assert told(one(drawn + pour(18, 23.1, 25, 24))) == "Pass"
    assert told(one(CHIP + pour(18, 23.1, 25, 24))) == "slight"
    outside = CHIP.replace("at 20 20", "at 20 -1.5")  # only its margin reaches the board
    verdict = one(outside + pour(18, 0.5, 25, 1))
    assert told(verdict) == "slight"


def test_layers_are_named_front_to_back_and_the_side_is_seen() -> None:
    drawn = "layers F.Cu In1.Cu B.Cu\n" + CHIP
    verdict = one(drawn + "zone GND F.Cu,B.Cu : 18 19 22 19 22 21 18 21\n")
    assert isinstance(verdict, Fail)
    assert verdict.words["layers"] == "F.Cu, B.Cu"
    assert verdict.place is not None
    assert verdict.place.side == "front"
    back = one(CHIP + pour(18, 19, 22, 21))
    assert isinstance(back, Fail)
    assert back.place is not None
    assert back.place.side == "back"


# -- copper that is not poured yet ---------------------------------------------------------------
def unpoured(*outlines: tuple[tuple[float, float], ...], owner: str = "") -> Zone:
    return Zone(tuple(Polygon(o) for o in outlines), ("B.Cu",), "GND", owner=owner)


def rect(x1: float, y1: float, x2: float, y2: float) -> tuple[tuple[float, float], ...]:
    return ((x1, y1), (x2, y1), (x2, y2), (x1, y2))


OVER = rect(0, 0, 40, 40)
AWAY = rect(0, 0, 10, 10)


@pytest.mark.parametrize(
    ("zones", "expected"),
    [
        ((unpoured(AWAY),), "Pass"),
        ((unpoured(OVER),), "Unknown"),
        ((unpoured(AWAY), unpoured(OVER)), "Unknown"),
        ((unpoured(((0, 0), (60, 0), (0, 60))),), "Unknown"),
        ((unpoured(AWAY, OVER),), "Unknown"),
        ((unpoured(((0, 0), (9, 9)), OVER),), "Unknown"),
        ((unpoured(OVER, owner="AE1"),), "Pass"),
        ((unpoured(OVER, owner="AE1"), unpoured(OVER)), "Unknown"),
        ((unpoured(rect(18, 16, 25, 16.79)),), "Pass"),  # a tenth of the zone
        ((unpoured(rect(18, 16, 25, 16.81)),), "Unknown"),
    ],
)
def test_an_area_without_its_fill_over_the_zone(zones: tuple[Zone, ...], expected: str) -> None:
    verdict = one(replace(layout(CHIP), zones=zones))
    assert told(verdict) == expected
    if isinstance(verdict, Unknown):
        assert verdict.needs[0].what == "the copper areas poured round AE1"


def test_poured_areas_and_rule_areas_before_it_do_not_hide_it() -> None:
    before = pour(0, 0, 10, 10) + "keepout tracks *.Cu : 0 0 40 0 40 40 0 40\n"
    assert told(one(CHIP + before)) == "Pass"
    assert told(one(CHIP + before + "zone GND B.Cu unfilled : 0 0 40 0 40 40 0 40\n")) == "Unknown"


def test_of_the_places_of_a_stated_zone_one_that_is_surely_clear_is_enough() -> None:
    above = "zone GND B.Cu unfilled : 10 10 30 10 30 17.8 10 17.8\n"
    assert told(one(CHIP + above, STATED)) == "Pass"
    below = pour(10, 21.5, 30, 30)
    assert told(one(CHIP + above + below, STATED)) == "Pass"
