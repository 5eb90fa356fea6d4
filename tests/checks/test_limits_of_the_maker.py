"""Mass, run time, charge time and size exactly at the limit that the maker set, and past it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boards import make_board
from counterpoise.estimates.endurance import endurance
from counterpoise.estimates.mass import mass
from counterpoise.estimates.run_time import charge_hours
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from layouts import layout
from rules import outcome, verdicts


def limited(board: Board, **limits: float) -> Board:
    manifest = board.manifest
    made = replace(manifest, limits=replace(manifest.limits, **limits))
    return board.revised(replace(board.design, manifest=made))


def one(slug: str, board: Board, **limits: float) -> Verdict:
    (verdict,) = verdicts(slug, limited(board, **limits))
    return verdict


# -- mass -----------------------------------------------------------------------------------------
PLATE = make_board(layout=layout("board 60 x 40\nthickness 1.0\n"))


def test_the_mass_at_its_limit() -> None:
    found = mass(PLATE)
    assert not isinstance(found, Need)
    total = found.total
    assert total.low < total.likely < total.high
    assert isinstance(one("mass-over", PLATE, mass_g=total.high), Pass)
    only_high = one("mass-over", PLATE, mass_g=total.likely)
    assert isinstance(only_high, Fail)
    assert only_high.severity is Severity.CAUTION
    assert only_high.measured is not None
    assert only_high.measured.value == total.high
    over = one("mass-over", PLATE, mass_g=total.likely - 0.5)
    assert isinstance(over, Fail)
    assert (over.severity, over.words["over"]) == (None, "0.5 g")
    assert over.measured is not None
    assert over.measured.value == total.likely


def test_the_three_items_least_sure_are_named() -> None:
    facts = '[limits]\nmass = "{} g"\n' + "".join(
        f'[[extra]]\nname = "{name}"\nmass = "{low} g to {high} g"\n'
        for name, low, high in (("strap", 1, 2), ("case", 1, 9), ("screw", 1, 1.1), ("dial", 1, 4))
    )
    board = make_board("", facts.format(9), layout=layout("board 10 x 10\nthickness 1.0\n"))
    found = mass(board)
    assert not isinstance(found, Need)
    limit = (found.total.likely + found.total.high) / 2
    (finding,) = outcome("mass-over", limited(board, mass_g=limit)).findings
    assert "case, dial, strap." in finding.remedy


# -- run time -------------------------------------------------------------------------------------
LAMP = "BT1 - - : 1/+=VCC 2/-=GND\nU1 - - : 1/VDD=VCC 2/GND=GND\n"
CELL = (
    '[cell]\nref = "BT1"\nchemistry = "li-po"\ncapacity = "100 mAh"\n[parts.BT1]\nrole = "cell"\n'
    '[parts.U1]\nrole = "radio"\n[modes.on]\ncurrent = "{}"\n'
)


def test_the_run_time_at_its_limit() -> None:
    board = make_board(LAMP, CELL.format("10 mA"))
    hours = endurance(board).hours
    assert hours is not None
    assert hours.low < hours.likely < hours.high
    assert isinstance(one("endurance-short", board, endurance_h=hours.low), Pass)
    only_low = one("endurance-short", board, endurance_h=hours.likely)
    assert isinstance(only_low, Fail)
    assert (only_low.severity, only_low.subjects) == (Severity.CAUTION, ("BT1",))
    assert only_low.measured is not None
    assert only_low.measured.value == hours.low
    short = one("endurance-short", board, endurance_h=hours.likely * 1.01)
    assert isinstance(short, Fail)
    assert short.severity is None
    assert short.measured is not None
    assert short.measured.value == hours.likely


# -- charge time ----------------------------------------------------------------------------------
CHARGER = (
    "U1 LTC4054ES5-4.2 TSOT-23-5 : 1/CHRG=CHG 2/GND=GND 3/BAT=VBAT 4/VCC=VBUS 5/PROG=PROG\n"
    "R1 20k R_0402 : PROG GND\nBT1 LiPo - : 1/+=VBAT 2/-=GND\n"
)
CHARGED = '[cell]\nchemistry = "li-po"\ncapacity = "100 mAh"\n[parts.U1]\n{}\n'
AT_50, AT_60 = charge_hours(0.1, 0.05), charge_hours(0.1, 0.06)
"""Hours for 100 mAh at 50 and at 60 mA."""


@pytest.mark.parametrize(
    ("current", "limit", "expected", "firm", "says"),
    [
        ("50 mA", AT_50, Pass, False, ""),
        ("50 mA", AT_50 - 0.001, Fail, True, "about 2.65 h"),
        ("40 mA to 60 mA", AT_50, Pass, False, ""),
        ("40 mA to 60 mA", AT_50 - 0.001, Fail, False, "about 2.65 h (2.2 to 3.3 h)"),
        ("40 mA to 60 mA", AT_60, Fail, False, "about 2.65 h (2.2 to 3.3 h)"),
        ("40 mA to 60 mA", AT_60 - 0.001, Fail, True, "about 2.65 h (2.2 to 3.3 h)"),
        ("0 mA", 2.0, Unknown, False, ""),
        ("0 mA to 60 mA", 2.0, Unknown, False, ""),
    ],
)
def test_the_charge_time_at_its_limit(
    current: str, limit: float, expected: type, firm: bool, says: str
) -> None:
    board = make_board(CHARGER, CHARGED.format(f'charge_current = "{current}"'))
    verdict = one("charge-time-long", board, charge_time_h=limit)
    assert isinstance(verdict, expected)
    if isinstance(verdict, Fail):
        assert verdict.firm is firm
        assert verdict.words["measured"] == says
    if isinstance(verdict, Unknown):
        assert verdict.needs[0].what == "a current that is above zero"


def test_each_charger_is_judged_whatever_the_one_before_it_lacks() -> None:
    second = (
        CHARGER.splitlines()[0].replace("U1", "U2").replace("PROG", "PRG2").replace("CHG", "C2")
    )
    for first, expected in (("0 mA", Unknown), ("50 mA", Pass)):
        facts = (
            CHARGED.format(f'charge_current = "{first}"') + '[parts.U2]\ncharge_current = "20 mA"\n'
        )
        board = limited(make_board(CHARGER + second, facts), charge_time_h=3)
        told = [type(v) for v in verdicts("charge-time-long", board)]
        assert told == [expected, Fail]
    unset = CHARGER.replace("R1 20k", "R1 TBD") + second
    board = limited(
        make_board(unset, CHARGED.format("") + '[parts.U2]\ncharge_current = "20 mA"\n'),
        charge_time_h=3,
    )
    assert [type(v) for v in verdicts("charge-time-long", board)] == [Unknown, Fail]


# -- size -----------------------------------------------------------------------------------------
FRAME = make_board(layout=layout("board 60 x 40\nhole 5 5 55 35\n"))


@pytest.mark.parametrize(
    ("limit", "at", "case", "measured"),
    [
        ("area_mm2", 900.0, "area", "9 cm²"),
        ("bounding_mm2", 2400.0, "bounding", "24 cm²"),
        ("width_mm", 60.0, "size", "60 mm"),
        ("length_mm", 40.0, "size", "40 mm"),
    ],
)
def test_the_size_at_its_limit(limit: str, at: float, case: str, measured: str) -> None:
    assert isinstance(one("area-over", FRAME, **{limit: at}), Pass)
    verdict = one("area-over", FRAME, **{limit: at - 0.1})
    assert isinstance(verdict, Fail)
    assert (verdict.case, verdict.words["measured"]) == (case, measured)
    assert verdict.measured is not None
    assert verdict.measured.value == pytest.approx(at)
    assert verdict.limit is not None
    assert verdict.limit.max == at - 0.1


def test_each_size_that_is_over_is_told_of() -> None:
    board = limited(FRAME, area_mm2=899, bounding_mm2=2399, width_mm=59, length_mm=39)
    findings = outcome("area-over", board).findings
    assert len(findings) == 4
    assert len({f.fingerprint.partition("-")[0] for f in findings}) == 4, "wide is not long"
