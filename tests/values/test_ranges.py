"""Ranges: interval arithmetic, and comparisons that answer None rather than guess."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.values.ranges import Estimate, Range

FINITE = st.floats(-1e6, 1e6)
RANGES = st.tuples(FINITE, FINITE).map(lambda ends: Range(min(ends), max(ends)))
SHARES = st.floats(0, 1)


def inside(area: Range, share: float) -> float:
    return min(max(area.low + share * (area.high - area.low), area.low), area.high)


@pytest.mark.parametrize(("low", "high"), [(2.0, 1.0), (math.nan, 1.0), (1.0, math.nan)])
def test_no_range_runs_backwards_or_from_nowhere(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="no range from"):
        Range(low, high)


def test_a_range_of_no_width_is_sure() -> None:
    assert Range(2.0, 2.0).sure
    assert not Range(2.0, 2.5).sure
    assert Range.of(3.0) == Range(3.0, 3.0)
    assert Range.of(Range(1.0, 2.0)) == Range(1.0, 2.0)


def test_the_middle_of_an_unbounded_sure_value_is_itself() -> None:
    assert Range(math.inf, math.inf).middle == math.inf
    assert Range(1.0, 4.0).middle == 2.5


def test_around_gives_and_takes_a_share_of_the_size() -> None:
    assert Range.around(10.0, 0.05) == Range(9.5, 10.5)
    assert Range.around(-10.0, 0.05) == Range(-10.5, -9.5)


@pytest.mark.parametrize(
    ("limit", "at_most", "at_least"),
    [
        (0.9, False, True),
        (1.0, None, True),  # only the low end itself lies at the limit
        (1.5, None, None),
        (2.0, True, None),
        (2.1, True, False),
    ],
)
def test_comparison_with_a_limit(limit: float, at_most: bool | None, at_least: bool | None) -> None:
    assert Range(1.0, 2.0).at_most(limit) is at_most
    assert Range(1.0, 2.0).at_least(limit) is at_least


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (1.0, 2.0, True),
        (0.0, 3.0, True),
        (1.1, 3.0, None),
        (0.0, 1.9, None),
        (2.0, 3.0, None),  # the high end touches
        (0.0, 1.0, None),  # the low end touches
        (2.1, 3.0, False),
        (0.0, 0.9, False),
    ],
)
def test_within(low: float, high: float, expected: bool | None) -> None:
    assert Range(1.0, 2.0).within(low, high) is expected


def test_within_nothing_stated_is_always_true() -> None:
    assert Range(1.0, 2.0).within() is True
    assert Range(1.0, 2.0).within(low=1.0) is True
    assert Range(1.0, 2.0).within(high=2.0) is True


@pytest.mark.parametrize(
    ("value", "expected"), [(0.99, False), (1.0, True), (1.5, True), (2.0, True), (2.01, False)]
)
def test_both_ends_belong_to_it(value: float, expected: bool) -> None:
    assert (value in Range(1.0, 2.0)) is expected


@given(RANGES, RANGES, SHARES, SHARES)
def test_sums_differences_and_products_hold_every_outcome(
    a: Range, b: Range, share_a: float, share_b: float
) -> None:
    x, y = inside(a, share_a), inside(b, share_b)
    for found, exact in ((a + b, x + y), (a - b, x - y), (a * b, x * y)):
        slack = 1e-9 * max(1.0, abs(exact), abs(found.low), abs(found.high))
        assert found.low - slack <= exact <= found.high + slack


@given(RANGES, st.floats(0.01, 100), st.floats(0, 100), SHARES, SHARES)
def test_quotients_hold_every_outcome(
    a: Range, low: float, width: float, share_a: float, share_b: float
) -> None:
    b = Range(low, low + width)
    exact = inside(a, share_a) / inside(b, share_b)
    slack = 1e-9 * max(1.0, abs(exact))
    assert (a / b).low - slack <= exact <= (a / b).high + slack


def test_arithmetic_with_plain_numbers_on_either_side() -> None:
    area = Range(1.0, 2.0)
    assert area + 1.0 == 1.0 + area == Range(2.0, 3.0)
    assert area - 1.0 == Range(0.0, 1.0)
    assert 1.0 - area == Range(-1.0, 0.0)
    assert area * -2.0 == -2.0 * area == Range(-4.0, -2.0)
    assert area / 2.0 == Range(0.5, 1.0)
    assert 2.0 / area == Range(1.0, 2.0)
    assert -area == Range(-2.0, -1.0)


@pytest.mark.parametrize("divisor", [Range(-1.0, 1.0), Range(0.0, 1.0), Range(-1.0, 0.0)])
def test_nothing_is_divided_by_what_may_be_zero(divisor: Range) -> None:
    with pytest.raises(ZeroDivisionError):
        Range(1.0, 2.0) / divisor


@given(RANGES, RANGES)
def test_joined_holds_both_and_no_more(a: Range, b: Range) -> None:
    both = a.joined(b)
    assert both == b.joined(a)
    assert {both.low, both.high} <= {a.low, a.high, b.low, b.high}
    assert all(end in both for end in (a.low, a.high, b.low, b.high))
    assert a.joined(a.high) == a


@given(RANGES, FINITE, SHARES)
def test_an_answer_about_the_whole_holds_for_each_value(
    area: Range, limit: float, share: float
) -> None:
    value = inside(area, share)
    if area.at_most(limit) is not None:
        assert (value <= limit) is area.at_most(limit)
    if area.at_least(limit) is not None:
        assert (value >= limit) is area.at_least(limit)


@pytest.mark.parametrize(
    ("low", "likely", "high"), [(2.0, 1.0, 3.0), (1.0, 3.0, 2.0), (1.0, math.nan, 2.0)]
)
def test_an_estimate_is_in_order(low: float, likely: float, high: float) -> None:
    with pytest.raises(ValueError, match="not in order"):
        Estimate(low, likely, high)


def test_an_estimate_is_scaled_as_a_whole() -> None:
    assert Estimate(1.0, 2.0, 4.0).scaled(3.0) == Estimate(3.0, 6.0, 12.0)
    assert Estimate.sure(2.0) == Estimate(2.0, 2.0, 2.0)
