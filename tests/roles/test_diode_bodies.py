"""A diode's body holds clamps and zeners too: what the value says decides."""

from __future__ import annotations

import pytest

from boards import make_board


@pytest.mark.parametrize("body", ["D_SOD-323", "SOD-323", "D_SMA", "DO-35"])
@pytest.mark.parametrize(
    ("value", "role"),
    [
        ("PESD5V0S1BL", "clamp"),
        ("SMAJ5.0A", "clamp"),
        ("BZX84C3V6", "zener"),
        ("MBR0520", "diode"),
        ("-", "diode"),
    ],
)
def test_the_value_decides_what_stands_in_a_diode_body(value: str, role: str, body: str) -> None:
    board = make_board(f"D1 {value} {body} : 1=LINE 2=GND")
    assert board.role("D1").name == role
    assert board.role("D1").firm
