"""Order codes and texts of a BOM: what contradicts and what merely differs in spelling."""

from __future__ import annotations

import pytest

from boards import make_board, part
from counterpoise.checks._bill_values import (
    is_generic,
    texts_agree,
)
from counterpoise.model.bom import Bom, BomLine
from counterpoise.model.verdicts import Unknown
from rules import verdicts


def line(value: str = "", code: str = "", description: str = "") -> BomLine:
    return BomLine(refs=("X1",), value=value, order_code=code, description=description)


# Resistor codes carry the value by IEC 60062, capacitor codes by three digits of EIA-198.
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
