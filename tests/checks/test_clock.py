"""Crystals in their circuits: which nets, capacitors and chip are theirs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boards import make_board
from counterpoise.checks._crystals import Clock, clock_of, resonator_pads
from counterpoise.model.verdicts import Fail, Pass, Skip, Unknown
from rules import outcome, verdicts

CHIP = "U1 RX900 QFN-32 : 1/XIN=XIN 2/XOUT=XOUT 3/VDD/pwr=+3V3 4/GND/pwr=GND\n"


def the_clock(text: str, facts: str = "") -> Clock:
    board = make_board(text, facts)
    (crystal,) = board.parts_as("crystal")
    clock = clock_of(board, crystal)
    assert clock is not None
    return clock


def test_a_feedback_resistor_is_not_a_way_to_the_other_pin() -> None:
    clock = the_clock(
        CHIP + "Y1 12MHz - : XIN XO @symbol=Crystal\nR1 1k - : XO XOUT\nR2 1M - : XIN XOUT\n"
        "C1 15p - : XIN GND\nC2 15p - : XOUT GND\n"
    )
    assert [[c.ref for c in side.capacitors] for side in clock.sides] == [["C1"], ["C2"]]
    assert clock.chip is not None
    assert clock.chip.ref == "U1"


def test_a_capacitor_to_a_supply_is_a_load_too() -> None:
    clock = the_clock(
        CHIP + "U2 - SOT-23-5 : 1/VIN=VBUS 2/GND=GND 3/VOUT=+3V3\n"
        "Y1 12MHz - : XIN XOUT @symbol=Crystal\nC1 15p - : XIN +3V3\nC2 15p - : XOUT GND\n",
        '[parts.U2]\nrole = "regulator"\noutput = "3.3 V"\n[parts.J9]\nrole = "usb-connector"\n',
    )
    assert [[c.ref for c in side.near] for side in clock.sides] == [["C1"], ["C2"]]


@pytest.mark.parametrize(
    ("pins", "symbol", "value", "expected"),
    [
        ("1=A 2=GND 3=B 4=GND", "Crystal_GND24", "16MHz", {"1", "3"}),
        ("1=A 2=GND 3=GND 4=B", "Crystal_GND23", "16MHz", {"1", "4"}),
        ("1/X1=A 2/GND=GND 3/GND=GND 4/X2=B", "Crystal", "16MHz", {"1", "4"}),
        ("1=A 2=B", "Crystal", "16MHz", {"1", "2"}),
        ("1=A 2=B 3=GND", "Crystal_GND3", "16MHz", {"1", "2"}),
        ("1=A 2=GND 3=B 4=GND", "Crystal", "16MHz", {"1", "3"}),
        ("1=A 2=GND 3=B 4=GND", "Crystal", "32.768kHz", None),
    ],
)
def test_resonator_pads(pins: str, symbol: str, value: str, expected: set[str] | None) -> None:
    board = make_board(f"Y1 {value} - : {pins} @symbol={symbol}\n" + CHIP)
    found = resonator_pads(board, board.circuit.parts[0])
    assert (set(found[0]) if found else None) == expected


def crystal_board(load_pf: float, cap_pf: float, low: float, high: float) -> str:
    return (
        CHIP + f'Y1 "16MHz" - : XIN XOUT @symbol=Crystal\n'
        f"C1 {cap_pf:.3f}p - : XIN GND\nC2 {cap_pf:.3f}p - : XOUT GND\n"
    )


def load_verdict(load_pf: float, cap_pf: float, low: float, high: float) -> type:
    facts = (
        f'[board]\nstray = "{low:.3f} pF to {high:.3f} pF"\n'
        f'[parts.Y1]\nload = "{load_pf:.3f} pF"\n[parts.U1]\nrole = "radio"\n'
    )
    (verdict,) = verdicts(
        "crystal-load", make_board(crystal_board(load_pf, cap_pf, low, high), facts)
    )
    return type(verdict)


@given(
    st.floats(6, 20),
    st.floats(6, 40),
    st.floats(1, 6),
    st.floats(0, 2),
    st.floats(0, 2),
)
def test_more_doubt_only_ever_turns_an_answer_into_unknown(
    load: float, cap: float, stray: float, less: float, more: float
) -> None:
    before = load_verdict(load, cap, stray, stray)
    after = load_verdict(load, cap, max(stray - less, 0.1), stray + more)
    assert after is before or after is Unknown


@pytest.mark.parametrize(
    ("load", "cap", "expected"),
    [
        (15, 20, Pass),  # ST AN2867, load capacitor: 15 pF with 5 pF stray asks for 20 pF
        (15, 33, Fail),
        (15, 24, Pass),  # 12 + 5 is 2 pF off: the limit itself
        (15, 24.1, Fail),
        (15, 16, Pass),
        (15, 15.9, Fail),
    ],
)
def test_the_limit_is_two_picofarads(load: float, cap: float, expected: type) -> None:
    assert load_verdict(load, cap, 5, 5) is expected


def test_a_missing_capacitor_is_told_once() -> None:
    board = make_board(
        CHIP + "Y1 16MHz - : XIN XOUT @symbol=Crystal\nC1 15p - : XIN GND\n",
        '[parts.Y1]\nload = "9 pF"\n[parts.U1]\nrole = "radio"\ninternal_load = false\n',
    )
    assert [type(v) for v in verdicts("crystal-load", board)] == [Skip]
    (finding,) = outcome("crystal-caps-missing", board).findings
    assert finding.severity.value == "stop"


def test_a_fact_recalled_from_memory_never_stops_alone() -> None:
    (finding,) = outcome(
        "crystal-load",
        make_board(
            crystal_board(0, 180, 0, 0).replace("Y1 ", "Y1 "),
        ),
    ).findings
    assert finding.severity.value == "caution"
    assert "not stated" in finding.message
