"""Where readings begin and end: sizes, lengths, letters."""

from __future__ import annotations

import pytest

from counterpoise.values.eseries import in_series, nearest, series_for
from counterpoise.values.partvalue import read_value
from counterpoise.values.sizes import CHIP_BODIES, chip_size
from counterpoise.values.units import quantity


@pytest.mark.parametrize("text", ["1e18 V", "-1e18 V", "1e-25 V", "1e-300 V"])
def test_amounts_beyond_any_board_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"is too (large|small) for a voltage"):
        quantity(text, "voltage")


@pytest.mark.parametrize(("text", "volts"), [("9.9e17 V", 9.9e17), ("1e-24 V", 1e-24), ("0 V", 0)])
def test_amounts_up_to_there_are_read(text: str, volts: float) -> None:
    assert quantity(text, "voltage") == volts


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("1 lb", "mass", 453.59237),  # the international avoirdupois pound, exact
        ("1 foot", "length", 304.8),  # the international foot, exact
        ("1 psi", "pressure", 6.894757293168361e-6),  # pound-force per square inch
    ],
)
def test_further_units(text: str, dimension: str, expected: float) -> None:
    assert quantity(text, dimension) == pytest.approx(expected, rel=1e-9, abs=0)


@pytest.mark.parametrize("unit", ["x" * 41, "furlongz", "__class__", "m;g", "s"])
def test_what_is_no_length_is_refused(unit: str) -> None:
    with pytest.raises(ValueError, match="is not a length"):
        quantity(f"1 {unit}", "length")


def test_a_text_of_two_hundred_signs_is_read_and_a_longer_one_is_not() -> None:
    text = "10k" + " " * 197
    assert read_value(text, "resistor") is not None
    assert read_value(text + " ", "resistor") is None


# IEC 60063: E6 for 20 %, E12 10 %, E24 5 %, E48 2 %, E96 1 %, E192 0.5 % and closer.
@pytest.mark.parametrize(
    ("tolerance", "name"),
    [
        (0.5, "E6"),
        (0.2, "E6"),
        (0.199, "E12"),
        (0.1, "E12"),
        (0.099, "E24"),
        (0.05, "E24"),
        (0.049, "E48"),
        (0.02, "E48"),
        (0.019, "E96"),
        (0.01, "E96"),
        (0.009, "E192"),
        (0.001, "E192"),
    ],
)
def test_the_series_of_a_tolerance(tolerance: float, name: str) -> None:
    assert series_for(tolerance) == name


@pytest.mark.parametrize(
    ("value", "tolerance", "sold"),
    [
        (5100.0, 0.05, True),
        (5100.0, 0.01, True),  # E24 values are sold at 1 % too
        (5110.0, 0.01, True),
        (5110.0, 0.05, False),
        (float("inf"), 0.01, False),
        (0.0, 0.01, True),
    ],
)
def test_what_is_sold(value: float, tolerance: float, sold: bool) -> None:
    assert in_series(value, tolerance) is sold


@pytest.mark.parametrize(
    ("value", "name", "expected"),
    [
        (9.6, "E24", 10.0),  # over the decade's end
        (1.04, "E24", 1.0),
        (0.97, "E12", 1.0),
        (8.9, "E12", 8.2),
        (9.1, "E6", 10.0),
        (0.0000104, "E24", 1e-05),
        (995e3, "E96", 1e6),
    ],
)
def test_nearest_across_decades(value: float, name: str, expected: float) -> None:
    assert nearest(value, name) == pytest.approx(expected, rel=1e-12, abs=0)


# EIA/JEDEC chip sizes: hundredths of an inch in the imperial code, tenths of a millimetre in the
# metric one; the body is the metric code to within a rounded tenth.
@pytest.mark.parametrize("code", sorted(CHIP_BODIES))
def test_the_body_is_what_the_imperial_code_says(code: str) -> None:
    x, y = CHIP_BODIES[code]
    if len(code) == 4:
        long, wide = int(code[:2]) * 0.254, int(code[2:]) * 0.254
        assert x == pytest.approx(long, abs=0.2)
        assert y == pytest.approx(wide, abs=0.2)


@pytest.mark.parametrize(
    ("metric", "code"),
    [
        ("R_1005Metric", "0402"),
        ("R_1608Metric", "0603"),
        ("C_2012Metric", "0805"),
        ("C_3216Metric", "1206"),
        ("C_3225Metric", "1210"),
        ("C_4532Metric", "1812"),
        ("C_5750Metric", "2220"),
        ("R_6332Metric", "2512"),
        ("R_0603Metric", "0201"),
        ("R_0402Metric", "01005"),
    ],
)
def test_metric_names(metric: str, code: str) -> None:
    assert chip_size(metric) == code
    digits = metric.split("_")[1].removesuffix("Metric")
    x, y = CHIP_BODIES[code]
    assert x == pytest.approx(int(digits[:2]) / 10, abs=0.051)
    assert y == pytest.approx(int(digits[2:]) / 10, abs=0.051)


@pytest.mark.parametrize(
    ("text", "kind", "nominal", "others"),
    [
        ("10", "capacitor", 10e-12, (10e-6,)),
        ("0.1", "capacitor", 0.1e-6, (0.1e-12,)),
        ("1", "capacitor", 1e-12, (1e-6,)),
        ("104", "capacitor", 100e-9, ()),
        ("100", "capacitor", 100e-12, (10e-12, 100e-6)),
        ("4.7", "inductor", 4.7e-6, (4.7e-9,)),
        ("101", "inductor", 100e-6, ()),
        ("16", "crystal", 16e6, (16e3,)),
        ("32.768", "crystal", 32768.0, (32.768e6,)),
        ("9999", "crystal", 9999e6, (9999e3,)),
        ("10000", "crystal", 10000.0, ()),
        ("103", "resistor", 103.0, (10e3,)),
        ("100", "resistor", 100.0, ()),
        ("5m", "resistor", 0.005, (5e6,)),
        ("4m7", "resistor", 4.7e-3, (4.7e6,)),
        ("4E7", "resistor", 4.7, (4e7,)),
        ("4mF", "capacitor", 4e-3, (4e-6,)),
        ("100MFD", "capacitor", 100e-6, ()),
        ("100MMFD", "capacitor", None, ()),
        ("5M", "capacitor", None, ()),
        ("4m7", "capacitor", 4.7e-3, (4.7e-6,)),
        ("4R7", "capacitor", 4.7e-12, ()),
        ("0F47", "capacitor", 0.47, ()),
        ("1H5", "inductor", 1.5, ()),
        ("4m7", "inductor", 4.7e-3, ()),
        ("1A25", "fuse", 1.25, ()),
        ("T500mA", "fuse", 0.5, ()),
        ("0nF", "capacitor", None, ()),
        ("abc", "resistor", None, ()),
    ],
)
def test_what_a_bare_or_odd_figure_may_mean(
    text: str, kind: str, nominal: float | None, others: tuple[float, ...]
) -> None:
    found = read_value(text, kind)
    if nominal is None:
        assert found is None
        return
    assert found is not None
    assert found.nominal == pytest.approx(nominal, rel=1e-12, abs=0)
    assert found.doubtful == pytest.approx(others, rel=1e-12, abs=0)
