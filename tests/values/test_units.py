"""Written quantities; pint is the oracle for every unit of the table."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.values.ranges import Range
from counterpoise.values.units import DIMENSIONS, quantity, quantity_range

PINT: pint.UnitRegistry[float] = pint.UnitRegistry()
_NO_ORACLE = {"", "C", "°C", "inch", "in", "ppm", "%"}
_PINT_NAMES = {"mil": "thou", "mm2": "mm^2", "cm2": "cm^2", "g/cm3": "g/cm^3", "g/m2": "g/m^2"}
_WRITTEN = [(d, unit) for d in DIMENSIONS for unit in DIMENSIONS[d][2] if unit not in _NO_ORACLE]


@pytest.mark.parametrize(("dimension", "unit"), _WRITTEN)
def test_table_agrees_with_pint(dimension: str, unit: str) -> None:
    foreign = DIMENSIONS[dimension][3]
    name = _PINT_NAMES.get(unit, unit)
    expected = PINT.Quantity(2.5, name).to(foreign).magnitude
    assert quantity(f"2.5 {unit}", dimension) == pytest.approx(expected, rel=1e-12, abs=0)


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("12 pF", "capacitance", 12e-12),
        ("12pF", "capacitance", 12e-12),
        ("180 mAh", "capacity", 0.18),
        ("2.3 kohm", "resistance", 2300.0),
        ("4.7 k\N{OHM SIGN}", "resistance", 4700.0),
        ("4.7 k\N{GREEK CAPITAL LETTER OMEGA}", "resistance", 4700.0),
        ("47R", "resistance", 47.0),
        ("10 ohms", "resistance", 10.0),
        ("35 \N{MICRO SIGN}m", "length", 0.035),
        ("35 \N{GREEK SMALL LETTER MU}m", "length", 0.035),
        ("19 cm\N{SUPERSCRIPT TWO}", "area", 1900.0),
        ("1 in", "length", 25.4),
        ("1 inch^2", "area", 645.16),
        ("90 min", "time", 1.5),
        ("0.5C", "rate", 0.5),
        ("20 %", "fraction", 0.2),
        ("0.01", "fraction", 0.01),
        ("0.3 %", "ppm", 3000.0),
        ("25 degC", "temperature", 25.0),
        ("-20 °C", "temperature", -20.0),
        ("1 oz", "mass", 28.349523125),  # the international avoirdupois ounce, exact
        ("1e-3 A", "current", 0.001),
        ("150 gf", "force", 1.4709975),  # standard gravity 9.80665 m/s^2 (ISO 80000-4)
    ],
)
def test_quantity(text: str, dimension: str, expected: float) -> None:
    assert quantity(text, dimension) == pytest.approx(expected, rel=1e-9, abs=0)


def test_decimal_that_was_meant() -> None:
    assert quantity("12 pF", "capacitance") == 12e-12
    assert quantity("2.3 kohm", "resistance") == 2300.0
    assert quantity("0.7 mm", "length") == 0.7


@pytest.mark.parametrize(
    ("text", "dimension", "message"),
    [
        ("", "voltage", 'expected a voltage such as "3.7 V", got ""'),
        ("V", "voltage", 'expected a voltage such as "3.7 V", got "V"'),
        ("3.7", "voltage", '"3.7" has no unit; expected a voltage such as "3.7 V"'),
        ("3.7 g", "voltage", '"3.7 g" is not a voltage; expected one such as "3.7 V"'),
        ("3,7 V", "voltage", '"3,7 V" is not a voltage; expected one such as "3.7 V"'),
        ("3 10 V", "voltage", '"3 10 V" is not a voltage; expected one such as "3.7 V"'),
        ("3 *2 V", "voltage", '"3 *2 V" is not a voltage; expected one such as "3.7 V"'),
        ("3 V+4 V", "voltage", '"3 V+4 V" is not a voltage; expected one such as "3.7 V"'),
        ("3 __import__", "mass", '"3 __import__" is not a mass; expected one such as "9 g"'),
        ("1e999 V", "voltage", '"1e999 V" is too large for a voltage'),
        ("nan V", "voltage", 'expected a voltage such as "3.7 V", got "nan V"'),
        ("4 V", "inductance", '"4 V" is not an inductance; expected one such as "2.2 uH"'),
        ("2 A", "rate", '"2 A" is not a rate; expected one such as "0.5C"'),
    ],
)
def test_refused(text: str, dimension: str, message: str) -> None:
    with pytest.raises(ValueError) as raised:  # noqa: PT011  the whole message is compared
        quantity(text, dimension)
    assert str(raised.value) == message


@pytest.mark.parametrize(
    ("text", "dimension", "low", "high"),
    [
        ("1.8 V to 3.6 V", "voltage", 1.8, 3.6),
        ("1.8 to 3.6 V", "voltage", 1.8, 3.6),
        ("1.8..3.6 V", "voltage", 1.8, 3.6),
        ("1.8 V – 3.6 V", "voltage", 1.8, 3.6),
        ("1.8 V - 3.6 V", "voltage", 1.8, 3.6),
        ("1.8-3.6 V", "voltage", 1.8, 3.6),
        ("500 mV to 3 V", "voltage", 0.5, 3.0),
        ("-40 degC to 85 degC", "temperature", -40.0, 85.0),
        ("4.2 V +- 1 %", "voltage", 4.158, 4.242),
        ("4.2 V ±0.05 V", "voltage", 4.15, 4.25),
        ("±20 ppm", "ppm", 20.0, 20.0),
        ("1e-3 A", "current", 1e-3, 1e-3),
        ("2 pF", "capacitance", 2e-12, 2e-12),
    ],
)
def test_range(text: str, dimension: str, low: float, high: float) -> None:
    found = quantity_range(text, dimension)
    assert (found.low, found.high) == pytest.approx((low, high), rel=1e-12, abs=0)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("3 V to 1 V", 'the lower end comes first in "3 V to 1 V"'),
        (
            "1 V to 2 V to 3 V",
            'expected one quantity or two joined by "to", got "1 V to 2 V to 3 V"',
        ),
        ("1 V to 2 g", '"2 g" is not a voltage; expected one such as "3.7 V"'),
        ("1 to 2", '"1" has no unit; expected a voltage such as "3.7 V"'),
        ("+-1 V", 'expected a voltage such as "3.7 V", got ""'),
    ],
)
def test_range_refused(text: str, message: str) -> None:
    with pytest.raises(ValueError) as raised:  # noqa: PT011  the whole message is compared
        quantity_range(text, "voltage")
    assert str(raised.value) == message


@given(st.text(max_size=30), st.sampled_from(["voltage", "mass", "rate", "fraction", "area"]))
def test_any_text_is_read_or_refused(text: str, dimension: str) -> None:
    try:
        found = quantity_range(text, dimension)
    except ValueError:
        return
    assert isinstance(found, Range)
    assert math.isfinite(found.low)
    assert math.isfinite(found.high)


@given(st.floats(1e-6, 1e6), st.sampled_from(_WRITTEN))
def test_written_and_read_back(value: float, written: tuple[str, str]) -> None:
    dimension, unit = written
    factor = DIMENSIONS[dimension][2][unit]
    assert quantity(f"{value!r} {unit}", dimension) == pytest.approx(
        value * factor, rel=1e-9, abs=0
    )
