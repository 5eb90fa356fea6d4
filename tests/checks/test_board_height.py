"""How high the board stands: both sides, what is known of them, and the limit."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from layouts import layout
from rules import outcome, verdicts

PARTS = ("J1", "J2", "SW1", "R1")
DRAWN = """
board 40 x 30
part J1 at 5 5 "J"
part J2 at 15 5 "J"
part SW1 at 25 5 0 back "S"
part R1 at 35 5 "R"
"""
ROLES = {"J1": "connector", "J2": "connector", "SW1": "push-switch", "R1": "resistor"}


def facts(limit: str, board: str = 'thickness = "1 mm"', **heights: str) -> str:
    text = f'[board]\n{board}\n[limits]\nheight = "{limit}"\n'
    for ref, role in ROLES.items():
        text += f'[parts.{ref}]\nrole = "{role}"\n'
        if ref in heights:
            text += f"height = {heights[ref]!r}\n".replace("'", '"')
    return text


WIRING = "".join(f"{ref} - X : A B\n" for ref in PARTS)


def judged(text: str, drawn: str = DRAWN, wiring: str = WIRING) -> Verdict:
    (verdict,) = verdicts("height-over", make_board(wiring, text, layout=layout(drawn)))
    return verdict


KNOWN = {"J1": "3.2 mm", "J2": "3 mm", "SW1": "3 mm"}


@pytest.mark.parametrize(("limit", "over"), [("7.2 mm", False), ("7.19 mm", True)])
def test_the_tallest_of_each_side_and_the_board(limit: str, over: bool) -> None:
    verdict = judged(facts(limit, **KNOWN))
    if not over:
        assert verdict == Pass("the board")
        return
    assert isinstance(verdict, Fail)
    assert verdict.subjects == ("SW1", "J1")  # back, then front
    assert verdict.words["parts"] == "SW1 (3 mm) and J1 (3.2 mm)"
    assert verdict.words["measured"] == "7.2 mm"
    assert (verdict.firm, verdict.severity) == (True, None)
    exact = judged(facts("7 mm", **{**KNOWN, "J1": "3.20046 mm"}))
    assert isinstance(exact, Fail)
    assert exact.measured is not None
    assert exact.measured.value == 7.2


def test_a_tall_part_without_its_height_is_asked_for_unless_it_is_over_already() -> None:
    some = {"J1": "3.2 mm"}
    verdict = judged(facts("8 mm", **some))
    assert isinstance(verdict, Unknown)
    assert [need.what for need in verdict.needs] == ["the height of J2", "the height of SW1"]
    over = judged(facts("4 mm", **some))
    assert isinstance(over, Fail)
    assert over.words["parts"] == "J1 (3.2 mm)"
    # A resistor is flat whether stated or not.
    assert judged(facts("8 mm", **KNOWN)) == Pass("the board")
    assert isinstance(judged(facts("8 mm", **KNOWN, R1="5 mm")), Fail)


def test_three_heights_at_most_are_asked_for() -> None:
    extra = "".join(f"J{i} - X : A B\n" for i in (3, 4))
    drawn = DRAWN + "".join(f"part J{i} at 5 {i}5\n" for i in (1, 2)).replace("J1", "J3").replace(
        "J2", "J4"
    )
    roles = '[parts.J3]\nrole = "connector"\n[parts.J4]\nrole = "connector"\n'
    verdict = judged(facts("8 mm") + roles, drawn, WIRING + extra)
    assert isinstance(verdict, Unknown)
    assert [need.what[-2:] for need in verdict.needs] == ["J1", "J2", "J3"]


def test_a_board_of_flat_parts_of_which_none_is_known() -> None:
    flat = 'part R1 at 5 5 "R"\n'
    verdict = judged(facts("8 mm"), flat, "R1 10k R : A B\n")
    assert isinstance(verdict, Unknown)
    assert verdict.needs[0].what == "the heights of its parts"
    bare = judged(facts("0.9 mm"), flat, "R1 10k R : A B\n")
    assert isinstance(bare, Fail)
    assert (bare.words["parts"], bare.subjects) == ("the board", ())


def test_what_leaves_the_board_or_is_not_on_it_does_not_count() -> None:
    tall = facts("8 mm", **{**KNOWN, "SW1": "9 mm"})
    assert isinstance(judged(tall), Fail)
    leaves = tall.replace('height = "9 mm"', 'height = "9 mm"\nleaves_board = true')
    assert judged(leaves) == Pass("the board")
    assert judged(tall, DRAWN.replace("SW1", "SW9")) == Pass("the board")
    # The parts after it count.
    first_leaves = tall.replace('height = "3.2 mm"', 'height = "3.2 mm"\nleaves_board = true')
    verdict = judged(first_leaves)
    assert isinstance(verdict, Fail)
    assert verdict.subjects == ("SW1", "J2")


@pytest.mark.parametrize(
    ("board", "drawn", "measured"),
    [
        ('thickness = "1.6 mm"', "", "7.8 mm"),
        ("", "thickness 1.2\n", "7.4 mm"),
        (
            'thickness = "1.6 mm"',
            "thickness 1.2\n",
            "7.8 mm",
        ),  # the manifest is nearer to the order
        ("", "", ""),
    ],
)
def test_the_thickness_of_the_board(board: str, drawn: str, measured: str) -> None:
    verdict = judged(facts("7 mm", board, **KNOWN), drawn + DRAWN)
    if not measured:
        assert isinstance(verdict, Unknown)
        assert verdict.needs[0].what == "the thickness of the board"
        return
    assert isinstance(verdict, Fail)
    assert verdict.words["measured"] == measured


@pytest.mark.parametrize(
    ("limit", "severity"),
    [("7.2 mm", None), ("7.1 mm", "caution"), ("6.2 mm", "caution"), ("6.1 mm", "stop")],
)
def test_a_height_that_is_a_range_stops_only_where_all_of_it_is_over(
    limit: str, severity: str | None
) -> None:
    text = facts(limit, **{**KNOWN, "J1": "2.2 mm to 3.2 mm", "J2": "2 mm to 2.1 mm"})
    found = outcome("height-over", make_board(WIRING, text, layout=layout(DRAWN))).findings
    assert [f.severity.value for f in found] == ([severity] if severity else [])
    # A lower part whose least height is the greater one counts for the least stack.
    text = facts("6.2 mm", **{**KNOWN, "J1": "1 mm to 3.2 mm", "J2": "2.3 mm"})
    (finding,) = outcome("height-over", make_board(WIRING, text, layout=layout(DRAWN))).findings
    assert finding.severity.value == "stop"
