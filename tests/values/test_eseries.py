"""The preferred values; the eseries package is the oracle."""

from __future__ import annotations

import importlib

import pytest

from counterpoise.values.eseries import SERIES, in_series, nearest, series_for

_ORACLE = importlib.import_module("eseries")


@pytest.mark.parametrize("name", sorted(SERIES))
def test_series_agree_with_the_reference_library(name: str) -> None:
    key = getattr(_ORACLE, name)
    expected = [round(v) for v in _ORACLE.series(key)]
    assert list(SERIES[name]) == expected


@pytest.mark.parametrize(
    ("value", "tolerance", "expected"),
    [
        (4700.0, 0.05, True),
        (4.7e-9, 0.1, True),
        (5100.0, 0.1, False),
        (5100.0, 0.05, True),
        (5100.0, 0.01, True),
        (4990.0, 0.01, True),
        (4990.0, 0.05, False),
        (5000.0, 0.01, False),
        (92000.0, 0.001, True),  # the one exception of E192 in IEC 60063
        (91900.0, 0.001, False),
        (0.0, 0.05, True),
        (-1.0, 0.05, False),
        (1e-12, 0.05, True),
        (1000.0, 0.2, True),
    ],
)
def test_in_series(value: float, tolerance: float, expected: bool) -> None:
    assert in_series(value, tolerance) is expected


def test_nearest() -> None:
    assert nearest(5000.0) == 5100.0
    assert nearest(5000.0, "E96") == 4990.0
    assert nearest(9.8e-12) == 10e-12
    assert nearest(337.2e3) == 330e3
    assert series_for(0.05) == "E24"


@pytest.mark.parametrize("value", [1.3, 270.0, 9.1e6])
def test_nearest_agrees_with_the_reference_library(value: float) -> None:
    assert nearest(value * 1.01) == pytest.approx(_ORACLE.find_nearest(_ORACLE.E24, value * 1.01))
