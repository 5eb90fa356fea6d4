"""The preferred values where a decade ends and where figures are a hair apart (IEC 60063)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.values.eseries import SERIES, in_series, nearest

# IEC 60063: the series of each tolerance.
TOLERANCES = {"E6": 0.2, "E12": 0.1, "E24": 0.05, "E48": 0.02, "E96": 0.01, "E192": 0.005}


@pytest.mark.parametrize(("name", "tolerance"), TOLERANCES.items())
@pytest.mark.parametrize("decade", [1e-12, 1e-9, 1e-6, 1e-3, 1.0, 1e3, 1e6])
def test_every_step_of_a_series_is_sold_in_every_decade(
    name: str, tolerance: float, decade: float
) -> None:
    for step in SERIES[name]:
        value = step / SERIES[name][0] * decade
        assert in_series(value, tolerance)
        assert in_series(math.nextafter(value, 0), tolerance)
        assert in_series(math.nextafter(value, math.inf), tolerance)
        assert nearest(value, name) == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize(
    ("value", "tolerance", "sold"),
    [
        (5.1e3, 0.02, True),  # E24 at a tolerance finer than its own
        (5.1e3, 0.005, True),
        (5.1e3, 0.1, False),  # but not at a wider one
        (5.11e3, 0.02, True),
        (5.11e3, 0.05, False),
        (4.99e3, 0.02, False),  # of E96, not of E48
        (4.99e3, 0.01, True),
        (4.93e3, 0.005, True),  # of E192 alone
        (4.93e3, 0.01, False),
        (4.7e3 * (1 + 0.9e-6), 0.05, True),  # a figure's noise
        (4.7e3 * (1 + 1.3e-6), 0.05, False),
        (4.7e3 * (1 - 1.3e-6), 0.05, False),
        (0.0, 0.01, True),
        (-4.7e3, 0.05, False),
        (math.inf, 0.05, False),
        (math.nan, 0.05, False),
    ],
)
def test_what_is_sold_at_which_tolerance(value: float, tolerance: float, sold: bool) -> None:
    assert in_series(value, tolerance) is sold


@given(st.floats(1e-13, 1e9), st.sampled_from(sorted(SERIES)))
def test_no_step_lies_nearer_than_the_nearest(value: float, name: str) -> None:
    found = nearest(value, name)
    first = SERIES[name][0]
    decades = [10.0 ** (math.floor(math.log10(value)) + shift) for shift in (-1, 0, 1)]
    every = [step / first * decade for decade in decades for step in SERIES[name]]
    off = abs(math.log(found / value))
    assert all(off <= abs(math.log(step / value)) + 1e-9 for step in every)
    assert any(math.isclose(found, step, rel_tol=1e-9) for step in every)
