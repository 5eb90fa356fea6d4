"""Parts, mass and findings of a revision."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boards import bom, make_board
from counterpoise.compare.ledger import bom_lines, findings_change, mass_change, parts_ledger
from counterpoise.compare.wiring import compare_wiring
from counterpoise.estimates.mass import ledger
from counterpoise.model.report import MassItem
from counterpoise.model.verdicts import Finding, Severity
from counterpoise.values.ranges import Estimate
from renaming import renamed

OLD = """
    U1 XR100 QFN-16 : 1=V 2=G 3=A 4=B
    R1 10k R_0603_1608Metric : V A @symbol=R
    C1 15p C_0402_1005Metric : A G @symbol=C
    C2 100n C_0402_1005Metric : V G @symbol=C
    R9 0R R_0402_1005Metric : B B2 @symbol=R
    R8 1k R_0402_1005Metric : B2 G @symbol=R
    H1 - MountingHole : @symbol=MountingHole
    TP1 TestPoint TestPoint_Pad : A @symbol=TestPoint
"""
NEW = """
    IC7 XR100 QFN-16 : 1=VCC 2=GND 3=N1 4=N2
    R71 10k R_0402_1005Metric : N1 VCC @symbol=R
    C71 27pF C_0402_1005Metric : N1 GND @symbol=C
    C72 0.1uF C_0402_1005Metric : GND VCC @symbol=C
    R78 1K R_0402_1005Metric : N2 GND @symbol=R
    H1 - MountingHole : @symbol=MountingHole
    H2 - MountingHole : @symbol=MountingHole
    R99 5k R_0402_1005Metric : VCC GND @symbol=R @dnp
"""


def test_parts_are_told_by_what_they_are() -> None:
    outcome = compare_wiring(make_board(OLD), make_board(NEW))
    assert outcome.wiring.verdict == "same"
    told = parts_ledger(outcome.pairing)
    assert {("U1", "IC7"), ("R1", "R71"), ("C2", "C72"), ("R8", "R78")} <= set(told.matched)
    assert {(c.old, c.new, c.what) for c in told.changed} == {
        ("R1", "R71", "package 0603, now 0402"),
        ("C1", "C71", "value 15p, now 27pF"),
    }
    assert told.removed == ("R9", "TP1")
    assert told.added == ("H2",)
    assert told.new_unfitted == ("R99",)


def test_nothing_changed_says_nothing() -> None:
    board = make_board(OLD)
    told = parts_ledger(compare_wiring(board, renamed(board, random.Random(1)).board).pairing)
    assert (told.added, told.removed, told.changed) == ((), (), ())
    assert len(told.matched) == 8


# -- mass ---------------------------------------------------------------------------------------------
def item(
    name: str, low: float, likely: float, high: float, *, ref: str = "", shared: str = ""
) -> MassItem:
    return MassItem(name, ref, Estimate(low, likely, high), "table", shared)


def test_shared_uncertainty_cancels() -> None:
    """The same laminate on half the area: only half of its deviation is left, not the root of the sum
    of squares of both."""
    old = ledger([item("laminate", 3.6, 4.0, 4.4, shared="density")])
    new = ledger([item("laminate", 1.8, 2.0, 2.2, shared="density")])
    change = mass_change(old, new, {})
    assert change.likely == pytest.approx(-2.0)
    assert [change.low, change.high] == pytest.approx([-2.2, -1.8])


def test_the_same_part_weighs_the_same_on_both() -> None:
    old = ledger([item("XR100", 0.1, 0.2, 0.4, ref="U1"), item("AAA", 11, 11.5, 12, ref="BT1")])
    new = ledger([item("XR100", 0.1, 0.2, 0.4, ref="IC7"), item("LiPo", 3, 4, 5, ref="BT1")])
    change = mass_change(old, new, {"U1": "IC7"})
    assert change.likely == pytest.approx(-7.5)
    # What is left are the two cells, independent of each other: 0.5 g and 1 g in quadrature.
    assert change.high - change.likely == pytest.approx(math.hypot(0.5, 1.0))


def test_equal_extras_cancel() -> None:
    shell = item("shell", 8, 9, 10)
    change = mass_change(ledger([shell]), ledger([shell]), {})
    assert (change.low, change.likely, change.high) == (0.0, 0.0, 0.0)


masses = st.tuples(st.floats(0, 5), st.floats(0, 5), st.floats(0, 5)).map(sorted)


@given(masses, masses)
def test_sharing_never_makes_a_difference_less_sure(a: list[float], b: list[float]) -> None:
    def spread(shared: str) -> float:
        old = ledger([item("x", *a, shared=shared)])
        new = ledger([item("y", *b, shared=shared)])
        change = mass_change(old, new, {})
        return change.high - change.low

    assert spread("same") <= spread("") + 1e-9


# -- findings -----------------------------------------------------------------------------------------
def finding(rule: str, *refs: str, nets: tuple[str, ...] = ()) -> Finding:
    severity = Severity.STOP
    return Finding(rule, severity, refs, nets, None, None, None, "m", "r", (), f"{rule}{refs}")


def test_findings_follow_their_parts_to_new_names() -> None:
    pairing = compare_wiring(make_board(OLD), make_board(NEW)).pairing
    old = [finding("a", "U1"), finding("b", "R1", "C1"), finding("c", "TP1")]
    new = [finding("a", "IC7"), finding("b", "C71"), finding("n", nets=("N1",))]
    fixed, fresh = findings_change(old, new, pairing)
    assert [f.rule for f in fixed] == ["b", "c"]
    assert [f.rule for f in fresh] == ["b", "n"]
    assert findings_change([finding("n", nets=("A",))], new[2:], pairing) == ((), ())


def test_bom_lines() -> None:
    assert bom_lines(make_board(OLD)) == 8
    assert bom_lines(make_board(OLD, bill=bom(("R1,R2", "10k"), ("C1", "1u")))) == 2
