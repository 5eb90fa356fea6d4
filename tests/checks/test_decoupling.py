"""What a finding of missing capacitors is held against."""

from __future__ import annotations

import pytest

from boards import make_board
from rules import outcome


def test_a_bare_supply_is_held_against_the_least_that_counts() -> None:
    # 10 nF: common practice, no source.
    board = make_board(
        "U7 X7 QFN-32 : 1/VDD/pwr=+3V3 2/VSS/pwr=GND 3/PA0/io=A", '[parts.U7]\nrole = "controller"'
    )
    (finding,) = outcome("decoupling-present", board).findings
    assert finding.limit is not None
    assert finding.limit.min == pytest.approx(10)
    assert finding.limit.unit == "nF"
