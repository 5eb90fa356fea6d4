"""Like switches that stand in rows, pairs and rings, and the one that is turned among them."""

from __future__ import annotations

import pytest

from boards import circuit, manifest
from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import function_of
from counterpoise.model.design import Design
from counterpoise.model.verdicts import Fail, Pass, Verdict
from counterpoise.roles.board import Board
from layouts import layout

# Contacts left of the middle, the body more above than below: half a turn shows.
UNEVEN = """
  pad 1 rect 1 x 1 at -5 0
  pad 2 rect 1 x 1 at 0 0
  body -6 -4 6 2
"""

# An edge that is not closed: nothing can stand alike at its edges.
OPEN = "edge line 0 0 80 0"


def judged(
    *places: str, footprint: str = UNEVEN, facts: str = "", edge: str = "board 80 x 60"
) -> list[Verdict]:
    """Switches SW1, SW2 …, each at "x y angle [back] [name]"."""
    refs = [f"SW{n + 1}" for n in range(len(places))]
    wiring = circuit("\n".join(f"{ref} - MICRO : 1=A 2=GND" for ref in refs))
    roles = "".join(
        f'[parts.{r}]\nrole = "push-switch"\n' for r in refs if f"parts.{r}]" not in facts
    )
    drawn = edge + "".join(
        f"\npart {ref} at {at if at.endswith(('M', '-')) else at + ' M'}{footprint}"
        for ref, at in zip(refs, places, strict=True)
    ).replace(" -\n", "\n")
    design = Design(
        "t", circuit=wiring, netlist=wiring, layout=layout(drawn), manifest=manifest(roles + facts)
    )
    rule = all_rules()["switch-siblings"]
    return list(function_of(rule)(Board(design), rule))


def odd(*places: str, **more: str) -> Fail | None:
    """The finding, None where the rule passes or has nothing to compare."""
    found = judged(*places, **more)
    assert len(found) <= 1
    return next((one for one in found if isinstance(one, Fail)), None)


# -- rows -----------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("angle", "turn"),
    [
        (0, ""),
        (360, ""),
        (0.4, ""),
        (90, "90°"),
        (180, "180°"),
        (270, "90°"),
        # What is set askew is set so on purpose.
        (45, ""),
        (91, ""),
        (179, ""),
    ],
)
def test_one_of_a_row_is_turned(angle: float, turn: str) -> None:
    found = odd("20 20 0", f"35 20 {angle}", "50 20 0")
    if not turn:
        assert found is None
    else:
        assert found is not None
        assert (found.subjects, found.words["turn"]) == (("SW2", "SW1", "SW3"), turn)
        assert found.measured is not None
        assert found.measured.value == angle
        assert found.place is not None
        assert (found.place.x_mm, found.place.y_mm) == (35.0, 20.0)


def test_a_turned_row_has_its_odd_one_too() -> None:
    found = odd("20 15 270", "20 25 270", "20 35 90", edge=OPEN)
    assert found is not None
    assert (found.subjects[0], found.words["turn"]) == ("SW3", "180°")


def test_whole_turns_count_for_nothing() -> None:
    found = odd("20 20 0", "35 20 360", "50 20 180")
    assert found is not None
    assert found.subjects[0] == "SW3"
    found = odd("20 15 -90", "20 25 270", "20 35 180", edge=OPEN)
    assert found is not None
    assert (found.subjects[0], found.words["turn"]) == ("SW3", "90°")
    assert odd("20 20 -90", "35 20 270", "50 20 270") is None


def test_a_group_is_told_by_its_first() -> None:
    row = ("20 20 0", "35 20 0")
    for group in (row, (*row, "50 20 0"), (*row, "50 20 45"), (*row, "50 20 90", "65 20 180")):
        assert judged(*group) == [Pass("SW1")]
    assert judged("40 25 0", "40 35 180") == [Pass("SW1")]


def test_two_of_one_kind_and_two_of_another_are_a_pattern() -> None:
    assert odd("20 20 0", "35 20 0", "50 20 180", "65 20 180") is None
    assert odd("20 20 0", "35 20 0", "50 20 180", "65 20 90") is None
    assert odd("20 20 0", "35 20 90", "50 20 180") is None


@pytest.mark.parametrize(
    ("count", "named"), [(4, "SW1, SW2, SW3, SW4"), (5, "SW1, SW2, SW3, SW4 …")]
)
def test_four_of_the_others_are_named(count: int, named: str) -> None:
    row = [f"{10 + 10 * n} 20 0" for n in range(count)]
    found = odd(*row, "70 20 180")
    assert found is not None
    assert found.words["others"] == named


def test_refs_are_read_as_numbers() -> None:
    places = [f"{7 * n} 20 0" for n in range(1, 11)]
    found = odd(*places, "78 20 180")
    assert found is not None
    assert found.subjects == ("SW11", *(f"SW{n}" for n in range(1, 11)))


# -- mirror images --------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("one", "other", "sound"),
    [
        # Half a turn apart: facing away from each other, or beside each other.
        ("40 25 0", "40 35 180", True),
        ("30 30 0", "50 30 180", False),
        ("30 30 90", "50 30 270", True),
        ("40 20 90", "40 40 270", False),
        # On the slant just as far along as across; a little further across.
        ("35 25 0", "45 35 180", True),
        ("35 25 0", "45.2 35 180", False),
        ("45 25 0", "35 35 180", True),
        # Along their own sides however the board lies: 30°, with y down and turned to the left.
        ("40 30 30", "35 21.34 210", True),
        ("40 30 30", "48.66 25 210", False),
        ("40 30 60", "31.34 25 240", True),
        ("40 30 30", "31.34 25 210", True),
        # A quarter turn, or any other, is on purpose in a pair.
        ("30 30 0", "50 30 90", True),
        ("30 30 0", "50 30 179", True),
        ("30 30 0", "50 30 0", True),
    ],
)
def test_a_pair(one: str, other: str, sound: bool) -> None:
    for pair in ((one, other), (other, one)):
        assert (odd(*pair, edge=OPEN) is None) is sound


def test_the_later_of_a_pair_is_named() -> None:
    found = odd("30 30 0", "50 30 180", edge=OPEN)
    assert found is not None
    assert (found.subjects, found.words["turn"]) == (("SW2", "SW1"), "180°")


@pytest.mark.parametrize(
    ("places", "sound"),
    [
        # A stands as the mirror image of both others, of one of them only, of none.
        (("35 25 0", "45 25 0", "40 40 180"), True),
        (("35 25 0", "60 25 0", "40 40 180"), False),
        (("20 30 0", "60 30 0", "40 31 180"), False),
        # A quarter turn apart: mirrored about an upright line if they lean apart.
        (("30 25 45", "30 35 45", "50 30 315"), True),
        (("30 25 45", "30 35 45", "32 50 315"), False),
        (("30 20 45", "40 20 45", "35 40 135"), True),
        (("30 20 45", "30 40 45", "50 30 135"), False),
        # Level and upright are no mirror images of each other.
        (("30 25 0", "30 35 0", "50 30 90"), False),
        (("30 20 0", "40 20 0", "35 40 90"), False),
    ],
)
def test_a_mirror_image_of_all_the_others(places: tuple[str, ...], sound: bool) -> None:
    assert (odd(*places, edge=OPEN) is None) is sound


# -- at the edges ---------------------------------------------------------------------------------
RING = ("40 8 0", "72 30 270", "40 52 180", "8 30 90")


def test_all_outwards() -> None:
    assert odd(*RING) is None
    # One at the top and two at the left, all with their backs to the edge.
    assert odd("40 8 180", "8 20 270", "8 40 270") is None


def test_one_of_those_at_the_edges_looks_inwards() -> None:
    """Two at the left look out, the one at the top looks in; then the one on the right."""
    assert odd("8 20 90", "8 40 90", "40 8 180") is not None
    assert odd("8 20 90", "8 40 90", "40 8 0") is None
    assert odd("8 20 90", "8 40 90", "72 50 0") is not None
    assert odd("8 20 90", "8 40 90", "72 50 270") is None
    assert odd("25 8 0", "40 8 0", "72 30 270") is None
    assert odd("25 8 0", "40 8 0", "72 30 90") is not None
    # With another side of theirs to the edge: left at the left, left and right at the top.
    assert odd("8 20 0", "8 40 0", "40 8 270") is None
    assert odd("8 20 0", "8 40 0", "40 8 90") is not None
    assert odd("8 20 90", "8 40 90", "40 52 180") is None
    assert odd("8 20 90", "8 40 90", "40 52 0") is not None


def test_without_a_closed_edge_nothing_looks_outwards() -> None:
    assert odd("8 20 90", "8 40 90", "40 8 0", edge=OPEN) is not None


# -- what is compared -----------------------------------------------------------------------------
def test_only_like_parts_on_one_side_are_compared() -> None:
    assert odd("20 20 0", "35 20 180", "50 20 0") is not None
    # Another footprint, the other side of the board, a facing of its own.
    assert odd("20 20 0 M", "35 20 180 N", "50 20 0 M") is None
    assert odd("20 20 0", "35 20 180 back", "50 20 0") is None
    facts = '[parts.SW2]\nrole = "push-switch"\nfaces = "bottom"\n'
    assert odd("20 20 0", "35 20 180", "50 20 0", facts=facts) is None
    facts = '[parts.SW2]\nrole = "encoder"\n'
    assert odd("20 20 0", "35 20 180", "50 20 0", facts=facts) is None
    assert judged("20 20 0") == []


def test_footprints_without_a_name_are_not_taken_for_like() -> None:
    assert judged("20 20 0 -", "35 20 180 -", "50 20 0 -") == []


def test_a_part_that_is_not_drawn_is_left_out() -> None:
    wiring = circuit("\n".join(f"SW{n} - M : 1=A 2=GND" for n in (1, 2, 3, 4)))
    drawn = "board 80 x 60" + "".join(
        f"\npart SW{n} at {15 * n} 20 {180 if n == 3 else 0} M{UNEVEN}" for n in (2, 3, 4)
    )
    roles = "".join(f'[parts.SW{n}]\nrole = "push-switch"\n' for n in (1, 2, 3, 4))
    design = Design(
        "t", circuit=wiring, netlist=wiring, layout=layout(drawn), manifest=manifest(roles)
    )
    rule = all_rules()["switch-siblings"]
    (found,) = function_of(rule)(Board(design), rule)
    assert isinstance(found, Fail)
    assert found.subjects == ("SW3", "SW2", "SW4")


def test_each_kind_has_its_verdict() -> None:
    found = judged("20 20 0 M", "35 20 0 M", "20 40 0 N", "35 40 180 N")
    assert [type(one) for one in found] == [Pass, Fail]


TACT = """
  pad 1 rect 1 x 1 at -3 -2
  pad 1 rect 1 x 1 at 3 -2
  pad 2 rect 1 x 1 at -3 2
  pad 2 rect 1 x 1 at 3 2
"""


@pytest.mark.parametrize(
    ("footprint", "even"),
    [
        (TACT + "  body -3 -3 3 3\n", True),
        # No body is drawn; nothing is soldered.
        (TACT, True),
        ("\n  body -3 -4 3 1\n", True),
        ("\n  pad 1 rect 1 x 1 at 1 0 layers=F.Paste\n  body -3 -4 3 1\n", True),
        # The body sits off the middle of the pads, along and across: 0.2 mm, 0.3 mm.
        (TACT + "  body -3 -3 3 3.4\n", True),
        (TACT + "  body -3 -3 3 3.6\n", False),
        (TACT + "  body -3 -3 3.4 3\n", True),
        (TACT + "  body -3 -3 3.6 3\n", False),
        (TACT + "  body -3 -3.6 3 3\n", False),
        (TACT + "  body -3.6 -3 3 3\n", False),
        # One pad is wider, taller, or a little out of place.
        (TACT.replace("1 rect 1 x 1 at 3", "1 rect 1.2 x 1 at 3") + "  body -3 -3 3 3\n", False),
        (TACT.replace("1 rect 1 x 1 at 3", "1 rect 1 x 1.2 at 3") + "  body -3 -3 3 3\n", False),
        (TACT.replace("at -3 -2", "at -3.2 -2") + "  body -3 -3 3 3\n", False),
        (TACT.replace("at -3 -2", "at -3 -2.2") + "  body -3 -3 3 3\n", False),
        # A pasted window is no pad.
        (TACT + "  pad 3 rect 1 x 1 at 4 4 layers=F.Paste\n  body -3 -3 3 3\n", True),
    ],
)
@pytest.mark.parametrize("shift", [(0.0, 0.0), (4.0, 7.0)])
@pytest.mark.parametrize("angle", [0, 90])
def test_a_switch_that_half_a_turn_does_not_change_may_stand_either_way(
    footprint: str, even: bool, shift: tuple[float, float], angle: int
) -> None:
    """Wherever the footprint has its origin."""
    moved = []
    for line in footprint.splitlines():
        words = line.split()
        if "at" in words:
            at = words.index("at") + 1
            words[at] = str(float(words[at]) + shift[0])
            words[at + 1] = str(float(words[at + 1]) + shift[1])
        elif words:
            words[1:] = [str(float(w) + shift[n % 2]) for n, w in enumerate(words[1:])]
        moved.append("  " + " ".join(words) if words else "")
    row = ((20, angle), (35, angle + 180), (50, angle))
    found = judged(*(f"{x} 25 {turn}" for x, turn in row), footprint="\n".join(moved) + "\n")
    assert (found == []) is even
