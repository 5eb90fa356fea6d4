"""What order codes and package names say beside the values they stand with."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boards import bom, make_board
from counterpoise.checks._bill_lines import case_of
from counterpoise.checks._bill_values import code_contradicts, folded
from rules import outcome


@pytest.mark.parametrize(
    ("code", "kind", "value", "says"),
    [
        # Yageo RC series ordering scheme: RKM value (IEC 60062) after the reel code
        ("RC0402FR-0710KL", "resistor", 10e3, None),
        ("RC0402FR-074K7L", "resistor", 4.7e3, None),
        ("RC0402FR-07680RL", "resistor", 680.0, None),
        ("RC0402FR-071KL", "resistor", 10e3, "1K"),
        ("RC0402FR-07100KL", "resistor", 10e3, "100K"),
        # EIA three-digit capacitance code with a tolerance letter or at the end of the code
        ("CC0402KRX7R7BB104", "capacitor", 100e-9, None),
        ("CL03C100JA3GNNC", "capacitor", 10e-12, None),
        ("CL10B104KB8NNNC", "capacitor", 100e-9, None),
        ("GRM1555C1H120JA01D", "capacitor", 12e-12, None),
        ("CL10B104KB8NNNC", "capacitor", 1e-6, "104"),
        # codes that say nothing plain are never held against a part
        ("C1525", "capacitor", 100e-9, None),
        ("ABC", "resistor", 1e3, None),
        ("2450AT18A100E", "capacitor", 1e-12, None),
    ],
)
def test_order_codes(code: str, kind: str, value: float, says: str | None) -> None:
    assert code_contradicts(code, kind, value) == says


@pytest.mark.parametrize(
    ("text", "case"),
    [
        ("R_0402_1005Metric", "0402"),  # EIA 0402 is IEC 1005
        ("0603", "0603"),
        ("1608 metric", "0603"),
        ("SOT-23-5", "SOT23-5"),
        ("SOT-25", "SOT23-5"),
        ("Package_TO_SOT_SMD:SOT-23-5", "SOT23-5"),
        ("QFN-32-1EP_5x5mm_P0.5mm", "QFN32"),
        ("JST_PH_S2B-PH-SM4-TB", None),
    ],
)
def test_cases_of(text: str, case: str | None) -> None:
    assert case_of(text) == case


@given(st.text(max_size=40), st.text(max_size=40))
def test_any_text_is_compared_without_a_fault(ours: str, theirs: str) -> None:
    clean = "".join(c for c in ours if c.isalnum()) or "x"
    board = make_board(f"U1 {clean} - : A B", bill=bom(("U1", theirs)))
    if folded(clean) == folded(theirs):
        assert not outcome("bom-value-differs", board).findings
    assert len(outcome("bom-value-differs", board).findings) <= 1


def test_parts_that_differ_alike_are_one_finding() -> None:
    board = make_board(
        "\n".join(f"R{n} 10k R_0402 : A B" for n in range(1, 9)),
        bill=bom(("R1 R2 R3 R4 R5 R6 R7 R8", "1k")),
    )
    (finding,) = outcome("bom-value-differs", board).findings
    assert finding.subjects == tuple(f"R{n}" for n in range(1, 9))
