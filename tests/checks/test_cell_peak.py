"""What the cell gives at the worst moment: figures, and a rail of which nothing sure is known."""

from __future__ import annotations

from boards import make_board
from counterpoise.model.verdicts import Fail, Verdict
from rules import verdicts

CELL = 'BT1 "LiPo 100mAh" - : 1/+=VBAT 2/-=GND\n'
BOOST = "U2 BST3 SOT-23-6 : 1/SW=LX 2/GND=GND 3/FB=FB 4/EN=VBAT 5/IN=VBAT 6/OUT=OUT\n"
RADIO = "U7 RADIO77 QFN-32 : 1/VDD/pwr=VBAT 2/VSS/pwr=GND 3/RF=ANT\n"


def told(circuit: str, facts: str) -> list[Verdict]:
    return verdicts("cell-peak-current", make_board(circuit, facts))


def test_current_and_limit_are_told_to_the_microampere() -> None:
    (verdict,) = told(
        CELL,
        '[cell]\npeak_limit = "10.00006 mA"\nresistance = "1 ohm"\n'
        '[modes.hold]\ncurrent = "20.00006 mA"\n',
    )
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    assert verdict.limit is not None
    assert (verdict.measured.value, verdict.limit.max) == (20.0, 10.0)


def test_what_is_left_is_told_to_the_millivolt() -> None:
    _, verdict = told(
        CELL + RADIO,
        '[cell]\nchemistry = "li-po"\nend_voltage = "3 V"\nresistance = "10.004 ohm"\n'
        'peak_limit = "1 A"\n[modes.hold]\ncurrent = "50 mA"\n'
        '[parts.U7]\nrole = "radio"\nsupply = "2.7 V to 4.5 V"\n',
    )
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    assert verdict.measured.value == 2.5  # 3 V - 0.5002 V, rounded


def test_a_supply_that_may_be_nothing_gives_no_figure_behind_a_boost() -> None:
    (verdict,) = told(
        f"{CELL}{BOOST}J9 Conn_01x02 PinHeader_1x02 : 1=VBAT 2=GND\n",
        '[cell]\nchemistry = "li-po"\npeak_limit = "15 mA"\n[modes.hold]\ncurrent = "20 mA"\n'
        '[parts.U2]\nrole = "boost"\noutput = "5 V"\n[parts.J9]\nrole = "connector"\noutput = "0 V to 5 V"\n',
    )
    assert isinstance(verdict, Fail)
    assert verdict.words["because"] == "mode hold"
