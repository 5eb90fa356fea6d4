"""A crystal's frequency, its budget and its start, at and beside each limit."""

from __future__ import annotations

from typing import Any

import pytest

from boards import make_board
from counterpoise.catalog.cards import all_cards, read_cards
from counterpoise.model.verdicts import Fail, Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from rules import verdicts

CHIP = "U1 RX900 QFN-32 : 1/XIN=XIN 2/XOUT=XOUT 3/VDD/pwr=+3V3 4/GND/pwr=GND 5/RF=ANT\n"
CRYSTAL = "Y1 {} Crystal_3225 : 1=XIN 2=GND 3=XOUT 4=GND @symbol=Crystal_GND24\n"
CAPS = "C1 12p C_0402 : XIN GND\nC2 12p C_0402 : XOUT GND\n"
RADIO = '[parts.U1]\nrole = "radio"\n'
OWN: dict[str, Any] = {
    "title": "a part of ours",
    "matches": [],
    "sources": ["our own sheet, 3"],
}


def own_card(code: str, role: str, **facts: object) -> dict[str, Any]:
    return {**OWN, "role": role, "matches": [code], "facts": facts}


def one(slug: str, text: str, facts: str = "", *cards: dict[str, Any]) -> Verdict:
    own = read_cards("own.toml", {f"card{k}": card for k, card in enumerate(cards)})
    board = Board(make_board(text, facts).design, (*own, *all_cards()))
    (verdict,) = verdicts(slug, board)
    return verdict


def remembered(value: str) -> dict[str, object]:
    return {"value": value, "memory": True}


# -- crystal-frequency ----------------------------------------------------------------------------
ASKED = RADIO + 'frequency = "32 MHz"\n'


@pytest.mark.parametrize(
    ("marked", "expected"),
    [
        ("32.031MHz", Pass),  # under 1000 ppm over
        ("32.033MHz", Fail),
        ("31.969MHz", Pass),  # and under
        ("31.967MHz", Fail),
        ("48MHz", Fail),
        ("24MHz", Fail),
    ],
)
def test_a_thousandth_apart_is_the_same_frequency(marked: str, expected: type) -> None:
    text = CRYSTAL.format(marked) + CHIP + CAPS
    assert isinstance(one("crystal-frequency", text, ASKED), expected)


def test_both_frequencies_are_told_to_their_last_figure() -> None:
    verdict = one("crystal-frequency", CRYSTAL.format("14.7456MHz") + CHIP, ASKED)
    assert isinstance(verdict, Fail)
    assert (verdict.words["marked"], verdict.words["asked"]) == ("14.7456 MHz", "32 MHz")
    wide = ASKED.replace("32 MHz", "4 MHz to 12 MHz")
    verdict = one("crystal-frequency", CRYSTAL.format("14.7456MHz") + CHIP, wide)
    assert isinstance(verdict, Fail)
    assert verdict.words["asked"] == "4 to 12 MHz"
    assert verdict.measured is not None
    assert verdict.measured.value == pytest.approx(14.7456)
    assert verdict.limit is not None
    assert (verdict.limit.min, verdict.limit.max) == (4, 12)


def test_a_radio_of_unknown_frequency_cannot_be_judged_and_a_controller_need_not_be() -> None:
    text = CRYSTAL.format("16MHz") + CHIP + CAPS
    verdict = one("crystal-frequency", text, RADIO)
    assert isinstance(verdict, Unknown)
    assert verdict.needs[0].where == 'board.toml: [parts.U1] frequency = "16 MHz"'
    assert isinstance(one("crystal-frequency", text, RADIO.replace("radio", "controller")), Skip)


def test_a_frequency_from_memory_is_no_stop() -> None:
    text = CRYSTAL.format("16MHz") + CHIP.replace("RX900", "ZQ900") + CAPS
    sure = one("crystal-frequency", text, "", own_card("ZQ900", "radio", frequency="32 MHz"))
    assert isinstance(sure, Fail)
    assert (sure.firm, sure.doubt) == (True, "")
    recalled = own_card("ZQ900", "radio", frequency=remembered("32 MHz"))
    unsure = one("crystal-frequency", text, "", recalled)
    assert isinstance(unsure, Fail)
    assert (unsure.firm, unsure.doubt) == (False, "a figure is from memory")


def test_a_crystal_that_is_one_by_its_value_alone_is_no_stop() -> None:
    text = "P1 16MHz - : XIN XOUT\n" + CHIP
    verdict = one("crystal-frequency", text, ASKED)
    assert isinstance(verdict, Fail)
    assert not verdict.firm
    assert "16MHz" in verdict.doubt


# -- radio-frequency-error ------------------------------------------------------------------------
BOARD = '[board]\nstray = "3 pF"\n'
FIFTEEN_FOUR = BOARD + 'radio = "ieee-802.15.4"\n'
STATED = '[parts.Y1]\nload = "9 pF"\ntolerance = "10 ppm"\nstability = "{} ppm"\nageing = "3 ppm"\n'
STIFF = 'motional_capacitance = "4 fF"\nshunt_capacitance = "1.2 pF"\n'
SIXTEEN = CRYSTAL.format("16MHz")


@pytest.mark.parametrize(
    ("stability", "expected"), [("27", Pass), ("27.01", Fail)], ids=["40 ppm", "over"]
)
def test_trimmed_in_firmware_the_load_adds_nothing(stability: str, expected: type) -> None:
    """±40 ppm: IEEE Std 802.15.4."""
    facts = FIFTEEN_FOUR + RADIO + 'internal_load_capacitance = "0 pF to 20 pF"\n'
    verdict = one("radio-frequency-error", SIXTEEN + CHIP, facts + STATED.format(stability))
    assert isinstance(verdict, expected)


def test_the_standard_may_stand_on_the_chips_card_and_is_no_stop_from_memory() -> None:
    text = SIXTEEN + CHIP.replace("RX900", "ZQ900") + CAPS
    facts = BOARD + STATED.format(28) + STIFF
    sure = one(
        "radio-frequency-error", text, facts, own_card("ZQ900", "radio", radio_standard="Zigbee")
    )
    assert isinstance(sure, Fail)
    assert (sure.firm, sure.words["standard"]) == (True, "Zigbee")
    recalled = own_card("ZQ900", "radio", radio_standard=remembered("Zigbee"))
    unsure = one("radio-frequency-error", text, facts, recalled)
    assert isinstance(unsure, Fail)
    assert not unsure.firm
    stated = one("radio-frequency-error", text, facts.replace(BOARD, FIFTEEN_FOUR), recalled)
    assert isinstance(stated, Fail)
    assert stated.firm, "the manifest states it"


def test_a_sheet_budget_from_memory_is_no_stop() -> None:
    text = SIXTEEN + CHIP.replace("RX900", "ZQ900") + CAPS
    facts = BOARD + STATED.format(28) + STIFF
    card = own_card("ZQ900", "radio", clock_tolerance=remembered("20 ppm"))
    verdict = one("radio-frequency-error", text, facts, card)
    assert isinstance(verdict, Fail)
    assert (verdict.firm, verdict.words["allowed"]) == (False, "20 ppm")


def test_a_crystals_figure_from_memory_is_no_stop() -> None:
    text = CRYSTAL.format("ZX12") + CHIP + CAPS
    facts = FIFTEEN_FOUR + RADIO + STATED.format(28)
    sheet = {"motional_capacitance": "4 fF", "shunt_capacitance": "1.2 pF", "frequency": "16 MHz"}
    sure = one("radio-frequency-error", text, facts, own_card("ZX12", "crystal", **sheet))
    assert isinstance(sure, Fail)
    assert sure.firm
    recalled = {**sheet, "motional_capacitance": remembered("4 fF")}
    unsure = one("radio-frequency-error", text, facts, own_card("ZX12", "crystal", **recalled))
    assert isinstance(unsure, Fail)
    assert not unsure.firm
    assert "memory" in unsure.doubt


def test_a_tuning_fork_and_a_controllers_crystal_have_no_radio_budget() -> None:
    facts = FIFTEEN_FOUR + STATED.format(40)
    fork = "Y1 32.768kHz - : 1=XIN 2=XOUT @symbol=Crystal\n" + CHIP + CAPS
    assert isinstance(one("radio-frequency-error", fork, facts + RADIO), Skip)
    other = SIXTEEN + CHIP + CAPS
    controller = RADIO.replace("radio", "controller")
    assert isinstance(one("radio-frequency-error", other, facts + controller), Skip)
    unnamed = other.replace("RX900", "-").replace("5/RF=ANT", "5=ANT")
    assert isinstance(
        one("radio-frequency-error", unnamed, BOARD + STATED.format(40) + STIFF), Skip
    )


@pytest.mark.parametrize("stiff", ["", STIFF], ids=["usual pull", "computed"])
def test_a_load_on_both_sides_of_its_cut_may_add_nothing(stiff: str) -> None:
    """6 pF and a stray of 2 to 5 pF straddle 9 pF: 33 ppm alone keep the budget, with the pull of
    two picofarads they do not."""
    facts = '[board]\nradio = "ieee-802.15.4"\n' + RADIO + STATED.format(20) + stiff
    verdict = one("radio-frequency-error", SIXTEEN + CHIP + CAPS, facts)
    assert isinstance(verdict, Unknown)
    asked = [need.what for need in verdict.needs]
    assert "the stray capacitance across the crystal (tracks and both pins)" in asked
    assert "a narrower tolerance of Y1" in asked
    for key in ("motional capacitance", "shunt capacitance"):
        assert (f"the {key} of Y1" in asked) is not bool(stiff)
    assert "the ageing of Y1" not in asked


def test_what_a_picofarad_pulls_where_the_sheet_says_nothing() -> None:
    """1 pF off pulls 8 to 25 ppm (common practice, no source)."""
    facts = FIFTEEN_FOUR + RADIO + STATED
    for stray, expected in (("3.28", Pass), ("3.29", Unknown), ("3.87", Unknown), ("3.88", Fail)):
        told = facts.replace("3 pF", f"{stray} pF").format(20)
        verdict = one("radio-frequency-error", SIXTEEN + CHIP + CAPS, told)
        assert isinstance(verdict, expected), stray


# -- crystal-start-margin -------------------------------------------------------------------------
START = (
    '[board]\nstray = "5 pF"\n[parts.U1]\nrole = "controller"\ntransconductance = "{} mS"\n'
    '[parts.Y1]\nload = "10 pF"\nesr = "80 ohm"\nshunt_capacitance = "7 pF"\n'
)
"""ST AN2867, gain margin example: 8 MHz, 80 Ω, 7 pF, 10 pF; 25 mS give 107, 2 mS a twelfth."""
EIGHT = CRYSTAL.format("8MHz") + CHIP + "C1 10p C_0402 : XIN GND\n"


@pytest.mark.parametrize(
    ("series", "margin"),
    [
        ("R1 0R R_0402 : XO XOUT", None),
        ("R1 80R R_0402 : XO XOUT", 4.28),  # twice the ESR: half the margin
        ("R1 TBD R_0402 : XO XOUT", None),  # unreadable: counts as none
        ("L1 80u L_0402 : XO XOUT", None),  # 80 µH are no ohms
        ("R1 80R R_0402 : XO N1\nR2 160R R_0402 : N1 XOUT", 2.14),
    ],
)
def test_a_series_resistor_takes_its_part_of_the_gain(series: str, margin: float | None) -> None:
    text = EIGHT.replace("3=XOUT", "3=XO") + f"C2 10p C_0402 : XO GND\n{series}\n"
    verdict = one("crystal-start-margin", text, START.format(2))
    if margin is None:
        assert isinstance(verdict, Pass)
        return
    assert isinstance(verdict, Fail)
    assert verdict.measured is not None
    assert verdict.measured.value == pytest.approx(margin, abs=0.01)


@pytest.mark.parametrize(
    ("sure", "wide", "asked"),
    [
        ('"5 pF"', '"1 pF to 12 pF"', "the stray capacitance across the crystal"),
        ('"80 ohm"', '"60 ohm to 200 ohm"', "a narrower esr of Y1"),
        ('"7 pF"', '"5 pF to 15 pF"', "a narrower shunt capacitance of Y1"),
        ('"2 mS"', '"1 mS to 2 mS"', "a narrower transconductance of U1"),
    ],
)
def test_cannot_judge_asks_for_what_straddles(sure: str, wide: str, asked: str) -> None:
    text = EIGHT + "C2 10p C_0402 : XOUT GND\n"
    assert isinstance(one("crystal-start-margin", text, START.format(2)), Pass)
    verdict = one("crystal-start-margin", text, START.format(2).replace(sure, wide))
    assert isinstance(verdict, Unknown)
    (need,) = verdict.needs
    assert need.what.startswith(asked)


@pytest.mark.parametrize(("most", "expected"), [("10 pF", Pass), ("40 pF", Unknown)])
def test_trimmed_in_firmware_the_crystals_own_load_starts_it(most: str, expected: type) -> None:
    chip = 'transconductance = "2 mS"\ninternal_load_capacitance = "0 pF to 30 pF"\n'
    facts = START.format(2).replace('transconductance = "2 mS"\n', chip).split("\n", 2)[2]
    bare = CRYSTAL.format("8MHz") + CHIP
    verdict = one("crystal-start-margin", bare, facts.replace('"10 pF"', f'"8 pF to {most}"'))
    assert isinstance(verdict, expected)
    if isinstance(verdict, Unknown):
        assert [need.what for need in verdict.needs] == ["a narrower load of Y1"]
