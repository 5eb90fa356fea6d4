"""Order codes and texts of a BOM: what contradicts and what merely differs in spelling."""

from __future__ import annotations

import pytest

from boards import make_board, part
from counterpoise.checks._bill_values import (
    code_contradicts,
    is_generic,
    numbers_differ,
    texts_agree,
)
from counterpoise.model.bom import Bom, BomLine
from counterpoise.model.verdicts import Unknown
from counterpoise.values.partvalue import read_value
from rules import verdicts


def line(value: str = "", code: str = "", description: str = "") -> BomLine:
    return BomLine(refs=("X1",), value=value, order_code=code, description=description)


# Resistor codes carry the value by IEC 60062, capacitor codes by three digits of EIA-198.
@pytest.mark.parametrize(
    ("code", "kind", "value", "said"),
    [
        ("RC0402FR-0751KL", "resistor", 51e3, None),
        ("RC0402FR-0751KL", "resistor", 5.1e3, "51K"),
        ("RC0402FR-074K7L", "resistor", 4.7e3, None),
        ("RC0402FR-0710RL", "resistor", 10.0, None),
        ("RC0402FR-0710RL", "resistor", 10e3, "10R"),
        ("GRM155R71C104KA88D", "capacitor", 100e-9, None),
        ("GRM155R71C104KA88D", "capacitor", 1e-6, "104"),
        ("GRM1555C1H120JA01D", "capacitor", 12e-12, None),
        ("GRM1555C1H120JA01D", "capacitor", 120e-12, "120"),
        ("ACME-77", "resistor", 10e3, None),
        ("", "capacitor", 1e-6, None),
    ],
)
def test_an_order_code_against_the_value(
    code: str, kind: str, value: float, said: str | None
) -> None:
    assert code_contradicts(code, kind, value) == said


@pytest.mark.parametrize(
    ("a", "b", "kind", "differ"),
    [
        ("4k7", "4.7 kΩ", "resistor", False),
        ("4k7", "47k", "resistor", True),
        ("10", "10uF", "capacitor", False),  # "10" may mean 10 µF or 10 pF
        ("10", "10pF", "capacitor", False),
        ("10", "10nF", "capacitor", True),
        ("32MHz 8pF", "32MHz", "crystal", False),
        ("32MHz 8pF", "32MHz 12pF", "crystal", True),
    ],
)
def test_two_figures(a: str, b: str, kind: str, differ: bool) -> None:
    first, second = read_value(a, kind), read_value(b, kind)
    assert first is not None
    assert second is not None
    assert numbers_differ(first, second) is differ
    assert numbers_differ(second, first) is differ


@pytest.mark.parametrize(
    ("text", "other", "agree"),
    [
        ("TP4054", line("TP4054-42-SOT25R"), True),
        ("TP4054-42-SOT25R", line("TP4054"), True),
        ("TP4054", line("charger", code="TP4054-42"), True),
        ("TP4054", line("charger", description="Li-ion charger TP4054"), True),
        ("TP4054", line("TP4056"), False),
        ("AB", line("ABRACADABRA"), False),  # two letters are no name
        ("ABC", line("ABCDEF"), True),
        ("side switch", line("switch, side actuated"), True),
        ("side switch", line("relay"), False),
        ("USB-C 16P", line("USB-C 24P socket"), False),
    ],
)
def test_two_texts(text: str, other: BomLine, agree: bool) -> None:
    assert texts_agree(text, other) is agree


@pytest.mark.parametrize(
    ("text", "generic"),
    [
        ("R1 R R_0402 : A B", True),
        ("R1 - R_0402 : A B", True),
        ("R1 R_0402 R_0402 : A B", True),
        ("J1 Conn_01x02 JST : A B @symbol=Conn_01x02", True),
        ("R1 4k7 R_0402 : A B", False),
        ("U1 TP4054 SOT-23-5 : A B", False),
    ],
)
def test_a_value_that_is_only_the_symbols_name(text: str, generic: bool) -> None:
    assert is_generic(part(text)) is generic


def test_a_bom_without_a_value_column_cannot_be_compared() -> None:
    bill = Bom((BomLine(refs=("R1",), value=""),), frozenset({"reference"}))
    (verdict,) = verdicts("bom-value-differs", make_board("R1 4k7 R_0402 : A B", bill=bill))
    assert isinstance(verdict, Unknown)
