"""Run time, charge time and sag against closed forms."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.estimates.run_time import (
    charge_hours,
    mean_current,
    reservoir_f,
    run_hours,
    sag_v,
    through_linear,
    through_switching,
)


def test_constant_current_and_two_modes() -> None:
    """Q / I; and Q / Σ (share x I)."""
    assert run_hours(0.100, 0.010) == pytest.approx(10.0)
    mean = mean_current([(0.0062, 0.7), (0.014, 0.3)])
    assert mean == pytest.approx(0.00854)
    assert run_hours(0.180, mean) == pytest.approx(21.0773, abs=1e-4)
    assert run_hours(0.1, 0.0) == math.inf


def test_shares_over_one_are_refused() -> None:
    with pytest.raises(ValueError, match="add up"):
        mean_current([(0.001, 0.7), (0.001, 0.4)])


@pytest.mark.parametrize(("amperes", "hours"), [(0.050, 2.6499), (0.100, 1.3249), (0.020, 6.6247)])
def test_charge_time_of_100_mah(amperes: float, hours: float) -> None:
    """0.8 Q/I, then an exponential tail with time constant 0.2 Q / (0.9 I) down to a tenth of I:
    t = Q/I (0.8 + 0.2 ln 10 / 0.9), Q = 100 mAh / 0.99. The tail's charge, integrated step by step,
    is the missing 0.2 Q."""
    assert charge_hours(0.100, amperes) == pytest.approx(hours, abs=1e-4)
    charge = 0.100 / 0.99
    constant, tau = 0.8 * charge / amperes, 0.2 * charge / (0.9 * amperes)
    steps = 20000
    step = (hours - constant) / steps
    tail = sum(amperes * math.exp(-(k + 0.5) * step / tau) * step for k in range(steps))
    assert tail == pytest.approx(0.2 * charge, rel=1e-3)


def test_peak_and_sag() -> None:
    """15 mA through 40 ohm: 0.6 V. Ohm's law."""
    assert sag_v(0.015, 40) == pytest.approx(0.6)


def test_converters() -> None:
    """A linear regulator passes the current on; a switching one the power over its efficiency:
    3.0 V x 10 mA / (0.85 x 1.5 V) = 23.53 mA."""
    assert through_linear(0.010, 25e-6) == pytest.approx(0.010025)
    assert through_switching(0.010, 3.0, 1.5, 0.85, 0.0) == pytest.approx(0.0235294, abs=1e-7)


def test_reservoir() -> None:
    """C = I t / ΔV: 15 mA for 5 ms with 0.3 V lost needs 250 µF."""
    assert reservoir_f(0.015, 0.005, 0.3) == pytest.approx(250e-6)


@given(st.floats(0.001, 10), st.floats(0.001, 10), st.floats(1.01, 5))
def test_charge_time_scales(capacity: float, current: float, factor: float) -> None:
    once = charge_hours(capacity, current)
    assert charge_hours(capacity * factor, current * factor) == pytest.approx(once)
    assert charge_hours(capacity * factor, current) == pytest.approx(once * factor)
