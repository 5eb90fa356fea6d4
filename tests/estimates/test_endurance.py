"""Run time of small boards: what the load gets, what always flows, what other cells would do."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boards import make_board
from counterpoise.catalog.cells import cell_kinds
from counterpoise.estimates.endurance import endurance
from counterpoise.model.manifest import CHEMISTRIES
from counterpoise.model.report import Drain, Endurance

DIRECT = """
BT1 - - : 1/+=VCC 2/-=GND
U1 - - : 1/VDD=VCC 2/GND=GND
"""
ROLES = """
[parts.BT1]
role = "cell"
[parts.U1]
role = "radio"
supply = "2.0 V to 3.6 V"
"""


def run(cell: str, modes: str = "", circuit: str = DIRECT, more: str = ROLES) -> Endurance:
    return endurance(make_board(circuit, f'[cell]\nref = "BT1"\n{cell}\n{modes}\n{more}'))


COIN = 'chemistry = "li-mno2-coin"\ncapacity = "220 mAh"\nresistance = "40 ohm"'
POUCH = 'chemistry = "li-po"\ncapacity = "100 mAh"'


def drain(found: Endurance, name: str) -> Drain:
    (one,) = [d for d in found.drains if d.name == name]
    return one


def test_every_chemistry_of_the_manifest_is_in_the_table() -> None:
    assert set(CHEMISTRIES) == set(cell_kinds())


def test_constant_current() -> None:
    """Capacity over current; self-discharge of 3 % a month is the only other drain."""
    found = run(POUCH, '[modes.on]\ncurrent = "10 mA"', more=ROLES.replace("3.6 V", "4.3 V"))
    assert found.hours is not None
    assert found.capacity_ah is not None
    leak = drain(found, "self-discharge").current_a.likely
    assert leak == pytest.approx(0.03 * 0.1 / 730.5)
    assert found.hours.likely == pytest.approx(found.capacity_ah.likely / (0.010 + leak))
    # The label's 85 % at a tenth of the capacity an hour and at room temperature, nothing cut off.
    assert found.capacity_ah.likely == pytest.approx(0.085)


def test_two_modes() -> None:
    modes = '[modes.a]\ncurrent = "2 mA"\nshare = 0.75\n[modes.b]\ncurrent = "6 mA"\nshare = 0.25'
    found = run(POUCH, modes)
    assert found.hours is not None
    assert found.capacity_ah is not None
    leak = drain(found, "self-discharge").current_a.likely
    assert found.hours.likely == pytest.approx(found.capacity_ah.likely / (0.003 + leak))


def test_peak_and_sag_of_a_coin_cell() -> None:
    """15 mA x 40 Ω = 0.6 V: a 3 V coin cell leaves 2.4 V to the radio."""
    found = run(COIN, '[modes.on]\ncurrent = "1 mA"\npeak = "15 mA"')
    assert found.peak is not None
    assert found.peak.sag_v is not None
    assert found.peak.sag_v.likely == pytest.approx(0.6)
    assert found.peak.rail_v == pytest.approx(2.4)


def test_a_strong_pull_ends_a_coin_cell_early() -> None:
    gentle = run(COIN, '[modes.on]\ncurrent = "1 mA"\npeak = "2 mA"')
    hard = run(COIN, '[modes.on]\ncurrent = "1 mA"\npeak = "20 mA"')
    assert gentle.capacity_ah is not None
    assert hard.capacity_ah is not None
    assert hard.capacity_ah.likely < gentle.capacity_ah.likely


def test_cold_costs_capacity_and_is_told() -> None:
    mode = '[modes.on]\ncurrent = "5 mA"'
    warm, cold = run(POUCH, mode), run(f'{POUCH}\ntemperature = "0 degC"', mode)
    assert warm.capacity_ah is not None
    assert cold.capacity_ah is not None
    assert cold.capacity_ah.likely == pytest.approx(0.85 * warm.capacity_ah.likely)
    assert "20 to 25 °C" in " ".join(warm.assumed)
    assert "0 °C" in " ".join(cold.assumed)


BOOSTED = """
BT1 - - : 1/+=VBAT 2/-=GND
U2 - - : 1/VIN=VBAT 2/GND=GND 3/VOUT=VCC
U1 - - : 1/VDD=VCC 2/GND=GND
"""
BOOST_ROLES = """
[parts.BT1]
role = "cell"
[parts.U1]
role = "radio"
[parts.U2]
role = "boost"
output = "3.0 V"
efficiency = "85 %"
quiescent = "20 uA"
supply = "0.7 V to 3.0 V"
"""
ALKALINE = 'chemistry = "alkaline"\ncapacity = "1000 mAh"'


def test_behind_a_step_up_converter() -> None:
    """3.0 V x 10 mA / (0.85 x 1.5 V) = 23.53 mA from an alkaline cell."""
    found = run(ALKALINE, '[modes.on]\ncurrent = "10 mA"', BOOSTED, BOOST_ROLES)
    assert found.modes[0].cell_a.likely == pytest.approx(0.0235294, abs=1e-6)
    assert drain(found, "own current").current_a.likely == pytest.approx(20e-6)
    assert "step-up converter U2" in found.path
    names = [c.name for c in found.choices if c.fits]
    assert "AAA alkaline (LR03)" in names
    assert not [n for n in names if "pouch" in n], "4.2 V is over what the converter takes"


def test_dividers_lamps_and_held_pulls_are_counted() -> None:
    circuit = f"""{DIRECT}
R1 100k - : VCC MID
R2 100k - : MID GND
R3 1k - : VCC LED
D1 red - : 1/K=GND 2/A=LED
R4 10k - : VCC IN
SW1 - - : 1/COM=IN 2/NO=~ 3/NC=GND
"""
    roles = f"""{ROLES}
[parts.D1]
role = "led"
forward = "2.0 V"
[parts.SW1]
role = "change-over-switch"
terminals = {{ common = "1", open = "2", closed = "3" }}
"""
    found = run(COIN, '[modes.on]\ncurrent = "1 mA"', circuit, roles)
    assert drain(found, "divider").current_a.likely == pytest.approx(3.0 / 200e3)
    assert drain(found, "LED").current_a.likely == pytest.approx(1.0 / 1e3)
    held = drain(found, "pull held down by SW1 at rest")
    assert held.current_a.likely == pytest.approx(3.0 / 10e3)


def test_what_is_missing_is_asked_for() -> None:
    found = endurance(make_board(DIRECT, '[parts.BT1]\nrole = "cell"\n'))
    asked = " ".join(need.where for need in found.needs)
    assert found.hours is None
    for key in ("capacity", "chemistry", "[modes"):
        assert key in asked


def test_own_cells_join_the_table() -> None:
    own = '[[cells]]\nname = "drawer"\nchemistry = "li-po"\ncapacity = "110 mAh"\nmass = "2.4 g"\n'
    found = run(POUCH, '[modes.on]\ncurrent = "5 mA"', more=ROLES.replace("3.6 V", "4.3 V") + own)
    first = found.choices[0]
    assert (first.name, first.mass_g.likely, first.fits) == ("drawer", 2.4, True)
    assert first.hours is not None
    # A full charge at 1C: (0.8 + 0.2 ln 10 / 0.9) / 0.99 h, whatever the cell.
    assert first.charge_full_h == pytest.approx(1.3249, abs=1e-4)


@settings(max_examples=30, deadline=None)
@given(
    st.sampled_from(sorted(CHEMISTRIES)),
    st.floats(20, 3000),
    st.floats(0.01, 30),
    st.floats(-15, 40),
)
def test_low_likely_high(kind: str, capacity: float, current: float, degrees: float) -> None:
    cell = (
        f'chemistry = "{kind}"\ncapacity = "{capacity:.3f} mAh"\ntemperature = "{degrees:.1f} degC"'
    )
    found = run(cell, f'[modes.on]\ncurrent = "{current:.3f} mA"', BOOSTED, BOOST_ROLES)
    for estimate in (found.capacity_ah, found.hours, found.shelf_months):
        if estimate is not None:
            assert 0 <= estimate.low <= estimate.likely <= estimate.high
    assert found.capacity_ah is not None
    assert found.capacity_ah.high <= capacity / 1000
    more = run(cell, f'[modes.on]\ncurrent = "{current * 2:.3f} mA"', BOOSTED, BOOST_ROLES)
    if found.hours and more.hours:
        assert more.hours.likely < found.hours.likely
