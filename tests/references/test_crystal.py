"""Quartz formulas against published worked examples and exact arithmetic."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.checks._crystal_sums import (
    capacitor_for,
    critical_transconductance,
    load_seen,
    pull_ppm,
)
from counterpoise.values.ranges import Range

PF, FF = 1e-12, 1e-15


def sure(value: float) -> Range:
    return Range.of(value)


@pytest.mark.parametrize(
    ("a", "b", "stray", "expected"),
    [
        (
            20,
            20,
            5,
            15,
        ),  # ST AN2867, load capacitor: 15 pF with 5 pF stray asks for 20 pF (from memory)
        (12, 12, 3, 9),  # formula, exact
        (22, 22, 5, 16),
        (12, 15, 3, 9 + 2 / 3),
        (8.2, 8.2, 4, 8.1),
    ],
)
def test_load_of_two_capacitors(a: float, b: float, stray: float, expected: float) -> None:
    seen = load_seen(sure(a * PF), sure(b * PF), sure(stray * PF))
    assert seen.low == seen.high == pytest.approx(expected * PF)


@pytest.mark.parametrize(
    ("load", "stray", "expected"),
    [
        (15, 5, 20),  # ST AN2867, load capacitor (from memory)
        (9, 4, 10),  # notebook of the ch32-devboard-hardware project (samvangysegem): C_ext = 10 pF
        (12.5, 3, 19),
        (20, 5, 30),
    ],
)
def test_capacitor_for_a_load(load: float, stray: float, expected: float) -> None:
    assert capacitor_for(load * PF, stray * PF) == pytest.approx(expected * PF)


def test_stray_over_the_load_leaves_no_capacitor() -> None:
    assert capacitor_for(4 * PF, 5 * PF) < 0


@pytest.mark.parametrize(
    ("motional_ff", "shunt_pf", "cut", "seen", "ppm"),
    [  # C1/2·(1/(C0 + CLseen) - 1/(C0 + CLcut)), ST AN2867 pullability; exact arithmetic
        (6, 2, 18, 13, 50.0),
        (20, 5, 20, 15, 100.0),
        (4, 1.2, 12, 9, 44.5633),
        (4, 1.2, 9, 12, -44.5633),
        (5, 1.5, 9, 8, 25.0627),
        (3, 1, 8, 10, -30.3030),
    ],
)
def test_pull(motional_ff: float, shunt_pf: float, cut: float, seen: float, ppm: float) -> None:
    got = pull_ppm(sure(motional_ff * FF), sure(shunt_pf * PF), sure(seen * PF), sure(cut * PF))
    assert got.low == got.high == pytest.approx(ppm, rel=1e-5)


@pytest.mark.parametrize(
    ("motional_ff", "shunt_pf", "load_pf", "ppm_per_pf"),
    [  # C1/(2·(C0 + CL)²), ST AN2867 pullability; figures are exact arithmetic
        (20, 5, 20, 16.0),
        (4, 1.2, 12, 11.4784),
        (5, 1.5, 9, 22.6757),
        (2.4, 1.1, 6, 23.8048),
    ],
)
def test_sensitivity(
    motional_ff: float, shunt_pf: float, load_pf: float, ppm_per_pf: float
) -> None:
    step = 1e-3
    more, less = sure((load_pf + step) * PF), sure((load_pf - step) * PF)
    pulled = pull_ppm(sure(motional_ff * FF), sure(shunt_pf * PF), more, less)
    assert -pulled.high / (2 * step) == pytest.approx(ppm_per_pf, rel=1e-5)


@pytest.mark.parametrize(
    ("esr", "series", "mhz", "shunt", "load", "ms"),
    [
        # notebook of the ch32-devboard-hardware project (samvangysegem), both lines
        (80, 0, 16, 7, 9, 0.8279224243581338),
        (80, 100, 16, 7, 9, 1.8628254548058012),
        (60, 0, 32, 1.5, 8, 0.875625),
        (40, 0, 32, 2, 10, 0.931413),
    ],
)
def test_critical_transconductance(
    esr: float, series: float, mhz: float, shunt: float, load: float, ms: float
) -> None:
    got = critical_transconductance(
        sure(esr), sure(mhz * 1e6), sure(shunt * PF), sure(load * PF), series
    )
    assert got.high * 1e3 == pytest.approx(ms, rel=1e-5)


def test_gain_margin_of_the_application_note() -> None:
    # ST AN2867, gain margin: 8 MHz, 80 Ω, C0 7 pF, CL 10 pF, gm 25 mA/V give 107 (from memory)
    need = critical_transconductance(sure(80), sure(8e6), sure(7 * PF), sure(10 * PF))
    assert 25e-3 / need.high == pytest.approx(107, rel=5e-3)


pf = st.floats(1.0, 60.0)


@given(pf, pf, st.floats(0.0, 8.0), st.floats(0.0, 3.0))
def test_more_doubt_only_widens(a: float, b: float, stray: float, doubt: float) -> None:
    narrow = load_seen(sure(a * PF), sure(b * PF), sure(stray * PF))
    wide = load_seen(sure(a * PF), sure(b * PF), Range(stray * PF, (stray + doubt) * PF))
    assert wide.low <= narrow.low
    assert narrow.high <= wide.high


@given(pf, pf)
def test_more_load_is_a_lower_frequency(seen: float, cut: float) -> None:
    pull = pull_ppm(sure(4 * FF), sure(1.2 * PF), sure(seen * PF), sure(cut * PF))
    assert (pull.high <= 0) == (seen >= cut) or seen == pytest.approx(cut)
