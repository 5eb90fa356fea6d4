"""Feedback dividers against the worked examples of data sheets."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass
from counterpoise.roles.dividers import divided, halves, side_by_side
from counterpoise.roles.rails import Rail
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


# (kΩ from output to adjusting pin, kΩ from there to ground, volts by 1.25 V (1 + R2/R1))
ADJUSTABLE = [
    # TI SLVS044 (LM317), output voltage: Vref (1 + R2/R1) + Iadj R2, R1 of 240 Ω (from memory)
    (0.24, 0.72, 5.0),
    (0.24, 0.394, 3.30208),
    (0.24, 2.0, 11.66667),
]


@pytest.mark.parametrize(("upper", "lower", "volts"), ADJUSTABLE)
def test_without_a_ground_pin_the_reference_stands_on_the_adjusting_pin(
    upper: float, lower: float, volts: float
) -> None:
    one, two = Range.of(upper * 1e3), Range.of(lower * 1e3)
    found = divided(Range.of(1.25), one, two, grounded=False)
    assert found.low == pytest.approx(volts, abs=1e-5)
    assert found.high == pytest.approx(volts + 120e-6 * lower * 1e3, abs=1e-5)


@pytest.mark.parametrize(("upper", "lower", "volts"), ADJUSTABLE)
def test_the_rail_of_an_adjustable_regulator_without_a_ground_pin(
    upper: float, lower: float, volts: float
) -> None:
    board = make_board(
        f"""
        U2 ADJ9 SOT-223 : 1/ADJ=FB 2/VOUT=OUT 3/VIN=VIN
        R1 {upper * 1e3:g}R R_0402 : OUT FB
        R2 {lower * 1e3:g}R R_0402 : FB GND
        """,
        '[parts.U2]\nrole = "regulator"\nreference = "1.25 V"',
    )
    rail = board.volts("OUT")
    assert isinstance(rail, Rail)
    assert volts in rail.volts
    assert rail.volts.high - rail.volts.low < 0.06 * volts


def test_resistors_side_by_side_divide_the_rail_as_one() -> None:
    board = make_board(
        """
        U2 CONV9 QFN-10 : 1/VIN=VBAT 2/GND=GND 3/FB=FB 4/VOUT=OUT
        R1 1000k R_0402 : OUT FB
        R3 1000k R_0402 : OUT FB
        R2 100k R_0402 : FB GND
        """,
        '[parts.U2]\nrole = "buck-boost"\nreference = "0.5 V"',
    )
    rail = board.volts("OUT")
    assert isinstance(rail, Rail)
    assert rail.volts.middle == pytest.approx(3.0, rel=1e-3)
    assert "R1, R3 and R2" in rail.because


def test_a_resistor_of_no_ohms_divides_nothing_by_nothing() -> None:
    facts = '[parts.R1]\nrole = "resistor"'
    board = make_board("R1 0R R_0402 : OUT FB\nR2 100k R_0402 : FB GND", facts)
    above, below = halves(board, ("OUT",), "FB")
    top, bottom = (side_by_side(board, parts, 0.01) for parts in (above, below))
    assert isinstance(top, Range)
    assert isinstance(bottom, Range)
    assert bottom.low == pytest.approx(99e3)
    assert divided(Range.of(0.5), top, bottom).high == pytest.approx(0.5)
