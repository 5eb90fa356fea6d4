"""One reading of a cell's words for the rules and for the rails, and one table of its volts."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.catalog.cells import cell_kinds
from counterpoise.model.facts import Need
from counterpoise.model.manifest import CHEMISTRIES
from counterpoise.roles.cells import Chemistry, chemistry_of
from counterpoise.roles.rails import Rail

# IEC 60086-1 letters (CR, BR, LR, SR, FR), IEC 61951 (HR, KR), IEC 61960 (ICR, INR, IFR); from memory
WORDS = [
    ("CR2032", "li-mno2-coin", (2.0, 3.3)),
    ("CR-2450", "li-mno2-coin", (2.0, 3.3)),
    ("BR2032", "li-mno2-coin", (2.0, 3.3)),
    ("LIR2032 Li-ion", "li-ion-coin", (3.0, 4.2)),
    ("ML2032", "li-mn-coin", (2.0, 3.3)),
    ("CR123A", "lithium-primary", (2.0, 3.7)),
    ("LR44", "alkaline", (0.9, 1.65)),
    ("2xLR6", "alkaline", (1.8, 3.3)),
    ("FR03", "lithium-fes2", (0.9, 1.83)),
    ("SR44W", "silver-oxide", (1.2, 1.65)),
    ("HR6", "nimh", (1.0, 1.45)),
    ("LiPo_180mAh", "li-po", (3.0, 4.2)),
    ("LIPO503035", "li-po", (3.0, 4.2)),
    ("INR18650", "li-ion", (3.0, 4.2)),
    ("1x18650", "li-ion", (3.0, 4.2)),
    ("LiFePO4 18650", "lifepo4", (2.5, 3.65)),
]


@pytest.mark.parametrize(("text", "chemistry", "volts"), WORDS)
def test_rules_and_rails_read_the_same_words(
    text: str, chemistry: str, volts: tuple[float, float]
) -> None:
    board = make_board(f'BT1 "{text}" - : 1/+=VBAT 2/-=GND')
    found = chemistry_of(board, board.parts[0])
    assert isinstance(found, Chemistry)
    assert found.name == chemistry
    rail = board.volts("VBAT")
    assert isinstance(rail, Rail)
    assert (rail.volts.low, rail.volts.high) == pytest.approx(volts)
    assert chemistry in rail.because


@pytest.mark.parametrize("text", ["FR4 board", "CELL", "XCR2032X", "9V"])
def test_other_words_mean_no_chemistry(text: str) -> None:
    board = make_board(f'BT1 "{text}" - : 1/+=VBAT 2/-=GND')
    assert isinstance(chemistry_of(board, board.parts[0]), Need)
    assert isinstance(board.volts("VBAT"), Need)


def test_every_chemistry_of_the_manifest_has_its_volts_and_words() -> None:
    kinds = cell_kinds()
    assert set(kinds) == set(CHEMISTRIES)
    for kind in kinds.values():
        assert kind.end_v < kind.nominal_v < kind.full_v
        assert kind.left[0][0] <= kind.full_v
