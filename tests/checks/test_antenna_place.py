"""Antennas against the edge, and against cells, shells and screws, at their limits."""

from __future__ import annotations

import pytest

from aerials import CHIP, FACTS, INSIDE, MODULE, MODULE_WIRING, WIRING, told
from boards import make_board
from counterpoise.model.verdicts import Fail, Pass, Skip, Unknown, Verdict
from layouts import layout
from rules import verdicts

PARTS = '[parts.AE1]\nrole = "antenna"\n'


def edge(drawn: str, facts: str = FACTS, wiring: str = WIRING) -> Verdict:
    (verdict,) = verdicts("antenna-at-edge", make_board(wiring, facts, layout=layout(drawn)))
    return verdict


@pytest.mark.parametrize(
    ("at", "gap"),
    [
        ("7 20", 0),  # the body is 4 x 2 mm: 5 mm to the left edge
        ("7.0124 20", 5.01),
        ("20 6", 0),
        ("20 6.01", 5.01),
        ("20 33.99", 5.01),
        ("39 20", 0),  # reaches over the edge
        ("50 20", 0),  # lies off the board
    ],
)
def test_five_millimetres_from_the_outer_edge(at: str, gap: float) -> None:
    verdict = edge(CHIP.replace("20 20", at))
    if not gap:
        assert verdict == Pass("AE1")
        return
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    assert verdict.measured.value == gap


def test_the_edge_of_its_own_board_of_a_panel_counts_and_a_cut_out_does_not() -> None:
    second = "edge rect 50 0 90 40\n"
    assert edge(CHIP.replace("20 20", "53 20") + second) == Pass("AE1")
    assert told(edge(CHIP.replace("20 20", "70 20") + second)) == "inside"
    assert told(edge(CHIP + "hole 18 22 22 26\n")) == "inside"


def test_without_a_closed_edge_it_cannot_be_told() -> None:
    verdict = edge(CHIP.replace("board 40 x 40", "edge line 0 0 40 0"))
    assert isinstance(verdict, Unknown)
    assert verdict.needs[0].what == "a closed outline"


def test_the_end_of_a_module_is_what_counts_and_a_guess_is_told() -> None:
    assert edge(MODULE.replace("20 20", "20 15"), INSIDE, MODULE_WIRING) == Pass("U1")
    guessed = INSIDE.replace("antenna_inside = true\n", "")
    verdict = edge(MODULE, guessed, MODULE_WIRING)
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    assert verdict.measured.value == 10
    assert verdict.doubt.startswith("taken for")


# -- metal ---------------------------------------------------------------------------------------
def metal(parts: str, drawn: str, facts: str = "", aerial: str = CHIP) -> list[Verdict]:
    wiring = WIRING + parts
    return verdicts(
        "antenna-near-metal", make_board(wiring, PARTS + facts, layout=layout(aerial + drawn))
    )


CELL = "BT1 CELL HOLDER : 1/+=VBAT 2/-=GND\n"
AS_CELL = '[parts.BT1]\nrole = "cell"\n'
HOLDER = 'part BT1 at {x} 20 "HOLDER"\n  pad 1 rect 1 x 1 at 0 0 net=VBAT\n'


@pytest.mark.parametrize(
    ("x", "gap"), [(30, 0), (29.99, 4.99), (24, 0.0)], ids=["5 mm", "nearer", "touching"]
)
def test_a_cell_keeps_five_millimetres(x: float, gap: float) -> None:
    # The body of the antenna ends at x 22, that of the holder begins 3 mm before its middle.
    (verdict,) = metal(CELL, HOLDER.format(x=x) + "  courtyard -3 -3 3 3\n", AS_CELL)
    if x == 30:
        assert verdict == Pass("AE1")
        return
    assert isinstance(verdict, Fail)
    assert (verdict.subjects, verdict.words["what"]) == (("AE1", "BT1"), "cell")
    assert verdict.measured is not None
    assert verdict.measured.value == pytest.approx(gap)


def test_a_body_is_taken_from_what_is_drawn_and_at_least_from_the_pads() -> None:
    for body in ("  draw F.Fab 0.1 -3 -3 3 3 3 -3\n", "  draw F.SilkS 0.1 -3 -3 3 3 3 -3\n", ""):
        (verdict,) = metal(CELL, HOLDER.format(x=29) + body, AS_CELL)
        assert told(verdict) == ("near" if body else "Pass")
    for nothing in ("", "  draw F.Fab 0.1 -3 0 3 0\n", "  draw F.Cu 0.1 -3 -3 3 3 3 -3\n"):
        (verdict,) = metal(CELL, HOLDER.format(x=26) + nothing, AS_CELL)
        assert told(verdict) == "near"
    courtyard_first = "  draw F.Fab 0.1 -9 -9 9 9 9 -9\n  courtyard -1 -1 1 1\n"
    (verdict,) = metal(CELL, HOLDER.format(x=29) + courtyard_first, AS_CELL)
    assert verdict == Pass("AE1")
    small = HOLDER.format(x=27.3).replace("1 x 1", "0.2 x 0.2") + "  courtyard -0.4 -0.4 0.4 0.4\n"
    (verdict,) = metal(CELL, small, AS_CELL)
    assert told(verdict) == "near"
    (verdict,) = metal(CELL, small.replace("  courtyard -0.4 -0.4 0.4 0.4\n", ""), AS_CELL)
    assert verdict == Pass("AE1")
    bare = 'part BT1 at 20 20 "HOLDER"\n'
    assert metal(CELL, bare, AS_CELL) == [Pass("AE1")]


def test_several_pieces_of_metal_are_told_nearest_first() -> None:
    parts = CELL + "J1 USB USB : 1/VBUS=VBUS 2/GND=GND\nM1 MOT M : 1=A 2=B\nBT2 C H : 1=X 2=GND\n"
    facts = AS_CELL + AS_CELL.replace("BT1", "BT2")
    facts += '[parts.J1]\nrole = "usb-connector"\n[parts.M1]\nrole = "motor"\n'
    drawn = "".join(
        f'part {ref} at {x} {y} "X"\n  pad 1 rect 1 x 1 at 0 0\n  courtyard -1 -1 1 1\n'
        for ref, x, y in [("BT2", 26, 20), ("M1", 25, 20), ("J1", 20, 16), ("BT1", 14, 20)]
    )
    found = metal(parts, drawn, facts)
    told_first = [v.subjects[1] for v in found if isinstance(v, Fail)]
    assert told_first == ["J1", "M1", "BT1", "BT2"]
    whats = [v.words["what"] for v in found if isinstance(v, Fail)]
    assert whats == ["metal shell", "motor", "cell", "cell"]


@pytest.mark.parametrize(
    ("drill", "x", "expected"),
    [
        (2, 29, "Pass"),  # its head, twice the hole wide, ends 5 mm away
        (2, 28.9, "near"),
        (1.9, 24, "Pass"),  # a pin's hole
        (3, 29, "near"),
    ],
)
def test_a_screw_with_its_head(drill: float, x: float, expected: str) -> None:
    hole = f'part H1 at {x} 20 "H"\n  pad - rect 0.1 x 0.1 at 0 3 drill=0.5\n'
    hole += f"  pad - circle {drill} x {drill} at 0 0 drill={drill}\n"
    (verdict,) = metal("H1 - HOLE :\n", hole, '[parts.H1]\nrole = "mechanical"\n')
    assert told(verdict) == expected
    if isinstance(verdict, Fail):
        assert verdict.words["what"] == "screw"


def test_another_antenna_is_judged_after_one_that_cannot_be() -> None:
    parts = WIRING.split("\n")[0].replace("AE1", "AE2") + "\n" + CELL
    facts = '[parts.AE2]\nrole = "antenna"\n' + AS_CELL
    second = CHIP.split("\n", 2)[2].replace("AE1", "AE2")
    holder = HOLDER.format(x=29) + "  courtyard -3 -3 3 3\n"
    bare = CHIP.replace("  body -2 -1 2 1\n", "").replace("20 20", "5 5")
    first, other = metal(parts, second + holder, facts, bare)
    assert isinstance(first, Unknown)
    assert isinstance(other, Fail)
    assert other.subjects == ("AE2", "BT1")
    missing = CHIP.split("\n")[1] + "\n"
    first, other = metal(parts, second + holder, facts, missing)
    assert first == Skip("AE1 is not on the layout")


def test_the_place_told_is_rounded_to_a_micrometre_and_never_minus_nought() -> None:
    holder = HOLDER.format(x="-0.0001").replace(" 20 ", " -0.0001 ") + "  courtyard -30 -30 30 30\n"
    (verdict,) = metal(CELL, holder, AS_CELL)
    assert isinstance(verdict, Fail)
    assert verdict.place is not None
    assert str((verdict.place.x_mm, verdict.place.y_mm)) == "(0.0, 0.0)"
    (verdict,) = metal(CELL, holder.replace("-0.0001", "1.23449"), AS_CELL)
    assert isinstance(verdict, Fail)
    assert verdict.place is not None
    assert (verdict.place.x_mm, verdict.place.y_mm) == (1.234, 1.234)


# -- a cell that lies loose ----------------------------------------------------------------------
LOOSE = AS_CELL + '[cell]\nref = "BT1"\nsize = "{size} mm"\n'
SOCKET = 'part BT1 at 30 30 "SOCKET"\n  pad 1 rect 1 x 1 at 0 0\n  courtyard {c}\n'


@pytest.mark.parametrize(
    ("at", "size", "expected"),
    [
        # On 40 x 40 mm the antenna's body is 4 x 2 mm; the cell may lie in any corner.
        ("20 3", "5 x 31 x 40", "Pass"),  # below it, 5 mm away
        ("20 3", "5 x 31.1 x 40", "Unknown"),
        ("20 37", "5 x 31 x 40", "Pass"),  # above it
        ("20 37", "5 x 31.1 x 40", "Unknown"),
        ("3 20", "5 x 30 x 40", "Pass"),  # beside it, the cell turned
        ("3 20", "5 x 30.1 x 40", "Unknown"),
        ("37 20", "5 x 30 x 40", "Pass"),
        ("37 20", "5 x 30.1 x 40", "Unknown"),
        ("3 3", "40 x 5 x 30", "Pass"),  # whichever way its sides are listed
        ("20 3", "5 x 10 x 41", "Unknown"),  # longer than the board
        ("20 3", "5 x 41 x 41", "Unknown"),
        ("20 20", "5 x 10 x 10", "Pass"),
        ("20 20", "3 x 14 x 14", "Pass"),
        ("20 20", "3 x 14.1 x 36", "Unknown"),
    ],
)
def test_a_loose_cell_finds_a_place_or_its_distance_is_asked_for(
    at: str, size: str, expected: str
) -> None:
    drawn = SOCKET.format(c="-1 -1 1 1")
    (verdict,) = metal(CELL, drawn, LOOSE.format(size=size), CHIP.replace("20 20", at))
    if isinstance(verdict, Fail):
        pytest.fail("the socket itself is far enough")
    assert told(verdict) == expected
    if isinstance(verdict, Unknown):
        assert verdict.needs[0].where == 'board.toml: [parts.AE1] metal_distance = "10 mm"'


def test_the_room_for_a_loose_cell_is_the_board_wherever_it_is_drawn() -> None:
    drawn = SOCKET.replace("at 30 30", "at 130 130").format(c="-1 -1 1 1")
    far = CHIP.replace("board 40 x 40", "edge rect 100 100 140 140").replace("20 20", "120 103")
    too_long = metal(CELL, drawn, LOOSE.format(size="5 x 10 x 41"), far)
    assert [told(v) for v in too_long] == ["Unknown"]
    low = CHIP.replace("board 40 x 40", "board 40 x 30").replace("20 20", "20 3")
    lying = metal(CELL, SOCKET.format(c="-1 -1 1 1"), LOOSE.format(size="5 x 10 x 35"), low)
    assert lying == [Pass("AE1")]
    high = CHIP.replace("board 40 x 40", "board 30 x 40").replace("20 20", "3 20")
    standing = metal(CELL, SOCKET.format(c="-1 -1 1 1"), LOOSE.format(size="5 x 10 x 35"), high)
    assert standing == [Pass("AE1")]


@pytest.mark.parametrize(
    ("half", "expected"), [(10, "Unknown"), (10.1, "Pass")], ids=["half the cell", "more"]
)
def test_a_holder_is_where_it_is_drawn(half: float, expected: str) -> None:
    # A cell of 40 x 40 mm; a body of more than half of that is its holder.
    drawn = SOCKET.replace("at 30 30", "at 20 29").format(c=f"-20 -{half} 20 {half}")
    (verdict,) = metal(CELL, drawn, LOOSE.format(size="5 x 40 x 40"), CHIP.replace("20 20", "20 3"))
    assert told(verdict) == expected


def test_nothing_is_asked_where_no_cell_or_no_size_or_no_edge_is_known() -> None:
    drawn, at_the_edge = SOCKET.format(c="-1 -1 1 1"), CHIP.replace("20 20", "20 3")
    assert metal(CELL, drawn, AS_CELL, at_the_edge) == [Pass("AE1")]
    size = '[cell]\nsize = "5 x 40 x 40 mm"\n'
    assert metal("", "", size, at_the_edge) == [Pass("AE1")]
    open_edge = at_the_edge.replace("board 40 x 40", "edge line 0 0 40 0")
    assert metal(CELL, drawn, LOOSE.format(size="5 x 40 x 40"), open_edge) == [Pass("AE1")]
    not_drawn = metal(CELL, "", LOOSE.format(size="5 x 40 x 40"), at_the_edge)
    assert [told(v) for v in not_drawn] == ["Unknown"]


@pytest.mark.parametrize(
    ("stated", "expected"),
    [
        ("5 mm", "Pass"),
        ("4.9 mm", "beside"),
        ("4 mm to 8 mm", "Unknown"),
        ("5 mm to 8 mm", "Pass"),
        ("2 mm to 4 mm", "beside"),
        ("4.123 mm", "beside"),
    ],
)
def test_a_stated_distance_decides(stated: str, expected: str) -> None:
    facts = LOOSE.format(size="5 x 40 x 40")
    aerial = PARTS + f'metal_distance = "{stated}"\n'
    board = make_board(
        WIRING + CELL, aerial + facts, layout=layout(CHIP + SOCKET.format(c="-1 -1 1 1"))
    )
    (verdict,) = verdicts("antenna-near-metal", board)
    assert told(verdict) == expected
    if isinstance(verdict, Fail):
        assert verdict.measured is not None
        assert verdict.measured.value in (4.9, 4, 4.12)
