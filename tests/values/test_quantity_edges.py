"""Written quantities at their edges: ends of a range, spreads, foreign units, prefixes."""

from __future__ import annotations

import re

import pytest

from counterpoise.values.ranges import Range
from counterpoise.values.units import DIMENSIONS, quantity, quantity_range

# The SI prefixes (BIPM, The International System of Units, table 7).
SI = {"f": -15, "p": -12, "n": -9, "u": -6, "m": -3, "k": 3, "M": 6, "G": 9}
PREFIXED = [
    (dimension, prefix, unit)
    for dimension, unit in (
        ("voltage", "V"),
        ("current", "A"),
        ("resistance", "ohm"),
        ("capacitance", "F"),
        ("inductance", "H"),
        ("frequency", "Hz"),
        ("power", "W"),
        ("force", "N"),
        ("capacity", "Ah"),
        ("transconductance", "S"),
    )
    for prefix in SI
]


@pytest.mark.parametrize(("dimension", "prefix", "unit"), PREFIXED)
def test_prefixes(dimension: str, prefix: str, unit: str) -> None:
    """Those of the table, and the others by pint."""
    found = quantity(f"3 {prefix}{unit}", dimension)
    assert found == pytest.approx(float(f"3e{SI[prefix]}"), rel=1e-12, abs=0)


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("1 day", "time", 24.0),
        ("2 days", "time", 48.0),
        ("1 d", "time", 24.0),
        ("1 h", "time", 1.0),
        ("36 s", "time", 0.01),
        ("1 min", "duration", 60.0),
        ("1 h", "duration", 3600.0),
        ("7 us", "duration", 7e-6),
        ("1 mil", "length", 0.0254),  # a thousandth of the international inch of 25.4 mm
        ("1 in", "length", 25.4),
        ("1 inch", "length", 25.4),
        ("3 cm2", "area", 300.0),
        ("3 mm2", "area", 3.0),
        ("2 g/cm3", "density", 2.0),
        ("2 kg/m^3", "density", 0.002),
        ("2 g/m2", "areal_density", 2.0),
        ("2 mg/mm^2", "areal_density", 2000.0),
        ("2 MPa", "pressure", 0.002),
        ("5", "number", 5.0),
        ("5", "fraction", 5.0),
        ("5 ppm", "fraction", 5e-6),
        ("5 ppm", "ppm", 5.0),
        ("1 %", "ppm", 1e4),
        ("2C", "rate", 2.0),
        ("20 C", "temperature", 20.0),
    ],
)
def test_the_other_units_of_the_table(text: str, dimension: str, expected: float) -> None:
    assert quantity(text, dimension) == pytest.approx(expected, rel=1e-12, abs=0)


@pytest.mark.parametrize("dimension", sorted(DIMENSIONS))
def test_the_example_of_a_message_is_read(dimension: str) -> None:
    _, example, factors, _ = DIMENSIONS[dimension]
    assert quantity(example, dimension) > 0
    assert 1.0 in factors.values()


@pytest.mark.parametrize(
    ("text", "dimension", "found"),
    [
        ("2 V to 2 V", "voltage", Range(2.0, 2.0)),
        ("1 to 2 V", "voltage", Range(1.0, 2.0)),
        ("900 mV to 1 V", "voltage", Range(0.9, 1.0)),
        ("1 to 2", "number", Range(1.0, 2.0)),
        ("10 to 20 %", "fraction", Range(0.1, 0.2)),
        ("20 % +- 5 %", "fraction", Range(0.15, 0.25)),
        ("4 V +- 5 %", "voltage", Range(3.8, 4.2)),
        ("4 V +- 0.5 V", "voltage", Range(3.5, 4.5)),
        ("+-5 %", "fraction", Range(0.05, 0.05)),
        ("+-20 ppm", "ppm", Range(20.0, 20.0)),
        ("100 ppm +- 20 ppm", "ppm", Range(80.0, 120.0)),
        ("100 ppm +- 10 %", "ppm", Range(90.0, 110.0)),
    ],
)
def test_ranges(text: str, dimension: str, found: Range) -> None:
    read = quantity_range(text, dimension)
    assert (read.low, read.high) == pytest.approx((found.low, found.high), rel=1e-12, abs=0)


@pytest.mark.parametrize(
    ("text", "dimension", "message"),
    [
        ("1 V to 2", "voltage", '"2" has no unit'),
        ("V to 2 V", "voltage", 'expected a voltage such as "3.7 V", got "V"'),
        ("1 to V", "voltage", '"1" has no unit'),
        ("2.01 V to 2 V", "voltage", "the lower end comes first"),
        ("1 V to 2 V to 3 V", "voltage", 'two joined by "to"'),
        ("+-5 %", "voltage", 'got ""'),
        ("4 V +- 5", "voltage", '"5" has no unit'),
        ("4 V +- 1 V +- 1 V", "voltage", '"1 V +- 1 V" is not a voltage'),
        ("5", "rate", 'has no unit; expected a rate such as "0.5C"'),
        ("5 uV", "areal_density", "is not an areal density"),
        ("5 ft", "rate", "is not a rate"),
    ],
)
def test_refused(text: str, dimension: str, message: str) -> None:
    with pytest.raises(ValueError, match=re.escape(message)):
        quantity_range(text, dimension)


def test_units_of_up_to_forty_signs_are_asked_of_pint() -> None:
    """A longer one is no unit that a person writes, and pint could work on it for long."""
    unit = "mm * m/m * m/m" + "*m/m" * 6  # a length, spelt at length
    unit = unit.replace("*m/m", " *m/m", 2)
    assert len(unit) == 40
    assert quantity(f"3 {unit}", "length") == pytest.approx(3.0)
    longer = unit.replace("*m", "* m", 1)
    assert len(longer) == 41
    with pytest.raises(ValueError, match="is not a length"):
        quantity(f"3 {longer}", "length")
