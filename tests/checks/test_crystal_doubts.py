"""A crystal's capacitors by kind and likeness, and which recalled figures make no stop of its load.

Loads: ST AN2867, "Load capacitor".
"""

from __future__ import annotations

from typing import Any

import pytest

from boards import bom, make_board
from counterpoise.model.verdicts import Fail, Pass, Unknown
from crystals import CHIP, CRYSTAL, caps, facts, failed, one
from rules import verdicts


# -- firm or not ----------------------------------------------------------------------------------
def recalled(code: str, role: str, memory: tuple[str, ...], **stated: object) -> dict[str, Any]:
    kept = {k: {"value": v, "memory": True} if k in memory else v for k, v in stated.items()}
    return {
        "title": "a part of ours",
        "role": role,
        "matches": [code],
        "facts": kept,
        "sources": ["our own sheet, 3"],
    }


OFF = CRYSTAL + CHIP + caps("33p", "33p")


@pytest.mark.parametrize("memory", [(), ("load",)])
def test_the_load_it_was_cut_for(memory: tuple[str, ...]) -> None:
    card = recalled("ZX12", "crystal", memory, load="9 pF", frequency="16 MHz")
    stated = facts(9, 3).replace('load = "9 pF"', "")
    verdict = failed(OFF.replace("16MHz", "ZX12"), stated, card)
    assert verdict.firm is not bool(memory)
    assert verdict.doubt == ("a figure is from memory" if memory else "")


@pytest.mark.parametrize("memory", [(), ("motional_capacitance",), ("shunt_capacitance",)])
def test_what_pulls_it(memory: tuple[str, ...]) -> None:
    sheet = {"motional_capacitance": "8 fF", "shunt_capacitance": "2 pF", "frequency": "16 MHz"}
    verdict = failed(
        OFF.replace("16MHz", "ZX12"), facts(9, 3), recalled("ZX12", "crystal", memory, **sheet)
    )
    assert verdict.firm is not bool(memory)


@pytest.mark.parametrize("at", ["C1", "C2", "C3"])
@pytest.mark.parametrize("memory", [(), ("capacitance",)])
def test_each_capacitor(at: str, memory: tuple[str, ...]) -> None:
    parts = caps("33p", "33p") + "C3 1p C_0402 : XIN XOUT\n"
    text = "\n".join(
        line.replace("33p", "ZC33").replace("1p", "ZC33") if line.startswith(at) else line
        for line in parts.splitlines()
    )
    card = recalled("ZC33", "capacitor", memory, capacitance="33 pF")
    verdict = failed(CRYSTAL + CHIP + text + "\n", facts(9, 3), card)
    assert verdict.firm is not bool(memory)


@pytest.mark.parametrize("memory", [(), ("pin_capacitance",)])
def test_the_pins_capacitance(memory: tuple[str, ...]) -> None:
    stated = facts(9, 3).replace('[board]\nstray = "3 pF"\n', "")
    verdict = failed(OFF, stated, recalled("RX900", "radio", memory, pin_capacitance="4 pF"))
    assert verdict.firm is not bool(memory)
    assert verdict.words["seen"] == "19 to 20.5 pF"


@pytest.mark.parametrize(
    ("memory", "inside", "firm"),
    [
        ((), "8 pF", True),
        (("internal_load_capacitance",), "8 pF", False),
        ((), "8 pF to 9 pF", True),
        (("internal_load_capacitance",), "8 pF to 9 pF", False),
        (("internal_load",), "", False),
        ((), "", True),
    ],
)
def test_what_the_chip_holds(memory: tuple[str, ...], inside: str, firm: bool) -> None:
    held: dict[str, object] = {"internal_load": True}
    if inside:
        held["internal_load_capacitance"] = inside
    verdict = failed(OFF, facts(9, 3), recalled("RX900", "radio", memory, **held))
    assert verdict.case == "off-trimmed"
    assert verdict.firm is firm


def test_a_crystal_by_its_value_alone() -> None:
    text = "P1 16MHz - : XIN XOUT\n" + CHIP + caps("33p", "33p")
    verdict = failed(text, facts(9, 3).replace("Y1", "P1"))
    assert not verdict.firm
    assert "16MHz" in verdict.doubt


# -- unequal, and class 2 -------------------------------------------------------------------------
def test_a_capacitor_of_nothing_is_many_times_less() -> None:
    text = CRYSTAL + CHIP + caps("12p", "TRIM")
    stated = '[parts.C2]\ncapacitance = "0 pF"\n'
    verdict = one(text, stated, slug="crystal-caps-unequal")
    assert isinstance(verdict, Fail)
    assert (verdict.words["ratio"], verdict.measured) == ("many", None)


@pytest.mark.parametrize(
    ("first", "second", "expected", "subjects"),
    [
        ("12p C0G", "12p X7R", Fail, ("C2", "Y1")),
        ("12p X7R", "12p X7R", Fail, ("C1", "C2", "Y1")),
        ("12p C0G", "12p U2J", Pass, ()),
        ("12p C0G", "12p", Unknown, ()),
        ("12p", "12p X7R", Fail, ("C2", "Y1")),
    ],
)
def test_one_class_two_capacitor_is_enough(
    first: str, second: str, expected: type, subjects: tuple[str, ...]
) -> None:
    text = CRYSTAL + CHIP + caps(f'"{first}"', f'"{second}"')
    verdict = one(text, "", slug="crystal-dielectric")
    assert isinstance(verdict, expected)
    if isinstance(verdict, Fail):
        assert verdict.subjects == subjects
        assert verdict.words["are"] == ("are" if len(subjects) > 2 else "is")
        assert verdict.words["kind"] == "X7R"
    if isinstance(verdict, Unknown):
        assert verdict.subject == "C2"


@pytest.mark.parametrize(
    ("code", "expected"),
    [
        ("CC0402KRX7R9BB220", Fail),  # Yageo CC series: X7R in the code
        ("C0402C220J5GACTU-C0G", Pass),
        ("CAP-0402-22P", Unknown),
    ],
)
def test_a_dielectric_in_the_order_code(code: str, expected: type) -> None:
    board = make_board(
        CRYSTAL + CHIP + caps("22p", "22p"),
        bill=bom(("C9", "22p", "", "code=CC0402KRX7R9BB220"), ("C1 C2", "22p", "", f"code={code}")),
    )
    (verdict,) = verdicts("crystal-dielectric", board)
    assert isinstance(verdict, expected)
