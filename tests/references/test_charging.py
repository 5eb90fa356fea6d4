"""Charge currents against the makers' own figures."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass
from counterpoise.roles.charging import Current, charge_current
from rules import outcome, verdicts


def current(part: str, pins: str, ohms: str, facts: str = "") -> Current:
    board = make_board(f"U1 {part} : {pins}\nR1 {ohms} R_0402 : PROG GND", facts)
    unit = board.circuit.part("U1")
    assert unit is not None
    found = charge_current(board, unit)
    assert isinstance(found, Current), found
    return found


SOT = "1/CHRG=N 2/GND=GND 3/BAT=VBAT 4/VCC=VBUS 5/PROG=PROG"


# Linear Technology LTC4054-4.2, electrical characteristics, current mode: RPROG 10 k 93, 100,
# 107 mA; RPROG 2 k 465, 500, 535 mA.
@pytest.mark.parametrize(("ohms", "low", "high"), [("10k", 0.093, 0.107), ("2k", 0.465, 0.535)])
def test_ltc4054(ohms: str, low: float, high: float) -> None:
    found = current("LTC4054ES5-4.2 TSOT-23-5", SOT, ohms)
    assert found.amperes.low == pytest.approx(low)
    assert found.amperes.high == pytest.approx(high)
    assert found.firm


# Linear Technology LTC4054L-4.2: RPROG 15 k 9.3, 10, 10.7 mA; RPROG 1 k 142.5, 150, 157.5 mA.
# The look-alike's letter changes the constant from 1000 V to 150 V.
def test_ltc4054l_is_another_constant() -> None:
    found = current("LTC4054LES5-4.2 TSOT-23-5", SOT, "15k")
    assert found.amperes.low == pytest.approx(0.0093)
    assert found.amperes.middle == pytest.approx(0.010)


# Microchip DS20001984 (from memory): I = 1000 V / R; 2 k 500 mA, 10 k 100 mA, 20 k 50 mA.
@pytest.mark.parametrize(("ohms", "amperes"), [("2k", 0.5), ("10k", 0.1), ("20k", 0.05)])
def test_mcp73831(ohms: str, amperes: float) -> None:
    pins = "1/STAT=N 2/VSS=GND 3/VBAT=VBAT 4/VDD=VBUS 5/PROG=PROG"
    found = current('"MCP73831T-2ACI/OT" SOT-23-5', pins, ohms)
    assert found.amperes.middle == pytest.approx(amperes)
    assert not found.firm, "a constant from memory keeps its mark"


# TI BQ25121/BQ25125, ICHRG by RISET: 200 A·Ω / R; 665 Ω 300.752 mA, 1 k 200 mA, 4.99 k 40.080 mA.
@pytest.mark.parametrize(
    ("ohms", "milliamperes"), [("665", 300.752), ("1k", 200), ("4.99k", 40.080)]
)
def test_bq25120_family_constant(ohms: str, milliamperes: float) -> None:
    facts = '[parts.U1]\nrole = "charger"\nset_constant = "200 V"'
    found = current("X1 SOT-23-5", SOT, ohms, facts)
    assert found.amperes.middle * 1e3 == pytest.approx(milliamperes, rel=1e-5)


# TI SLUS810K (BQ24074), 10.2.2: 0.8 A asks for 890 / 0.8 = 1.1125 kΩ; K from 797 to 975 A·Ω.
def test_bq24074_design_example() -> None:
    facts = '[parts.U1]\nrole = "charger"\nset_constant = "797 V to 975 V"'
    found = current("X1 SOT-23-5", SOT, "1.1125k", facts)
    assert 0.8 in found.amperes
    assert found.amperes.low == pytest.approx(797 / 1112.5)


# Cell sheet LP-503759-1S-3, 1300 mAh: standard charge 650 mA (0.5C), maximum 1300 mA (1C).
@pytest.mark.parametrize(("milliamperes", "verdict"), [(650, Pass), (1300, Fail), (1500, Fail)])
def test_rates_of_a_published_cell(milliamperes: int, verdict: type) -> None:
    board = make_board(
        f"U1 X1 SOT-23-5 : {SOT}\nBT1 LiPo - : 1/+=VBAT 2/-=GND",
        f"""
        [cell]
        chemistry = "li-po"
        capacity = "1300 mAh"
        [parts.U1]
        role = "charger"
        charge_current = "{milliamperes} mA"
        """,
    )
    (found,) = verdicts("charge-rate", board)
    assert type(found) is verdict
    if milliamperes == 1300:
        (finding,) = outcome("charge-rate", board).findings
        assert finding.severity.value == "caution", "at 1C only the unstated limit is told"


# Linear Technology LTC4054-4.2: float voltage 4.158, 4.2, 4.242 V, sound for a 4.20 V cell.
def test_float_voltage_of_a_standard_charger_passes() -> None:
    board = make_board(
        f"U1 LTC4054ES5-4.2 TSOT-23-5 : {SOT}\nR1 10k R_0402 : PROG GND\n"
        "BT1 LiPo - : 1/+=VBAT 2/-=GND"
    )
    (found,) = verdicts("charge-voltage", board)
    assert isinstance(found, Pass)
