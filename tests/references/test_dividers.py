"""Feedback dividers against the worked examples of data sheets."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.checks._power_feedback import divided
from counterpoise.model.verdicts import Fail, Pass
from counterpoise.values.ranges import Range
from rules import verdicts

# (reference V, upper kΩ, lower kΩ, volts by the formula, volts in the sheet's table)
EXAMPLES = [
    # TI SLVS916 (TPS63020), Setting the Output Voltage
    (0.5, 1000, 180, 3.27778, 3.3),
    (0.5, 1600, 180, 4.94444, 5.0),
    (0.5, 750, 180, 2.58333, 2.5),
    # TI TPS63802 and TPS63805 data sheets, table of dividers
    (0.5, 511, 91, 3.30769, 3.3),
    (0.5, 806, 91, 4.92857, 5.0),
    (0.5, 365, 91, 2.50549, 2.5),
    # TI TPS62822 data sheet, table 3
    (0.6, 732, 162, 3.31111, 3.3),
    (0.6, 475, 150, 2.5, 2.5),
    (0.6, 200, 100, 1.8, 1.8),
    (0.6, 100, 100, 1.2, 1.2),
    # TI SNVSAZ4 (TPS541620), design example
    (0.5, 56, 10, 3.3, 3.3),
]


@pytest.mark.parametrize(("reference", "upper", "lower", "volts", "table"), EXAMPLES)
def test_formula(reference: float, upper: float, lower: float, volts: float, table: float) -> None:
    found = divided(Range.of(reference), Range.of(upper * 1e3), Range.of(lower * 1e3))
    assert found.sure
    assert found.middle == pytest.approx(volts, abs=1e-5)


def test_spread_of_one_per_cent_parts() -> None:
    # TPS6380x, 511 k over 91 k with 1 % resistors and a 1 % reference: worst case by calculation.
    one = 0.01
    found = divided(Range.around(0.5, one), Range.around(511e3, one), Range.around(91e3, one))
    assert found.low == pytest.approx(3.21957, abs=1e-5)
    assert found.high == pytest.approx(3.39806, abs=1e-5)


@pytest.mark.parametrize(("reference", "upper", "lower", "volts", "table"), EXAMPLES)
def test_rule_accepts_every_published_divider_and_refuses_ten_times_off(
    reference: float, upper: float, lower: float, volts: float, table: float
) -> None:
    name = f"+{table:.1f}".replace(".", "V")
    facts = f'[parts.U2]\nrole = "buck-boost"\nreference = "{reference} V"'

    def judged(top: float) -> type:
        board = make_board(
            f"""
            U2 CONV9 QFN-10 : 1/VIN=VBAT 2/GND=GND 3/FB=FB 4/VOUT={name}
            R1 {top:g}k R_0402 : {name} FB
            R2 {lower:g}k R_0402 : FB GND
            """,
            facts,
        )
        (verdict,) = verdicts("converter-feedback", board)
        return type(verdict)

    assert judged(upper) is Pass
    assert judged(upper * 10) is Fail
