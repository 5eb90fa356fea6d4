"""Chip sizes."""

from __future__ import annotations

import pytest

from counterpoise.values.sizes import CHIP_BODIES, chip_body, chip_size


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("0402", "0402"),
        ("1005 metric", "0402"),
        ("Metric 1608", "0603"),
        ("0603 metric", "0201"),
        ("0402Metric", "01005"),
        ("C_0402_1005Metric", "0402"),
        ("Capacitor_SMD:C_0201_0603Metric", "0201"),
        ("R_0805_2012Metric_Pad1.20x1.40mm_HandSolder", "0805"),
        ("R0402", "0402"),
        ("LED_0603", "0603"),
        ("0603 SMD", "0603"),
        ("RESC1005X40N", "0402"),
        ("CAPC1608X90N", "0603"),
        ("CP_EIA-3216-18_Kemet-A", "1206"),
        ("1608", "0603"),
        ("C1608", "0603"),
        ("Crystal_SMD_3225-4Pin_3.2x2.5mm", None),
        ("Crystal_SMD_2016-4Pin", None),
        ("SOT-23", None),
        ("QFN-48", None),
        ("PinHeader_1x04", None),
        ("HDR_1206", None),
        ("1234", None),
        ("", None),
    ],
)
def test_chip_size(text: str, size: str | None) -> None:
    assert chip_size(text) == size


def test_metric_code_is_the_body_in_tenths() -> None:
    # 0402 imperial is the 1005 metric body of 1.0 x 0.5 mm (makers' chip tables).
    assert chip_body("0402") == (1.0, 0.5)
    assert chip_body("0603") == (1.6, 0.8)
    for code, (length, width) in CHIP_BODIES.items():
        if max(length, width) >= 1.0 and code not in ("0508", "0805"):
            metric = f"{round(length * 10):02d}{round(width * 10):02d}"
            assert chip_size(f"{metric} metric") == code
