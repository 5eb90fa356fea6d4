"""Part values against IEC 60062 (the RKM code) and IEC 60063 (preferred values).

The rows named IEC 60062 are the examples that the standard's clause on the letter and digit code
gives, from memory of it. IEC 60063's series are checked against the eseries package, which lists
them by itself.
"""

from __future__ import annotations

import importlib

import pytest

from counterpoise.values.eseries import SERIES, in_series, nearest
from counterpoise.values.partvalue import PartValue, read_value

ESERIES = importlib.import_module("eseries")


def read(text: str, kind: str) -> PartValue:
    found = read_value(text, kind)
    assert found is not None, text
    return found


@pytest.mark.parametrize(
    ("code", "ohms"),
    [
        ("R10", 0.1),  # IEC 60062, letter and digit code, resistance
        ("R332", 0.332),  # IEC 60062
        ("R47", 0.47),  # IEC 60062
        ("1R0", 1.0),  # IEC 60062
        ("3R32", 3.32),  # IEC 60062
        ("4R7", 4.7),  # IEC 60062
        ("10R", 10.0),  # IEC 60062
        ("33R2", 33.2),  # IEC 60062
        ("100R", 100.0),  # IEC 60062
        ("332R", 332.0),  # IEC 60062
        ("470R", 470.0),  # IEC 60062
        ("1K0", 1e3),  # IEC 60062
        ("3K32", 3.32e3),  # IEC 60062
        ("4K7", 4.7e3),  # IEC 60062
        ("47K", 47e3),  # IEC 60062
        ("47K3", 47.3e3),  # IEC 60062
        ("470K", 470e3),  # IEC 60062
        ("1M0", 1e6),  # IEC 60062
        ("3M32", 3.32e6),  # IEC 60062
        ("4M7", 4.7e6),  # IEC 60062
        ("10M", 10e6),  # IEC 60062
        ("1G0", 1e9),  # IEC 60062
        ("59R04", 59.04),  # IEC 60062, four significant figures
        ("590R4", 590.4),  # IEC 60062, four significant figures
        ("5K904", 5904.0),  # IEC 60062, four significant figures
        ("59K04", 59040.0),  # IEC 60062, four significant figures
        ("4L7", 4.7e-3),  # IEC 60062, L for milliohms
    ],
)
def test_resistance_codes(code: str, ohms: float) -> None:
    found = read(code, "resistor")
    assert found.nominal == pytest.approx(ohms, rel=1e-12)
    assert not found.doubtful


@pytest.mark.parametrize(
    ("code", "farads"),
    [
        ("p10", 0.1e-12),  # IEC 60062, letter and digit code, capacitance
        ("p332", 0.332e-12),  # IEC 60062
        ("1p0", 1e-12),  # IEC 60062
        ("3p32", 3.32e-12),  # IEC 60062
        ("10p", 10e-12),  # IEC 60062
        ("33p2", 33.2e-12),  # IEC 60062
        ("100p", 100e-12),  # IEC 60062
        ("332p", 332e-12),  # IEC 60062
        ("1n0", 1e-9),  # IEC 60062
        ("3n32", 3.32e-9),  # IEC 60062
        ("4n7", 4.7e-9),  # IEC 60062
        ("10n", 10e-9),  # IEC 60062
        ("33n2", 33.2e-9),  # IEC 60062
        ("100n", 100e-9),  # IEC 60062
        ("1µ0", 1e-6),  # IEC 60062
        ("3µ32", 3.32e-6),  # IEC 60062
        ("10µ", 10e-6),  # IEC 60062
    ],
)
def test_capacitance_codes(code: str, farads: float) -> None:
    found = read(code, "capacitor")
    assert found.nominal == pytest.approx(farads, rel=1e-12, abs=0)
    assert not found.doubtful


@pytest.mark.parametrize(
    ("letter", "share"),
    [
        ("B", 0.001),  # IEC 60062, the same table
        ("C", 0.0025),  # IEC 60062, the same table
        ("D", 0.005),  # IEC 60062, the same table
        ("F", 0.01),  # IEC 60062, table of symmetrical tolerances in per cent
        ("G", 0.02),  # IEC 60062, the same table
        ("J", 0.05),  # IEC 60062, the same table
        ("K", 0.10),  # IEC 60062, the same table
        ("M", 0.20),  # IEC 60062, the same table
    ],
)
def test_tolerance_letters(letter: str, share: float) -> None:
    assert read(f"4K7{letter}", "resistor").tolerance == share


@pytest.mark.parametrize(
    ("code", "farads"),
    [
        ("100", 10e-12),  # EIA-198, three-digit code: two figures and the number of zeros, in pF
        ("101", 100e-12),  # EIA-198
        ("222", 2.2e-9),  # EIA-198
        ("473", 47e-9),  # EIA-198
        ("104", 100e-9),  # EIA-198
        ("225", 2.2e-6),  # EIA-198
    ],
)
def test_three_digit_codes_are_among_the_readings(code: str, farads: float) -> None:
    found = read(code, "capacitor")
    assert any(value == pytest.approx(farads, abs=0) for value in (found.nominal, *found.doubtful))


@pytest.mark.parametrize("name", sorted(SERIES))
def test_a_decade_of_iec_60063(name: str) -> None:
    expected = ESERIES.series(getattr(ESERIES, name))  # eseries, IEC 60063
    assert [float(step) for step in SERIES[name]] == [float(step) for step in expected]


@pytest.mark.parametrize("name", ["E6", "E12", "E24", "E48", "E96", "E192"])
@pytest.mark.parametrize("decade", [1e-12, 1e-9, 1e-6, 1.0, 1e3, 1e6])
def test_each_preferred_value_is_sold_and_is_its_own_nearest(name: str, decade: float) -> None:
    tolerance = {"E6": 0.2, "E12": 0.1, "E24": 0.05, "E48": 0.02, "E96": 0.01, "E192": 0.005}[name]
    for step in ESERIES.series(getattr(ESERIES, name)):  # eseries, IEC 60063
        value = step / ESERIES.series(getattr(ESERIES, name))[0] * decade
        assert in_series(value, tolerance)
        assert nearest(value, name) == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize("name", ["E6", "E12", "E24", "E96"])
@pytest.mark.parametrize("value", [1.07, 1.62, 2.55, 3.14, 4.44, 5.81, 7.77, 9.49, 9.99])
def test_nearest_by_ratio(name: str, value: float) -> None:
    steps = [s * f for s in SERIES[name] for f in (0.1 / SERIES[name][0], 1 / SERIES[name][0])]
    steps += [10 * s / SERIES[name][0] for s in SERIES[name]]
    best = min(max(step / value, value / step) for step in steps)
    found = nearest(value, name)
    assert max(found / value, value / found) == pytest.approx(best)
