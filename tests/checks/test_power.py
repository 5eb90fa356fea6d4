"""Power rules: laws that must hold for any figures, and what findings say."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass, Unknown
from counterpoise.roles.board import Board
from counterpoise.roles.networks import OPEN, network_of
from counterpoise.roles.wording import amount, figure, listed, preferred, span
from counterpoise.values.eseries import in_series
from counterpoise.values.ranges import Range
from rules import outcome, verdicts

OHMS = st.sampled_from([round(a * 10**b, 6) for a in (1, 1.5, 2.2, 4.7, 6.8) for b in range(2, 6)])


def charger_board(ohms: float, constant: str, facts: str = "") -> Board:
    return make_board(
        f"""
        U1 X4054 SOT-23-5 : 1/CHRG=N 2/GND=GND 3/BAT=VBAT 4/VCC=VBUS 5/PROG=PROG
        R1 {ohms:g} R_0402 : PROG GND
        BT1 LiPo - : 1/+=VBAT 2/-=GND
        """,
        f"""
        [cell]
        chemistry = "li-po"
        capacity = "100 mAh"
        charge_limit = "1C"
        {facts}
        [parts.U1]
        role = "charger"
        set_constant = "{constant}"
        """,
    )


@given(
    st.sampled_from([1000, 2000, 4700, 8200, 10000, 12000, 22000]),
    st.floats(300, 3000),
    st.floats(0, 1500),
    st.floats(0, 1),
    st.floats(0, 1),
)
def test_more_doubt_only_ever_turns_an_answer_into_cannot_judge(
    ohms: float, low: float, width: float, a: float, b: float
) -> None:
    first, second = sorted((low + a * width, low + b * width))
    (wide,) = verdicts("charge-rate", charger_board(ohms, f"{low} V to {low + width} V"))
    (narrow,) = verdicts("charge-rate", charger_board(ohms, f"{first} V to {second} V"))
    assert isinstance(wide, Unknown) or type(wide) is type(narrow)


@given(st.lists(OHMS, min_size=1, max_size=4))
def test_parallel_resistors_add_their_conductances(values: list[float]) -> None:
    lines = "\n".join(f"R{i} {v:g} R_0402 : PROG GND" for i, v in enumerate(values, 1))
    board = make_board(lines)
    found = network_of(board, "PROG", "U1", rails=frozenset())
    assert list(found.ohms) == pytest.approx([1 / sum(1 / v for v in values)])


@given(st.lists(OHMS, min_size=1, max_size=4))
def test_resistors_in_series_add(values: list[float]) -> None:
    nets = ["PROG", *(f"N{i}" for i in range(1, len(values))), "GND"]
    lines = "\n".join(
        f"R{i} {v:g} R_0402 : {nets[i - 1]} {nets[i]}" for i, v in enumerate(values, 1)
    )
    board = make_board(lines + "\nC1 1n C_0402 : PROG GND")
    found = network_of(board, "PROG", "U1", rails=frozenset())
    assert list(found.ohms) == pytest.approx([sum(values)])


def test_a_bridge_is_reckoned_by_the_law_not_by_series_and_parallel() -> None:
    # Wheatstone bridge in balance: the middle resistor carries nothing, 2 k + 2 k beside 1 k + 1 k.
    board = make_board(
        """
        R1 1k R_0402 : PROG A
        R2 1k R_0402 : A GND
        R3 2k R_0402 : PROG B
        R4 2k R_0402 : B GND
        R5 470 R_0402 : A B
        """
    )
    found = network_of(board, "PROG", "U1", rails=frozenset())
    assert list(found.ohms) == pytest.approx([4000 / 3])


def test_a_contact_gives_two_states() -> None:
    board = make_board(
        """
        R1 10k R_0402 : PROG GND
        R2 10k R_0402 : PROG A
        SW1 SW_SPDT SW_Slide_SPDT : 1/A=A 2/B=GND 3/C=~
        """
    )
    found = network_of(board, "PROG", "U1", rails=frozenset())
    assert list(found.ohms) == pytest.approx([5000, 10000], rel=1e-3)


def test_nothing_on_the_pin_is_open() -> None:
    board = make_board("C1 1n C_0402 : PROG GND\nR9 1k R_0402 : X GND")
    assert network_of(board, "PROG", "U1", rails=frozenset()).ohms == (OPEN,)


@given(st.floats(10, 1e6))
def test_preferred_resistor_is_a_preferred_value_and_never_gives_more_current(ohms: float) -> None:
    value = preferred(ohms)
    assert value >= ohms * 0.999
    assert value <= ohms * 1.13
    assert in_series(value, 0.05)


@given(st.floats(1e-12, 1e9))
def test_an_amount_reads_back_to_three_figures(value: float) -> None:
    number, unit = amount(value, "F").split(" ")
    factor = {"p": 1e-12, "n": 1e-9, "µ": 1e-6, "m": 1e-3, "": 1, "k": 1e3, "M": 1e6, "G": 1e9}
    assert math.isclose(float(number) * factor[unit[:-1]], value, rel_tol=5.1e-3)


def test_figures_in_words() -> None:
    assert amount(0.5, "A") == "500 mA"
    assert amount(4700, "Ω") == "4.7 kΩ"
    assert amount(0.25, "V") == "0.25 V"
    assert amount(0, "V") == "0 V"
    assert figure(100) == "100"
    assert span(Range(3.0, 4.2), "V") == "3 to 4.2 V"
    assert span(Range(0.0005, 2.0), "A") == "500 µA to 2 A"
    assert span(Range(1.0, 1.0), "V") == "1 V"
    assert listed(["R1"]) == "R1"
    assert listed(["R1", "R2", "R3", "R2"]) == "R1, R2 and R3"


def test_the_remedy_names_a_resistor_that_would_pass() -> None:
    board = charger_board(2000, "1000 V")
    (finding,) = outcome("charge-rate", board).findings
    assert "10 kΩ" in finding.remedy
    (verdict,) = verdicts("charge-rate", charger_board(10000, "1000 V"))
    assert isinstance(verdict, Pass)


@pytest.mark.parametrize("text", ["LiPo 300mAh", "18650 Li-ion", "LIR2032", "ML2032", "NiMH AAA"])
def test_value_texts_that_mean_rechargeable(text: str) -> None:
    board = make_board(f'BT1 "{text}" - : 1/+=VBAT 2/-=GND\nC1 1u C_0402 : VBAT GND')
    (verdict,) = verdicts("cell-needs-charger", board)
    assert isinstance(verdict, Fail)


# IEC 60086-1 letters: L alkaline, C lithium manganese dioxide, F lithium iron disulfide, S silver
# oxide (from memory).
@pytest.mark.parametrize(
    "text", ["CR2032", "CR123A", "LR03", "AAA alkaline", "FR6", "SR44", "LR44"]
)
def test_value_texts_that_mean_not_rechargeable(text: str) -> None:
    board = make_board(f'BT1 "{text}" - : 1/+=VBAT 2/-=GND\nC1 1u C_0402 : VBAT GND')
    result = outcome("cell-needs-charger", board)
    assert result.coverage[0].verdict == "not-applicable"


def test_every_lithium_finding_carries_cautions() -> None:
    from counterpoise.catalog.rules import all_rules

    for slug in ("charge-rate", "charge-voltage", "primary-cell-charged", "cell-polarity"):
        assert all_rules()[slug].cautions, slug
