"""LEDs and polarised parts: Ohm's law as the oracle, and laws of turning a part round."""

from __future__ import annotations

import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from boards import make_board
from counterpoise.catalog.rules import all_rules
from counterpoise.model.verdicts import Fail, Pass, Skip
from counterpoise.roles.board import Board
from rules import outcome, verdicts

SUPPLY = "J1 USB_B_Micro - : 1/VBUS=VBUS 5/GND=GND @symbol=USB_B_Micro\n"
REGULATOR = "U2 REG SOT-23-3 : 1/GND=GND 2/VOUT=+3V3 3/VIN=VBUS\n"
CHIP = 'U1 "" QFN-32 : 1/P1=IO1 2/P2=IO2 3/VDD/pwr=+3V3 4/GND/pwr=GND\n'
FACTS = (
    '[parts.U2]\nrole = "regulator"\noutput = "3.3 V"\ndropout = "0.2 V"\n'
    '[parts.U1]\nrole = "controller"\n'
)


def board(parts: str, facts: str = "") -> Board:
    return make_board(SUPPLY + REGULATOR + CHIP + parts, FACTS + facts)


def lit(ohms: float, forward: float, *, colour: str = "red", more: str = "") -> Board:
    parts = (
        f"D1 {colour} LED_0603 : 1/K=GND 2/A=X @symbol=LED\nR1 {ohms:.9g} R_0402 : +3V3 X\n{more}"
    )
    return board(parts, f'[parts.D1]\nforward = "{forward:.6f} V"\n')


@given(st.floats(1, 1e6), st.floats(1.2, 3.2))
def test_the_current_is_the_supply_less_the_forward_voltage_over_the_resistance(
    ohms: float, forward: float
) -> None:
    limit = all_rules()["led-current"].limit("current")
    current = (3.3 - round(forward, 6)) / ohms
    assume(all(abs(current / end - 1) > 1e-3 for end in (limit.low, limit.high, 2 * limit.high)))
    (verdict,) = verdicts("led-current", lit(ohms, forward))
    if limit.low <= current <= limit.high:
        assert isinstance(verdict, Pass)
    else:
        assert isinstance(verdict, Fail)
        assert verdict.case == ("over" if current > limit.high else "under")
        assert verdict.measured is not None
        assert verdict.measured.value == pytest.approx(current * 1e3, rel=1e-3, abs=1e-4)
        assert (verdict.severity is None) is (current > 2 * limit.high)


@given(st.floats(50, 5e3), st.floats(0.05, 0.95))
def test_two_resistors_in_series_limit_like_their_sum(ohms: float, share: float) -> None:
    parts = (
        "D1 red LED_0603 : 1/K=Y 2/A=X @symbol=LED\n"
        f"R1 {ohms * share:.9g} R_0402 : +3V3 X\nR2 {ohms * (1 - share):.9g} R_0402 : Y GND\n"
    )
    split = board(parts, '[parts.D1]\nforward = "2 V"\n')
    assert [type(v) for v in verdicts("led-current", split)] == [
        type(v) for v in verdicts("led-current", lit(ohms, 2))
    ]


# Forward voltages by colour: handbook ranges for small LEDs at a few milliamperes (from memory).
@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("IR 940nm", 1.0, 1.5),
        ("red", 1.6, 2.2),
        ("amber", 1.7, 2.3),
        ("yellow", 1.8, 2.4),
        ("green", 1.8, 3.5),
        ("blue", 2.6, 3.6),
        ("white", 2.6, 3.6),
    ],
)
def test_the_colour_bounds_the_forward_voltage(text: str, low: float, high: float) -> None:
    from counterpoise.checks._led_current import forward_of

    made = board(f'D1 "{text}" LED_0603 : 1/K=GND 2/A=X @symbol=LED\n')
    led = made.circuit.part("D1")
    assert led is not None
    found, firm = forward_of(made, all_rules()["led-current"], led)
    assert not firm
    assert low - 0.3 <= found.low < found.high <= high + 0.3


def test_without_a_colour_any_visible_leds_forward_voltage_is_open() -> None:
    from counterpoise.checks._led_current import forward_of

    rule = all_rules()["led-current"]
    made = board("D1 LED LED_0603 : 1/K=GND 2/A=X @symbol=LED\n")
    led = made.circuit.part("D1")
    assert led is not None
    whole, _ = forward_of(made, rule, led)
    for colour in ("red", "amber", "yellow", "green", "blue"):
        one = rule.limit(f"forward-{colour}")
        assert whole.low <= one.low
        assert one.high <= whole.high


@pytest.mark.parametrize(("ohms", "forward"), [(10, 2), (1e6, 1.8), (5, 1.6)])
def test_the_resistor_that_the_remedy_names_would_do(ohms: float, forward: float) -> None:
    (finding,) = outcome("led-current", lit(ohms, forward)).findings
    named = re.search(r"([\d.]+) (k?)Ω", finding.remedy)
    assert named is not None, finding.remedy
    value = float(named[1]) * (1e3 if named[2] else 1.0)
    (fixed,) = verdicts("led-current", lit(value, forward))
    assert isinstance(fixed, Pass)


@pytest.mark.parametrize(
    ("anode", "cathode"),
    [
        ("VBUS", "GND"),
        ("+3V3", "GND"),
        ("+3V3", "IO1"),
        ("IO1", "GND"),
        ("VBUS", "+3V3"),
    ],
)
@pytest.mark.parametrize("side", ["anode", "cathode"])
def test_an_led_lights_one_way_round_only(anode: str, cathode: str, side: str) -> None:
    ways = []
    for plus, minus in ((anode, cathode), (cathode, anode)):
        ends = {"anode": plus, "cathode": minus}
        far, ends[side] = ends[side], "X"
        line = f"D1 red LED_0603 : 1/K={ends['cathode']} 2/A={ends['anode']} @symbol=LED\n"
        ways.append(verdicts("led-reversed", board(line + f"R1 1k R_0402 : {far} X\n")))
    (right,), (wrong,) = ways
    assert isinstance(right, Pass)
    assert isinstance(wrong, Fail)
    assert wrong.subjects == ("D1",)


def test_between_two_pins_either_way_round_may_be_meant() -> None:
    for nets in (("IO1", "IO2"), ("IO2", "IO1")):
        line = f"D1 red LED_0603 : 1/K=X 2/A={nets[0]} @symbol=LED\nR1 1k R_0402 : X {nets[1]}\n"
        (verdict,) = verdicts("led-reversed", board(line))
        assert isinstance(verdict, Skip)


@pytest.mark.parametrize(("plus", "minus"), [("VBUS", "GND"), ("+3V3", "GND"), ("VBUS", "+3V3")])
def test_a_polarised_capacitor_stands_one_way_round_only(plus: str, minus: str) -> None:
    line = "C1 47u CP_EIA-3528 : 1/+={} 2/-={} @symbol=C_Polarized\n"
    (right,) = verdicts("polar-cap-reversed", board(line.format(plus, minus)))
    (wrong,) = verdicts("polar-cap-reversed", board(line.format(minus, plus)))
    assert isinstance(right, Pass)
    assert isinstance(wrong, Fail)


@pytest.mark.parametrize(
    ("text", "polar"),
    [
        ("C1 47u CP_EIA-3528-21 : A B", True),
        ("C1 47u C_0805 : A B @symbol=C_Polarized", True),
        ("C1 47u C_0805 : A B @symbol=C_Polarised", True),
        ('C1 47u C_0805 : A B "@desc=Tantalum capacitor"', True),
        ('C1 47u C_0805 : A B "@desc=Aluminium electrolytic"', True),
        ("C1 47u C_0805 : 1/+=A 2/-=B", True),
        ("C1 47u C_0805 : A B", False),
        ('C1 47u C_0805 : A B "@desc=Unpolarized capacitor"', False),
        ('C1 47u C_0805 : A B "@desc=ceramic, replaces tantalum"', False),
        ("C1 47u C_0805 : A B @symbol=C_Unpolarized", False),
    ],
)
def test_which_capacitors_have_a_polarity(text: str, polar: bool) -> None:
    from boards import part
    from counterpoise.checks._turned import is_polar

    assert is_polar(part(text)) is polar


@given(st.permutations(["D1", "D2", "D3"]))
def test_a_chain_is_sound_in_any_order_of_refs(order: list[str]) -> None:
    nets = ["DATA", "D12", "D23"]
    lines = [
        f"{ref} WS2812B - : 1/VDD=VBUS 2/DOUT={nets[i + 1] if i < 2 else '~'} 3/VSS=GND "
        f"4/DIN={nets[i]} @symbol=WS2812B"
        for i, ref in enumerate(order)
    ]
    facts = "".join(
        f'[parts.{ref}]\nrole = "addressable-led"\nsupply = "3.7 V to 5.5 V"\n' for ref in order
    )
    made = make_board(
        SUPPLY + "U1 Q QFN-32 : 1/P1=DATA 2/VDD/pwr=VBUS 3/GND/pwr=GND\n" + "\n".join(lines), facts
    )
    assert all(isinstance(v, Pass) for v in verdicts("led-chain", made))
