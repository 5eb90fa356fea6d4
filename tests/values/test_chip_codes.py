"""Chip sizes by both codes, and the names that packages are written by."""

from __future__ import annotations

import pytest

from counterpoise.values.sizes import CHIP_BODIES, chip_body, chip_size

# EIA code (hundredths of an inch) and the metric code of the same body (tenths of a millimetre),
# as the makers' chip tables list them side by side (from memory).
BOTH = {
    "008004": "0201",
    "01005": "0402",
    "0201": "0603",
    "0306": "0816",
    "0402": "1005",
    "0508": "1220",
    "0603": "1608",
    "0612": "1632",
    "0805": "2012",
    "1008": "2520",
    "1206": "3216",
    "1210": "3225",
    "1806": "4516",
    "1812": "4532",
    "1825": "4564",
    "2010": "5025",
    "2220": "5750",
    "2225": "5664",
    "2512": "6332",
}


def test_every_size_has_both_codes() -> None:
    assert set(BOTH) == set(CHIP_BODIES)


@pytest.mark.parametrize(("code", "metric"), BOTH.items())
def test_the_metric_code_names_the_same_body(code: str, metric: str) -> None:
    assert chip_size(f"{metric} metric") == code
    assert chip_size(f"R_{code}_{metric}Metric") == code
    length, width = chip_body(code)
    # the code is rounded to tenths: 1.25 mm is written 12, 0.125 mm is written 01
    assert length == pytest.approx(int(metric[:2]) / 10, abs=0.051)
    assert width == pytest.approx(int(metric[2:]) / 10, abs=0.051)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("6432 metric", "2512"),  # the other metric code in use for 2512
        ("RESC6432X60N", "2512"),  # IPC-7351 names: kind, body, height
        ("INDC2520X100N", "1008"),
        ("RESC9999X60N", None),
        ("EIA-3528-21", None),  # a tantalum case, no chip
        ("1206", "1206"),
        (" 1206 ", "1206"),
        ("3216", "1206"),
        ("R1206", "1206"),
        ("C3216", "1206"),
        ("J1206", None),
        ("J3216", None),
        ("R_J1206", None),
        ("R_J3216", None),
        ("MLCC 1206", "1206"),
        ("size 1206", "1206"),
        ("size 3216", None),  # only beside the kind of part is a metric code sure
        ("cap 3216", "1206"),
        ("connector 1206", None),
        ("connector 3216", None),
        ("R 12345", None),
        ("R 1234 1206", "1206"),
        ("Resistor_SMD:R_1206", "1206"),
        ("R_0805:TERMINAL_1206", None),  # the library's name tells nothing
        ("R 1206 0805", "1206"),
        ("008004", "008004"),
        ("C01005", "01005"),
    ],
)
def test_what_a_name_states(text: str, size: str | None) -> None:
    assert chip_size(text) == size


def test_a_code_that_is_no_chip_has_no_body() -> None:
    with pytest.raises(KeyError):
        chip_body("3216")
