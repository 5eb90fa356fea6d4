"""What supply findings show: figures to the millivolt, and the rating to look for."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Finding
from rules import outcome

CELL = 'BT1 "LiPo 100mAh" - : 1/+=VBAT 2/-=GND\n'
FACTS = '[cell]\nchemistry = "li-po"\ncharge_voltage = "4.2006 V"\nend_voltage = "3 V"\n'


def only_finding(slug: str, circuit: str, facts: str) -> Finding:
    (finding,) = outcome(slug, make_board(circuit, facts)).findings
    assert finding.measured is not None
    return finding


def test_what_a_rail_reaches_is_told_to_the_millivolt() -> None:
    chip = "U7 RADIO77 QFN-32 : 1/VDD/pwr=VBAT 2/VSS/pwr=GND 3/RF=ANT\n"
    more = '[parts.U7]\nrole = "radio"\nsupply = "1.8 V to 3.6 V"\n'
    finding = only_finding("supply-range", CELL + chip, FACTS + more)
    assert finding.measured is not None
    assert finding.measured.value == 4.201


def test_a_capacitor_on_it_is_told_to_the_millivolt_with_the_rating_to_look_for() -> None:
    finding = only_finding("cap-voltage-rating", f'{CELL}C1 "10u 4V" - : VBAT GND\n', FACTS)
    assert finding.measured is not None
    assert finding.measured.value == 4.201
    assert finding.remedy == "Fit a part rated 6.3 V or more."  # 1.25 times is 5.25 V


@pytest.mark.parametrize(
    ("reaches", "rating"),
    [
        ("5.04 V", "6.3 V"),  # 1.25 times is 6.3 V exactly
        ("5.05 V", "10 V"),
        ("12 V", "16 V"),
        ("24 V", "35 V"),
        ("80 V", "100 V"),
        ("96 V", "120 V"),  # above what is sold as a rule the figure itself
    ],
)
def test_the_rating_to_look_for_is_one_that_is_sold(reaches: str, rating: str) -> None:
    """Rated voltages: IEC 60384-1, after the R5 series of ISO 3 (from memory)."""
    board = 'J1 Supply - : IN GND\nC1 "10u 4V" - : IN GND\n'
    facts = f'[parts.J1]\noutput = "{reaches}"\n'
    finding = only_finding("cap-voltage-rating", board, facts)
    assert finding.remedy == f"Fit a part rated {rating} or more."
