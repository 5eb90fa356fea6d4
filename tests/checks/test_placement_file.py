"""Placement files against the layout: what counts as the file's own sense and what as a slip."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.bom import Placement
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from layouts import layout
from rules import verdicts

Row = tuple[str, float, float, float, str]
Drawn = tuple[str, float, float, float] | Row
# Ref, x, y, angle and side on the layout; y points down there and up in the file.
FRONT: list[Drawn] = [
    ("U1", 10, 10, 0),
    ("U2", 30, 10, 90),
    ("U3", 10, 30, 180),
    ("U4", 35, 28, 270),
]
BACK: list[Drawn] = [
    ("U5", 15, 12, 0, "back"),
    ("U6", 33, 14, 90, "back"),
    ("U7", 12, 33, 180, "back"),
]


def rows(*parts: Drawn) -> list[Row]:
    """The rows of a sound file: the layout's own origin, y turned up."""
    return [(r, x, -y, a, side[0] if side else "front") for r, x, y, a, *side in parts]


def judged(
    parts: list[Drawn],
    file: list[Row],
    roles: str = "",
    pads: str = "  pad 1 rect 1 x 1 at 0 0\n",
    wiring: str = "",
) -> list[Verdict]:
    drawn = "".join(
        f"part {ref} at {x} {y} {angle} {' '.join(side)}\n{pads}"
        for ref, x, y, angle, *side in parts
    )
    refs = dict.fromkeys(part[0] for part in parts)
    text = wiring or "".join(f"{ref} X9 - : A B C\n" for ref in refs)
    placed = tuple(Placement(*row) for row in file)
    board = make_board(text, roles, layout=layout(drawn), placements=placed)
    return verdicts("centroid-rotation", board)


def told(found: list[Verdict]) -> list[tuple[str, str]]:
    return [(v.subjects[0], v.case) for v in found if isinstance(v, Fail)]


def test_a_sound_file() -> None:
    assert judged(FRONT + BACK, rows(*FRONT, *BACK)) == [Pass("the board")]


# -- position ------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("dx", "dy", "gap"),
    [
        (0.5, 0, 0),
        (0, -0.5, 0),
        (0.51, 0, 0.51),
        (0, 0.51, 0.51),
        (0.3, 0.39, 0),  # as the crow flies
        (0.3, 0.41, 0.51),
        (-3, 4, 5),
        (3.126, 0, 3.13),
    ],
)
def test_half_a_millimetre_from_its_place(dx: float, dy: float, gap: float) -> None:
    file = rows(*FRONT)
    ref, x, y, angle, side = file[1]
    file[1] = (ref, x + dx, y + dy, angle, side)
    found = judged(FRONT, file)
    assert told(found) == ([("U2", "position")] if gap else [])
    for verdict in found:
        if isinstance(verdict, Fail):
            assert verdict.measured is not None
            assert verdict.measured.value == gap
            assert verdict.place is not None
            assert (verdict.place.x_mm, verdict.place.y_mm, verdict.place.side) == (30, 10, "front")


@pytest.mark.parametrize("mirror", [1, -1])
@pytest.mark.parametrize("offset", [(0.0, 0.0), (100.0, -40.0)])
def test_origin_and_mirror_are_the_files_own_and_differ_by_side(
    mirror: int, offset: tuple[float, float]
) -> None:
    front, back = rows(*FRONT), rows(*BACK)
    back = [(r, mirror * x + offset[0], y + offset[1], a, s) for r, x, y, a, s in back]
    assert judged(FRONT + BACK, front + back) == [Pass("the board")]
    ref, x, y, angle, side = back[0]
    back[0] = (ref, x + 2, y, angle, side)
    assert told(judged(FRONT + BACK, front + back)) == [("U5", "position")]


def test_parts_that_only_their_pads_place_are_no_slip() -> None:
    # Some files give the middle of the pads: 3 mm right of and 1 mm below the origin, turned.
    pads = "  pad 1 rect 1 x 1 at 1 -1\n  pad 2 rect 1 x 1 at 5 3\n"
    middles = [(13, 11), (31, 7), (7, 29), (34, 31)]
    file = [
        (r, float(x), -float(y), float(a), "front")
        for (r, _, _, a, *_), (x, y) in zip(FRONT, middles, strict=True)
    ]
    assert judged(FRONT, file, pads=pads) == [Pass("the board")]
    mirrored = [(r, -x, y, a, s) for r, x, y, a, s in file]
    assert judged(FRONT, mirrored, pads=pads) == [Pass("the board")]
    origins = rows(*FRONT)
    mixed = [*origins[:3], file[3]]
    assert judged(FRONT, mixed, pads=pads) == [Pass("the board")]
    off = [*origins[:3], ("U4", 34.0, -27.0, 270.0, "front")]
    assert told(judged(FRONT, off, pads=pads)) == [("U4", "position")]
    # Without any pad the origin is all there is.
    assert told(judged(FRONT, mixed, pads="")) == [("U4", "position")]


def test_the_mirror_is_that_which_fits_most_parts() -> None:
    # Left to right the parts stand so that a mirrored file fits two of five by chance.
    parts: list[Drawn] = [("U1", 10, 10, 0), ("U2", 20, 20, 0), ("U3", 30, 30, 0)]
    parts += [("U4", 20, 5, 0), ("U5", 14, 25, 0)]
    assert judged(parts, rows(*parts)) == [Pass("the board")]
    blurred = [(r, x + 0.25 * (-1) ** i, y, a, s) for i, (r, x, y, a, s) in enumerate(rows(*parts))]
    assert judged(parts, blurred) == [Pass("the board")]


# -- rotation ------------------------------------------------------------------------------------
@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize("shift", [0, 90, 180, 270])
def test_zero_and_sense_of_rotation_are_the_files_own(sign: int, shift: int) -> None:
    file = [(r, x, y, (sign * a + shift) % 360, s) for r, x, y, a, s in rows(*FRONT)]
    assert judged(FRONT, file) == [Pass("the board")]
    ref, x, y, angle, side = file[0]
    file[0] = (ref, x, y, (angle + 90) % 360, side)
    (verdict,) = judged(FRONT, file)
    assert isinstance(verdict, Fail)
    assert (verdict.subjects, verdict.case) == (("U1",), "rotation")
    assert verdict.words["file"] == f"{(shift + 90) % 360}°"
    assert verdict.words["layout"] == f"{shift}°"
    assert verdict.measured is not None
    assert verdict.measured.value == 90


@pytest.mark.parametrize(
    ("turn", "slip"),
    [(0.49, False), (0.5, True), (-0.49, False), (-0.5, True), (359.6, False), (360, False)],
)
def test_half_a_degree_is_no_turn(turn: float, slip: bool) -> None:
    file = rows(*FRONT)
    ref, x, y, angle, side = file[2]
    file[2] = (ref, x, y, angle + turn, side)
    assert told(judged(FRONT, file)) == ([("U3", "rotation")] if slip else [])


def test_the_turn_told_is_from_the_layout_to_the_file() -> None:
    file = rows(*FRONT)
    ref, x, y, _, side = file[3]
    file[3] = (ref, x, y, 180.04, side)
    (verdict,) = judged(FRONT, file)
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    assert (verdict.measured.value, verdict.measured.unit) == (270, "°")
    file[3] = (ref, x, y, 180.0, side)
    (verdict,) = judged(FRONT, file)
    assert isinstance(verdict, Fail)
    assert (verdict.words["file"], verdict.words["layout"]) == ("180°", "270°")


@pytest.mark.parametrize(
    ("role", "wiring", "half", "quarter"),
    [
        ("resistor", "U4 10k R_0603 : A B", False, True),
        ("capacitor", "U4 1u C_0603 : A B", False, True),
        ("capacitor", "U4 47u CP_EIA-3216-18 : A B", True, True),
        ("capacitor", "U4 47u C : 1/+=A 2/-=B", True, True),
        ("inductor", "U4 1u L : A B", False, True),
        ("ferrite", "U4 600R L : A B", False, True),
        ("fuse", "U4 1A F : A B", False, True),
        ("crystal", "U4 32MHz XTAL : A B C D", False, True),
        ("resonator", "U4 16MHz X : A B C", False, True),
        ("link", "U4 0R R : A B", False, True),
        ("led", "U4 RED LED : A B", True, True),
        ("diode", "U4 BAT54 D : A B", True, True),
        ("chip", "U4 X9 Q : A B C", True, True),
    ],
)
def test_half_a_turn_matters_where_the_part_has_two_ends(
    role: str, wiring: str, half: bool, quarter: bool
) -> None:
    text = "".join(f"U{i} X9 - : A B C\n" for i in (1, 2, 3)) + wiring + "\n"
    facts = f'[parts.U4]\nrole = "{role}"\n'
    for turn, slip in ((180, half), (90, quarter)):
        file = rows(*FRONT)
        ref, x, y, angle, side = file[3]
        file[3] = (ref, x, y, angle + turn, side)
        found = judged(FRONT, file, facts, wiring=text)
        assert told(found) == ([("U4", "rotation")] if slip else []), turn


def test_a_tie_goes_to_the_plainer_reading() -> None:
    pair: list[Drawn] = [("U1", 10, 10, 0), ("U2", 30, 20, 0)]
    file = rows(*pair)
    file[1] = (*file[1][:3], 90.0, "front")
    assert told(judged(pair, file)) == [("U2", "rotation")]
    file[0] = (*file[0][:3], 90.0, "front")
    file[1] = (*file[1][:3], 0.0, "front")
    assert told(judged(pair, file)) == [("U1", "rotation")]
    # Half a turn tells nothing of the sense: counter-clockwise, the plainer, is taken.
    halves: list[Drawn] = [("U1", 10, 10, 0), ("U2", 30, 20, 180), ("U3", 20, 5, 90)]
    file = rows(*halves)
    file[2] = (*file[2][:3], 45.0, "front")
    (verdict,) = judged(halves, file)
    assert isinstance(verdict, Fail)
    assert (verdict.subjects, verdict.words["layout"]) == (("U3",), "90°")


def test_a_part_moved_is_not_told_as_turned_besides() -> None:
    file = rows(*FRONT)
    ref, x, y, angle, side = file[3]
    file[3] = (ref, x + 5, y, angle + 180, side)
    assert told(judged(FRONT, file)) == [("U4", "position")]


# -- rows ----------------------------------------------------------------------------------------
def test_a_part_on_the_other_side_is_told_at_its_place_and_counts_for_nothing_else() -> None:
    file = rows(*FRONT, *BACK)
    ref, x, y, angle, _ = file[0]
    file[0] = (ref, x + 9, y, angle + 45, "back")
    (verdict,) = judged(FRONT + BACK, file)
    assert isinstance(verdict, Fail)
    assert (verdict.subjects, verdict.case) == (("U1",), "side")
    assert (verdict.words["file"], verdict.words["layout"]) == ("back", "front")
    assert verdict.place is not None
    assert (verdict.place.x_mm, verdict.place.side) == (10, "front")


def test_a_lone_part_of_a_side_tells_nothing() -> None:
    lone: list[Drawn] = [("U5", 15, 12, 0, "back")]
    file = [*rows(*FRONT), ("U5", 77.0, 5.0, 45.0, "back")]
    assert judged(FRONT + lone, file) == [Pass("the board")]
    two = [*lone, ("U6", 33, 14, 90, "back")]
    file = [*file, ("U6", 33.0, -14.0, 90.0, "back")]
    assert {ref for ref, _ in told(judged(FRONT + two, file))} == {"U5", "U6"}


def test_rows_are_told_in_the_order_of_the_parts() -> None:
    parts: list[Drawn] = [(f"U{i}", 5 * i, (i * i) % 17, 0) for i in (10, 2, 9, 1, 4, 7, 6)]
    file = [
        (r, x + (2 if r in ("U10", "U9", "U2") else 0), y, a, s) for r, x, y, a, s in rows(*parts)
    ]
    assert told(judged(parts, file)) == [(ref, "position") for ref in ("U2", "U9", "U10")]


def test_rows_without_a_part_and_refs_that_stand_twice_are_left_out() -> None:
    twice = [*FRONT, ("U9", 5, 5, 0), ("U9", 25, 25, 0)]
    file = [*rows(*FRONT), ("U9", 1.0, 1.0, 45.0, "front"), ("U8", 1.0, 1.0, 45.0, "back")]
    assert judged(twice, file) == [Pass("the board")]
    (verdict,) = judged(FRONT, [("U8", 1.0, 1.0, 0.0, "front")])
    assert isinstance(verdict, Unknown)
    assert verdict.needs[0].where == 'board.toml: [board] centroid = "…"'
