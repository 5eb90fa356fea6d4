"""More doubt only ever turns an answer into cannot judge: a wider fact never flips a verdict.

For each rule one fact that a board's maker may know only as a range. crystal-load and charge-rate
have the same law in test_clock.py and test_power.py. A rail's own sweep (a cell from full to end)
is no doubt: it happens in use, so that rules hold it against limits at its ends.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boards import make_board
from counterpoise.model.verdicts import Unknown
from rules import verdicts

CELL = '[cell]\nchemistry = "li-po"\ncapacity = "100 mAh"\n'
BATTERY = 'BT1 "LiPo 100mAh" - : 1/+=VBAT 2/-=GND\n'
RADIO = "U7 RADIO77 QFN-32 : 1/VDD/pwr=OUT 2/VSS/pwr=GND 3/RF=ANT 4/XIN=X1 5/XOUT=X2\n"
NEEDS = '[parts.U7]\nrole = "radio"\nsupply = "2.0 V to 3.6 V"\n'
BOOST = """
U2 BST3 SOT-23-6 : 1/SW=LX 2/GND=GND 3/FB=FB 4/EN=VBAT 5/IN=VBAT 6/OUT=OUT
L1 4.7u L_0603 : VBAT LX
R1 200k R_0402 : OUT FB
R2 100k R_0402 : FB GND
"""
LDO = "U2 REG SOT-23-5 : 1/VIN=VBAT 2/GND=GND 3/EN=VBAT 4/NC=~ 5/VOUT=OUT\n"
CRYSTAL = """
Y1 "16MHz" - : XIN XOUT @symbol=Crystal
U1 RX900 QFN-32 : 1/XIN=XIN 2/XOUT=XOUT 3/VDD/pwr=+3V3 4/GND/pwr=GND 5/RF=ANT
C1 12p C_0402 : XIN GND
C2 12p C_0402 : XOUT GND
"""
QUARTZ = {
    "load": "9 pF",
    "tolerance": "10 ppm",
    "stability": "15 ppm",
    "ageing": "3 ppm",
    "motional_capacitance": "4 fF",
    "shunt_capacitance": "1.2 pF",
    "esr": "60 ohm",
}


def led(fact: str) -> tuple[str, str]:
    circuit = BATTERY + LDO + "D1 red LED_0603 : 1/K=GND 2/A=X @symbol=LED\nR1 68 R_0402 : OUT X\n"
    return circuit, CELL + (
        '[parts.U2]\nrole = "regulator"\noutput = "3 V"\ndropout = "0 V"\n'
        f'[parts.D1]\nforward = "{fact}"\n'
    )


def rating(fact: str) -> tuple[str, str]:
    return BATTERY + LDO + "C1 10u C_0603 : VBAT GND\n", CELL + (
        f'[parts.C1]\nrated_voltage = "{fact}"\n'
    )


def overfed(fact: str) -> tuple[str, str]:
    return BATTERY + BOOST, CELL + f'[parts.U2]\nrole = "boost"\noutput = "{fact}"\n'


def feedback(fact: str) -> tuple[str, str]:
    facts = f'[parts.U2]\nrole = "boost"\nreference = "{fact}"\n'
    return BATTERY + BOOST + RADIO, CELL + facts + NEEDS


def marked(fact: str) -> tuple[str, str]:
    circuit, facts = feedback(fact)
    return circuit.replace("OUT=OUT", "OUT=+3V0").replace(" OUT FB", " +3V0 FB"), facts


def dropout(fact: str) -> tuple[str, str]:
    facts = f'[parts.U2]\nrole = "regulator"\noutput = "3.3 V"\ndropout = "{fact}"\n'
    return BATTERY + LDO + RADIO, CELL + facts + NEEDS


def setting(fact: str) -> tuple[str, str]:
    facts = f'[parts.U2]\nrole = "regulator"\noutput = "{fact}"\ndropout = "1 V"\n'
    return BATTERY + LDO + RADIO, CELL + facts + NEEDS.replace("2.0 V", "2.6 V")


def quartz(key: str, **others: str) -> Callable[[str], tuple[str, str]]:
    def build(fact: str) -> tuple[str, str]:
        facts = "".join(f'{k} = "{v}"\n' for k, v in (QUARTZ | others | {key: fact}).items())
        return CRYSTAL, (
            '[board]\nstray = "3 pF"\nradio = "ieee-802.15.4"\n[parts.U1]\nrole = "radio"\n'
            f'transconductance = "2 mS"\n[parts.Y1]\n{facts}'
        )

    return build


LAWS: dict[str, tuple[str, Callable[[str], tuple[str, str]], str, float, float]] = {
    # rule and fact: (rule, board, unit, least, most)
    "led-current: forward voltage": ("led-current", led, "V", 0.5, 3.5),
    "cap-voltage-rating: rated voltage": ("cap-voltage-rating", rating, "V", 2.5, 16),
    "boost-overfed: output": ("boost-overfed", overfed, "V", 3, 5.5),
    "converter-feedback: reference, a radio behind": (
        "converter-feedback",
        feedback,
        "V",
        0.4,
        1.6,
    ),
    "converter-feedback: reference, a marked rail": ("converter-feedback", marked, "V", 0.7, 1.3),
    "regulator-headroom: dropout": ("regulator-headroom", dropout, "V", 0.05, 2),
    "regulator-headroom: output": ("regulator-headroom", setting, "V", 1.2, 4),
    "radio-frequency-error: tolerance": (
        "radio-frequency-error",
        quartz("tolerance"),
        "ppm",
        1,
        40,
    ),
    "radio-frequency-error: load": ("radio-frequency-error", quartz("load"), "pF", 9, 14),
    "radio-frequency-error: motional": (
        "radio-frequency-error",
        quartz("motional_capacitance", load="11 pF"),
        "fF",
        1,
        20,
    ),
    "crystal-start-margin: ESR": ("crystal-start-margin", quartz("esr"), "ohm", 10, 2000),
    "crystal-start-margin: shunt": (
        "crystal-start-margin",
        quartz("shunt_capacitance"),
        "pF",
        0.5,
        30,
    ),
    "crystal-load: load it was cut for": ("crystal-load", quartz("load"), "pF", 6, 14),
}


def verdict(slug: str, build: Callable[[str], tuple[str, str]], fact: str) -> type:
    found = verdicts(slug, make_board(*build(fact)))
    assert len(found) == 1, found
    return type(found[0])


@pytest.mark.parametrize("name", LAWS)
@given(a=st.floats(0, 1), b=st.floats(0, 1), c=st.floats(0, 1), d=st.floats(0, 1))
def test_a_wider_fact_never_flips_the_answer(
    name: str, a: float, b: float, c: float, d: float
) -> None:
    slug, build, unit, least, most = LAWS[name]
    low, high = sorted((least + a * (most - least), least + b * (most - least)))
    first, second = sorted((low + c * (high - low), low + d * (high - low)))
    first, second = max(first, low), min(second, high)
    narrow = verdict(slug, build, f"{first:.6f} {unit} to {second:.6f} {unit}")
    wide = verdict(slug, build, f"{low:.6f} {unit} to {high:.6f} {unit}")
    assert wide is Unknown or wide is narrow


@pytest.mark.parametrize("name", LAWS)
def test_the_fact_decides_and_doubt_about_it_leaves_it_open(name: str) -> None:
    slug, build, unit, least, most = LAWS[name]
    answers = {verdict(slug, build, f"{end:g} {unit}") for end in (least, most)}
    middle = verdict(slug, build, f"{(least + most) / 2:g} {unit}")
    assert len(answers | {middle}) >= 2, "the law is tested on both sides of the limit"
    assert verdict(slug, build, f"{least:g} {unit} to {most:g} {unit}") is Unknown
