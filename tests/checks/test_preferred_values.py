"""Values that are sold and values that are not, by kind and tolerance (IEC 60063)."""

from __future__ import annotations

import pytest

from boards import bom, make_board
from counterpoise.model.verdicts import Fail, Pass, Verdict
from rules import outcome, verdicts


def one(ref: str, value: str, field: str = "", row: str = "") -> Verdict:
    text = f'{ref} "{value}" - : A B' + (f' "@Tolerance={field}"' if field else "")
    rows = bom(("R8", "1k"), (ref, row), ("R9", "1k")) if row else None
    (verdict,) = verdicts("bom-odd-value", make_board(text, bill=rows))
    return verdict


@pytest.mark.parametrize(
    ("ref", "value"),
    [
        ("R1", "5k1 5%"),
        ("R1", "4k99 1%"),
        ("R1", "4k99"),  # 1 % parts are as usual as others where nothing is stated
        ("R1", "4k87 2%"),  # E48
        ("R1", "4k99 0.5%"),  # E192
        ("C1", "5.3p"),  # whole tenths under ten picofarads (common practice, no source)
        ("L1", "5.3n"),
        ("C1", "9.9p"),
        ("C1", "10p"),
        ("C1", "40u"),
        ("L1", "25u"),
        ("C1", "0.47u 10%"),
    ],
)
def test_sold(ref: str, value: str) -> None:
    assert isinstance(one(ref, value), Pass)


@pytest.mark.parametrize(
    ("ref", "value", "near", "series"),
    [
        ("R1", "4.95k", "5.1 kΩ", "E24"),
        ("R1", "4.95k 5%", "5.1 kΩ", "E24"),
        ("R1", "4.95k 1%", "4.99 kΩ", "E96"),
        ("R1", "4.99k 2%", "5.11 kΩ", "E48"),  # what is proposed is sold at that tolerance
        ("R1", "5.1k 10%", "4.7 kΩ", "E12"),
        ("R1", "4.95k 0.5%", "4.93 kΩ", "E192"),
        ("C1", "5.35p", "5.6 pF", "E24"),
        ("C1", "10.5p", "11 pF", "E24"),
        ("C1", "14n 1%", "15 nF", "E24"),
        ("L1", "10.5n", "11 nH", "E24"),
        ("L1", "35u", "36 µH", "E24"),
        ("C1", "60u", "62 µF", "E24"),
    ],
)
def test_not_sold_and_what_is(ref: str, value: str, near: str, series: str) -> None:
    verdict = one(ref, value)
    assert isinstance(verdict, Fail)
    assert (verdict.words["near"], verdict.words["series"]) == (near, series)


def test_the_tolerance_may_stand_in_a_field_or_in_its_line_of_the_bom() -> None:
    assert isinstance(one("R1", "4k99", field="4.99k 5%"), Fail)
    assert isinstance(one("R1", "4k99", row="4.99k 5%"), Fail)
    assert isinstance(one("R1", "4k99", row="4.99k 1%"), Pass)
    assert isinstance(one("R1", "4k99 1%", row="4.99k 5%"), Pass), "its own word comes first"


def test_an_unread_value_beside_an_odd_one_is_not_asked_for_twice() -> None:
    result = outcome("bom-odd-value", make_board("R1 5k - : A B\nR2 TBD - : A B\nR3 TBD - : A B"))
    assert len(result.findings) == 1
    assert result.coverage[0].needs == ()
    unread = outcome("bom-odd-value", make_board("R2 TBD - : A B\nR3 TBD - : A B"))
    (need,) = unread.coverage[0].needs
    assert need.what == "the value of R2 and R3"
    assert need.where.startswith("board.toml: [parts.R2] value")


def test_unread_values_with_the_same_text_are_one_finding_unless_they_mean_different_things() -> (
    None
):
    text = "C1 10 - : A B\nC2 10 - : A B\nR1 TBD - : A B\nC3 TBD - : A B\nR2 1k - : A B"
    found = verdicts("bom-value-unreadable", make_board(text))
    fails = [v for v in found if isinstance(v, Fail)]
    assert [(v.case, v.subjects) for v in fails] == [
        ("doubtful", ("C1", "C2")),
        ("unreadable", ("C3", "R1")),
    ]
    assert [v.words["have"] for v in fails] == ["have", "have"]
    assert sum(isinstance(v, Pass) for v in found) == 1
    (single,) = verdicts("bom-value-unreadable", make_board("R1 TBD - : A B"))
    assert isinstance(single, Fail)
    assert single.words["have"] == "has"
