"""The load of a crystal at and beside each limit, and what makes a figure firm.

Loads of two capacitors and a stray: ST AN2867, "Load capacitor": C1·C2/(C1 + C2) + Cs.
"""

from __future__ import annotations

import pytest

from counterpoise.model.verdicts import Fail, Pass, Severity, Skip, Unknown, Verdict
from crystals import CHIP, CRYSTAL, caps, facts, failed, one


# -- what adds up ---------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "load", "expected"),
    [
        ("C3 1.9p C_0402 : XIN XOUT", 9, Pass),  # 6 + 3 + 1.9 is within 2 pF of 9
        ("C3 2.1p C_0402 : XOUT XIN", 9, Fail),
        ("C3 2.9p C_0402 : XIN XOUT", 13, Pass),
        ("C3 TBD C_0402 : XIN XOUT", 9, Unknown),
        ("C3 2.1p C_0402 : XOUT XIN @dnp", 9, Pass),
    ],
)
def test_a_capacitor_right_across_the_crystal_counts_whole(
    text: str, load: float, expected: type
) -> None:
    verdict = one(f"{CRYSTAL}{CHIP}{caps('12p', '12p')}{text}\n", facts(load, 3))
    assert isinstance(verdict, expected)
    if isinstance(verdict, Unknown):
        assert verdict.needs[0].what == "the value of C3"


@pytest.mark.parametrize(
    ("near", "far", "load", "expected"),
    [
        ("", "20p", 17, Pass),  # 10 + 5, behind the resistor alone: it counts whole
        ("", "20p", 12.9, Fail),
        ("20p", "", 17, Pass),
        ("20p", "", 12.9, Fail),
        ("20p", "20p", 16.5, Pass),  # both: 15 to 18.3 pF
        ("20p", "20p", 12.9, Fail),
        ("20p", "20p", 16, Unknown),
        ("20p", "20p", 17.5, Unknown),
        ("20p", "20p", 20.4, Fail),
    ],
)
def test_a_capacitor_behind_the_series_resistor_counts_in_part_beside_a_near_one(
    near: str, far: str, load: float, expected: type
) -> None:
    text = CRYSTAL.replace("3=XOUT", "3=XO") + CHIP + "C1 20p C_0402 : XIN GND\n"
    text += "R1 330 R_0402 : XO XOUT\n"
    text += f"C2 {near} C_0402 : XO GND\n" if near else ""
    text += f"C3 {far} C_0402 : XOUT GND\n" if far else ""
    assert isinstance(one(text, facts(load, 5)), expected)


def test_known_pins_narrow_the_stray() -> None:
    """2 pF a pin are 1 pF in series, and tracks 0.5 to 2 pF (common practice, no source)."""
    text = CRYSTAL + CHIP + caps("12p", "12p")
    unstated = '[parts.Y1]\nload = "8 pF"\n[parts.U1]\nrole = "radio"\n'
    assert isinstance(one(text, unstated), Unknown)
    assert isinstance(one(text, unstated + 'pin_capacitance = "2 pF"\n'), Pass)
    off = unstated.replace("8 pF", "11.1 pF") + 'pin_capacitance = "2 pF"\n'
    verdict = failed(text, off)
    assert verdict.words["seen"] == "7.5 to 9 pF"
    assert verdict.measured is not None
    assert verdict.measured.value == 9.0, "the end nearest to the limit"


# -- the limit ------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("first", "second", "load", "effect", "measured"),
    [
        ("20p", "10p", 9.6, "slow", 11.667),
        ("20p", "10p", 9.1234, "slow", 11.667),
        ("20p", "10p", 13.7, "fast", 11.667),
    ],
)
def test_which_way_it_is_off_and_by_what(
    first: str, second: str, load: float, effect: str, measured: float
) -> None:
    verdict = failed(CRYSTAL + CHIP + caps(first, second), facts(load, 5))
    assert verdict.words["effect"] == effect
    assert verdict.measured is not None
    assert verdict.measured.value == measured
    assert verdict.limit is not None
    assert (verdict.limit.min, verdict.limit.max) == (round(load - 2, 3), round(load + 2, 3))
    assert verdict.subjects == ("Y1", "C1", "C2")


TRIMMED = 'internal_load_capacitance = "0 pF to 8 pF"'
HELD = "internal_load = true"


@pytest.mark.parametrize(
    ("chip", "stray", "load", "expected"),
    [
        # no capacitor outside: the stray is what firmware cannot take away
        (TRIMMED, 16, 14, Pass),  # 2 pF over: the limit itself
        (TRIMMED, 16.01, 14, Fail),
        (TRIMMED, 4, 14, Pass),  # 4 to 12 pF
        (TRIMMED, 3.99, 14, Fail),
        (HELD, 16, 14, Pass),
        (HELD, 12, 10, Pass),
        (HELD, 16.01, 14, Fail),
        (HELD, 1, 14, Pass),
    ],
)
def test_some_setting_of_the_chip_must_reach_the_load(
    chip: str, stray: float, load: float, expected: type
) -> None:
    verdict = one(CRYSTAL + CHIP, facts(load, stray, chip))
    assert isinstance(verdict, expected)
    if isinstance(verdict, Fail):
        assert verdict.case == "off-trimmed"
        assert verdict.words["caps"] == "no capacitor"
        assert verdict.words["chip"] == "U1"


@pytest.mark.parametrize(
    ("load", "expected"),
    [(14, Pass), (14.01, Unknown), (10, Pass), (9.99, Fail)],
)
def test_capacitors_outside_and_unknown_ones_inside(load: float, expected: type) -> None:
    """18 pF twice and 3 pF are 12 pF, which the chip may only add to: two under the load is near
    enough as it stands, more asks what the chip adds."""
    verdict = one(CRYSTAL + CHIP + caps("18p", "18p"), facts(load, 3, HELD))
    assert isinstance(verdict, expected)


def test_one_capacitor_outside_where_the_chip_holds_its_own() -> None:
    text = CRYSTAL + CHIP + "C1 18p C_0402 : XIN GND\n"
    assert isinstance(one(text, facts(14, 3, HELD)), Unknown)
    assert isinstance(one(text, facts(14, 13, HELD)), Pass)
    assert isinstance(one(text, facts(14, 3, "internal_load = false")), Skip)
    assert isinstance(one(text, facts(14, 3)), Skip)


@pytest.mark.parametrize(
    ("cap", "fails"),
    [("76p", False), ("77p", True)],  # 38 + 2 pF at least: 40 pF is the largest usual load
)
def test_a_load_that_is_no_crystals_needs_no_cut(cap: str, fails: bool) -> None:
    verdict = one(CRYSTAL + CHIP + caps(cap, cap), "")
    assert isinstance(verdict, Fail if fails else Unknown)
    if isinstance(verdict, Fail):
        assert verdict.case == "implausible"
        assert verdict.measured is not None
        assert verdict.measured.value == 40.5


def test_the_figure_of_an_implausible_load_is_told_to_a_thousandth() -> None:
    verdict = failed(CRYSTAL + CHIP + caps("100p", "200p"), "")
    assert verdict.measured is not None
    assert verdict.measured.value == 68.667


# -- by frequency error ---------------------------------------------------------------------------
PULL = 'motional_capacitance = "6 fF"\nshunt_capacitance = "2 pF"\n'
"""6 fF, 2 pF, cut for 18 pF: 13 pF pull it by 50 ppm (ST AN2867, "Crystal pullability")."""


def pulled(stray: float, chip: str = "", role: str = "radio") -> Verdict:
    stated = facts(18, stray).replace("[parts.U1]", PULL + "[parts.U1]").replace("radio", role)
    return one(CRYSTAL + CHIP + caps("16p", "16p"), stated + chip)


@pytest.mark.parametrize(
    ("stray", "expected"), [(5, Pass), (4.99, Fail), (10, Pass), (19.99, Pass), (20.05, Fail)]
)
def test_fifty_parts_per_million_to_either_side(stray: float, expected: type) -> None:
    verdict = pulled(stray)
    assert isinstance(verdict, expected)
    if isinstance(verdict, Fail):
        assert verdict.limit is not None
        assert (verdict.limit.min, verdict.limit.max, verdict.limit.unit) == (-50, 50, "ppm")
        assert verdict.measured is not None
        assert verdict.measured.value == (50.1 if stray < 5 else -50.2)


def test_a_straddling_pull_asks_for_each_range() -> None:
    text = CRYSTAL + CHIP + caps("16p", "16p")
    wide = PULL.replace('"6 fF"', '"3 fF to 12 fF"').replace('"2 pF"', '"1 pF to 3 pF"')
    stated = facts(18, 4).replace("[parts.U1]", wide + "[parts.U1]")
    verdict = one(text, stated)
    assert isinstance(verdict, Unknown)
    assert [need.what for need in verdict.needs] == [
        "a narrower motional capacitance of Y1",
        "a narrower shunt capacitance of Y1",
    ]
    assert "[parts.Y1] motional_capacitance" in verdict.needs[0].where


def test_a_straddling_difference_asks_for_the_ranges_that_make_it() -> None:
    text = CRYSTAL + CHIP + caps("20p", "20p")
    verdict = one(text, facts("12 pF to 15", 5) + '[parts.C1]\ncapacitance = "20 pF to 21 pF"\n')
    assert isinstance(verdict, Unknown)
    assert [need.what for need in verdict.needs] == [
        "a narrower load of Y1",
        "a narrower capacitance of C1",
    ]


@pytest.mark.parametrize("missing", PULL.splitlines())
def test_half_of_what_pulls_it_tells_nothing(missing: str) -> None:
    """5 pF off: by the difference, where the other half of the sheet is not stated."""
    half = PULL.replace(missing, "")
    stated = facts(18, 5).replace("[parts.U1]", half + "[parts.U1]")
    verdict = failed(CRYSTAL + CHIP + caps("16p", "16p"), stated)
    assert verdict.limit is not None
    assert verdict.limit.unit == "pF"


def test_a_chip_that_allows_more_and_one_that_allows_it_by_hearsay() -> None:
    card = {
        "title": "a radio chip of ours",
        "role": "radio",
        "matches": ["RX900"],
        "facts": {"clock_tolerance": {"value": "60 ppm", "memory": True}},
        "sources": ["our own sheet, 3"],
    }
    stated = facts(18, 4.5).replace("[parts.U1]", PULL + "[parts.U1]")
    text = CRYSTAL + CHIP + caps("16p", "16p")
    assert isinstance(one(text, stated + 'clock_tolerance = "60 ppm"\n'), Pass)
    told = one(text, stated, card)
    assert isinstance(told, Fail), "53 ppm: a figure from memory widens no limit"
    assert told.limit is not None
    assert told.limit.max == 50


FORK = "Y1 32.768kHz - : 1=XIN 2=XOUT @symbol=Crystal\n"


@pytest.mark.parametrize(("motional", "expected"), [("1.9", Pass), ("2.1", Fail)])
def test_a_tuning_fork_may_be_off_by_a_hundred(motional: str, expected: type) -> None:
    """100 ppm are nine seconds a day (common practice, no source): 2 fF, 1 pF, 4 pF for 9 pF."""
    stated = facts(9, 4).replace(
        "[parts.U1]",
        f'motional_capacitance = "{motional} fF"\nshunt_capacitance = "1 pF"\n[parts.U1]',
    )
    chip = "clock_tolerance = '20 ppm'\nslow_internal_load = true\n"
    bare = FORK + CHIP + caps("0.01p", "0.01p")
    held = one(bare, stated + chip)
    assert isinstance(held, Unknown), "the chip adds what nobody states"
    assert isinstance(one(bare, stated + "clock_tolerance = '20 ppm'\n"), expected)


# -- what to fit ----------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("load", "case"),
    [(7.4, "off"), (7.3, "off"), (7.2, "stray-alone"), (6.5, "stray-alone")],
)
def test_capacitors_under_half_a_picofarad_are_not_proposed(load: float, case: str) -> None:
    verdict = failed(CRYSTAL + CHIP + caps("12p", "12p"), facts(load, 7))
    assert verdict.case == case
    assert bool(verdict.words["value"]) is (case == "off")


def test_the_value_proposed_is_of_the_series() -> None:
    """ST AN2867: 15 pF with 5 pF stray asks for 20 pF on each end."""
    assert failed(CRYSTAL + CHIP + caps("33p", "33p"), facts(15, 5)).words["value"] == "20 pF"
    assert failed(CRYSTAL + CHIP + caps("33p", "33p"), facts(9, 3)).words["value"] == "12 pF"


# -- stop or caution ------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("role", "cap", "severity"),
    [
        ("radio", "26p", None),
        ("controller", "26p", Severity.CAUTION),  # 13 + 3 is twice 8 pF
        ("sensor", "26p", Severity.CAUTION),
        ("controller", "26.1p", None),  # more than twice may not start (ST AN2867, gain margin)
        ("sensor", "26.1p", None),
    ],
)
def test_a_plain_clock_is_only_off_until_twice_its_load(
    role: str, cap: str, severity: Severity | None
) -> None:
    verdict = failed(CRYSTAL + CHIP + caps(cap, cap), facts(8, 3).replace("radio", role))
    assert verdict.severity is severity


def test_a_tuning_fork_on_a_radio_is_a_caution_until_twice_its_load() -> None:
    assert failed(FORK + CHIP + caps("20p", "20p"), facts(7, 3)).severity is Severity.CAUTION
    assert failed(FORK + CHIP + caps("30p", "30p"), facts(7, 3)).severity is None
