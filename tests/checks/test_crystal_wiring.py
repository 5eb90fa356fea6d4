"""Crystals at the edges of what wiring tells: which pads, which capacitors, which chip."""

from __future__ import annotations

from typing import Any

import pytest

from boards import make_board
from counterpoise.catalog.cards import read_cards
from counterpoise.checks._crystals import Clock, clock_of
from counterpoise.model.verdicts import Fail, Pass, Severity, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from rules import verdicts

CHIP = "U1 RX900 QFN-32 : 1/XIN=XIN 2/XOUT=XOUT 3/VDD/pwr=+3V3 4/GND/pwr=GND 5/RF=ANT\n"
FOUR = "Y1 16MHz Crystal_3225 : {} @symbol={}\n"
TWO = "Y1 16MHz Crystal_3215 : 1={} 2={} @symbol=Crystal\n"
CAPS = "C1 22p C_0402 : XIN GND\nC2 22p C_0402 : XOUT GND\n"


def one(slug: str, text: str, facts: str = "") -> Verdict:
    (verdict,) = verdicts(slug, make_board(text, facts))
    return verdict


def failed(slug: str, text: str, facts: str = "") -> Fail:
    verdict = one(slug, text, facts)
    assert isinstance(verdict, Fail), verdict
    return verdict


def the_clock(text: str, facts: str = "") -> Clock:
    board = make_board(text, facts)
    clock = clock_of(board, board.parts_as("crystal")[0])
    assert clock is not None
    return clock


def loads(clock: Clock) -> list[list[str]]:
    return [[c.ref for c in side.capacitors] for side in clock.sides]


# -- which pads -----------------------------------------------------------------------------------
FORK = "Y1 32.768kHz - : 1=XIN 2=N2 3=N3 4=XOUT @symbol=Crystal\n"


def test_pads_that_no_other_part_is_on_carry_no_resonator() -> None:
    """A drawing may give each open pad a net of its own: the two that lead on are the ends."""
    assert the_clock(FORK + CHIP + CAPS).nets == ("XIN", "XOUT")
    joined = FORK + CHIP + CAPS + "R1 0R - : N2 N3\n"
    assert isinstance(one("crystal-caps-missing", joined), Unknown)


def test_of_three_live_pads_the_symbols_order_tells_the_ends() -> None:
    chip = CHIP.replace("5/RF=ANT", "5/RF=ANT 6/IO=XB")
    swung = FOUR.format("1=XIN 2=XB 3=XOUT 4=GND", "Crystal_GND24")
    assert the_clock(swung + chip + CAPS).nets == ("XIN", "XOUT")
    assert isinstance(one("crystal-caps-missing", swung + chip + CAPS), Pass)


@pytest.mark.parametrize(
    ("pads", "symbol"),
    [
        ("1/X1={} 2/GND={} 3/GND={} 4/X2={}", "Crystal"),
        ("1/A={} 2/NC={} 3/CASE={} 4/B={}", "Crystal"),
        ("1={} 2={} 3={} 4={}", "Crystal_GND23"),
    ],
    ids=["all named", "case named", "by the symbol"],
)
def test_named_pads_are_firm(pads: str, symbol: str) -> None:
    right = FOUR.format(pads.format("XIN", "GND", "GND", "XOUT"), symbol)
    assert isinstance(one("crystal-pads", right + CHIP), Pass)
    told = failed(
        "crystal-pads", FOUR.format(pads.format("XIN", "XOUT", "N", "GND"), symbol) + CHIP
    )
    assert told.case == "turned"
    assert told.firm
    assert (told.words["grounded"], told.words["swung"]) == ("pad 4", "pad 2")


def test_one_megahertz_is_no_tuning_fork() -> None:
    """AT-cut crystals begin at about a megahertz (common practice, no source)."""
    facts = '[parts.U1]\nrole = "radio"\nfrequency = "1 MHz"\n'
    text = TWO.format("XIN", "XOUT").replace("16MHz", "1MHz") + CHIP
    assert isinstance(one("crystal-frequency", text, facts), Pass)
    below = text.replace("1MHz", "0.9MHz")
    assert isinstance(one("crystal-frequency", below, facts), Skip)
    assert isinstance(one("crystal-frequency", text.replace("1MHz", "1.2MHz"), facts), Fail)


UNMARKED = (
    "Y1 - Crystal_3215 : 1=XA 2=XB @symbol=Crystal\n"
    "U1 ZQ900 QFN-16 : 1/LA={} 2/LB={} 3/HA={} 4/HB={} 5/VDD=V 6/GND=GND\n"
)
CARD: dict[str, Any] = {
    "title": "a chip of ours with two oscillators",
    "role": "controller",
    "matches": ["ZQ900"],
    "pins": {
        "slow-oscillator-in": "LA",
        "slow-oscillator-out": "LB",
        "oscillator-in": "HA",
        "oscillator-out": "HB",
    },
    "facts": {"internal_load": True},
    "sources": ["our own sheet, 3"],
}


def test_a_crystal_without_a_frequency_is_slow_by_the_pins_it_is_on() -> None:
    def judged(*nets: str) -> Verdict:
        board = Board(make_board(UNMARKED.format(*nets)).design, read_cards("own", {"A": CARD}))
        (verdict,) = verdicts("crystal-caps-missing", board)
        return verdict

    assert isinstance(judged("LA", "LB", "XA", "XB"), Pass), "the chip holds its capacitors"
    assert isinstance(judged("XA", "XB", "HA", "HB"), Fail), "but not those of the slow one"


# -- which capacitors -----------------------------------------------------------------------------
def test_a_resistor_right_across_the_crystal_leads_to_no_further_capacitor() -> None:
    series = "R1 330 R_0402 : XO XOUT\nR2 1M R_0402 : XIN XO\n"
    caps = "C1 22p C_0402 : XIN GND\nC2 22p C_0402 : XO GND\n"
    for ends in (("XIN", "XO"), ("XO", "XIN")):
        clock = the_clock(TWO.format(*ends) + CHIP + series + caps)
        assert sorted(loads(clock)) == [["C1"], ["C2"]]
        assert clock.chip is not None


def test_only_the_way_to_the_chip_has_load_capacitors() -> None:
    ways = "R1 330 R_0402 : XO XOUT\nR2 10k R_0402 : XO TEST\nC9 100n C_0402 : TEST GND\n"
    caps = "C1 22p C_0402 : XIN GND\nC2 22p C_0402 : XOUT GND\n"
    clock = the_clock(TWO.format("XIN", "XO") + CHIP + ways + caps)
    assert loads(clock) == [["C1"], ["C2"]]


def test_where_no_chip_hears_the_end_the_capacitors_behind_the_resistor_still_count() -> None:
    open_end = TWO.format("XIN", "XO") + CHIP + "R1 330 R_0402 : XO FAR\n"
    clock = the_clock(open_end + "C1 22p C_0402 : XIN GND\nC2 22p C_0402 : FAR GND\n")
    assert loads(clock) == [["C1"], ["C2"]]


@pytest.mark.parametrize(
    ("ways", "expected"),
    [
        ("R1 330 R_0402 : XO XOUT\n", Pass),
        ("R1 330 R_0402 : XO N1\nL1 100n L_0402 : N1 XOUT\n", Pass),
        ("R1 330 R_0402 : XO N1\nL1 100n L_0402 : N1 N2\nR2 330 R_0402 : N2 XOUT\n", Fail),
        ("R1 330 R_0402 : XO N1\nC3 22p C_0402 : N1 XOUT\n", Fail),
        ("R1 330 R_0402 : XO GND\nR2 330 R_0402 : GND XOUT\n", Fail),
    ],
    ids=["one", "two", "three", "through a capacitor", "through ground"],
)
def test_up_to_two_series_parts_lead_to_the_chip(ways: str, expected: type) -> None:
    assert isinstance(one("crystal-pads", TWO.format("XIN", "XO") + CHIP + ways), expected)


def test_a_capacitor_between_the_ends_is_not_one_to_ground() -> None:
    across = TWO.format("XIN", "XOUT") + CHIP + "C1 22p C_0402 : XIN XOUT\n"
    assert loads(the_clock(across)) == [[], []]
    signal = TWO.format("XIN", "XOUT") + CHIP + "C1 22p C_0402 : XIN IO\nC2 22p C_0402 : XOUT IO\n"
    assert loads(the_clock(signal + "U2 - SOIC-8 : 1/IO=IO\n")) == [[], []]


# -- which chip -----------------------------------------------------------------------------------
SECOND = "U0 BUF1 SOT-23-5 : 1/A={} 2/GND=GND\n"


@pytest.mark.parametrize("taken", ["XIN", "XOUT"])
def test_the_chip_is_that_on_both_ends(taken: str) -> None:
    clock = the_clock(SECOND.format(taken) + TWO.format("XIN", "XOUT") + CHIP)
    assert clock.chip is not None
    assert clock.chip.ref == "U1"


def test_two_chips_with_an_end_each_are_still_a_clock() -> None:
    half = CHIP.replace("2/XOUT=XOUT ", "")
    clock = the_clock(half + SECOND.format("XOUT") + TWO.format("XIN", "XOUT"))
    assert clock.chip is not None
    assert clock.chip.ref == "U1"
    assert the_clock(TWO.format("XIN", "XOUT") + CAPS).chip is None


# -- what the chip holds --------------------------------------------------------------------------
def own_chip(line: str, **change: object) -> Board:
    card = {**CARD, "facts": {}, **change}
    return Board(make_board(line).design, read_cards("own", {"A": card}))


def missing(board: Board) -> Verdict:
    return next(iter(verdicts("crystal-caps-missing", board)))


FAST = "Y1 16MHz - : HA HB @symbol=Crystal\n"
FORK_ON = "Y1 32.768kHz - : LA LB @symbol=Crystal\n"
BOTH = "U1 ZQ900 QFN-16 : 1/LA=LA 2/LB=LB 3/HA=HA 4/HB=HB 5/VDD=V 6/GND=GND\n"


@pytest.mark.parametrize(
    ("stated", "case", "doubt"),
    [
        ({"internal_load": False}, "needed", ""),
        ({"internal_load": {"value": False, "memory": True}}, "needed", "none is from memory"),
        ({"internal_load_capacitance": "0 pF"}, "needed", ""),
        ({"internal_load_capacitance": "0 pF to 8 pF"}, "", ""),
        ({"slow_internal_load": False}, "unsure", ""),
        ({}, "unsure", ""),
    ],
)
def test_what_the_chip_holds_tells_whether_capacitors_are_missing(
    stated: dict[str, object], case: str, doubt: str
) -> None:
    verdict = missing(own_chip(FAST + BOTH, facts=stated))
    if not case:
        assert isinstance(verdict, Pass)
        return
    assert isinstance(verdict, Fail)
    assert verdict.case == case
    assert verdict.firm is not bool(doubt)
    assert doubt in verdict.doubt
    assert bool(verdict.doubt) is bool(doubt)
    assert verdict.severity is (None if case == "needed" else Severity.CAUTION)


SLOW_ONLY = {"slow-oscillator-in": "LA", "slow-oscillator-out": "LB"}


@pytest.mark.parametrize(
    ("pins", "stated", "case"),
    [
        (CARD["pins"], {"internal_load": True}, "unsure"),  # that of the fast one
        (CARD["pins"], {"slow_internal_load": True}, ""),
        (CARD["pins"], {"slow_internal_load": False, "internal_load": True}, "needed"),
        (CARD["pins"], {"internal_load_capacitance": "8 pF"}, "unsure"),
        (SLOW_ONLY, {"internal_load": True}, ""),  # a clock chip has no other
        (SLOW_ONLY, {"slow_internal_load": False, "internal_load": True}, "needed"),
        (SLOW_ONLY, {"slow_internal_load": True}, ""),
        ({"supply": "VDD"}, {"internal_load": True}, "unsure"),
    ],
)
def test_a_tuning_fork_asks_for_the_slow_oscillators_capacitors(
    pins: dict[str, str], stated: dict[str, object], case: str
) -> None:
    verdict = missing(own_chip(FORK_ON + BOTH, pins=pins, facts=stated))
    assert isinstance(verdict, Fail if case else Pass)
    if isinstance(verdict, Fail):
        assert verdict.case == case


def test_a_crystal_by_its_value_alone_is_no_stop() -> None:
    board = own_chip(FAST.replace("Y1", "P1").replace(" @symbol=Crystal", "") + BOTH)
    told = missing(board)
    assert isinstance(told, Fail)
    needed = missing(
        own_chip(
            FAST.replace("Y1", "P1").replace(" @symbol=Crystal", "") + BOTH,
            facts={"internal_load": {"value": False, "memory": True}},
        )
    )
    assert isinstance(needed, Fail)
    assert not needed.firm
    assert "16MHz" in needed.doubt
    assert "memory" in needed.doubt


def test_only_the_capacitors_of_the_bare_nets_are_told_as_unfitted() -> None:
    drawn = "C1 22p - : HA GND @dnp\nC9 1u - : V GND @dnp\nR9 1k - : HB GND @dnp\n"
    one_left = missing(own_chip(FAST + BOTH + drawn))
    assert isinstance(one_left, Fail)
    assert one_left.words["drawn"] == "; C1 is drawn but not fitted"
    two_left = missing(own_chip(FAST + BOTH + drawn + "C2 22p - : GND HB @dnp\n"))
    assert isinstance(two_left, Fail)
    assert two_left.words["drawn"] == "; C1 and C2 are drawn but not fitted"


def test_each_crystal_is_judged_whatever_the_one_before_it_lacks() -> None:
    odd = "Y0 16MHz - : 1=A 2=B 3=C 4=D 5=E @symbol=Crystal\nU9 RX900 QFN-32 : A B C D E GND\n"
    board = make_board(odd + TWO.format("XIN", "XOUT") + CHIP)
    assert [type(v) for v in verdicts("crystal-caps-missing", board)] == [Unknown, Fail]
    assert [type(v) for v in verdicts("crystal-load", board)] == [Unknown, Skip]
    assert [type(v) for v in verdicts("crystal-caps-unequal", board)] == [Skip]


# -- crystal-pads, one by one ---------------------------------------------------------------------
def test_a_case_pad_on_the_net_of_the_pad_beside_it_swings_with_it_harmlessly() -> None:
    text = FOUR.format("1=XIN 2=XIN 3=XOUT 4=GND", "Crystal_GND24") + CHIP
    assert isinstance(one("crystal-pads", text), Pass)


@pytest.mark.parametrize(
    ("ends", "open_pads"),
    [("1=XIN 2=~", "pad 2"), ("1=ALONE 2=~", "pads 1 and 2"), ("1=~ 2=~", "pads 1 and 2")],
)
def test_which_pads_lead_nowhere(ends: str, open_pads: str) -> None:
    told = failed("crystal-pads", f"Y1 16MHz - : {ends} @symbol=Crystal\n" + CHIP)
    assert (told.case, told.words["pads"]) == ("open", open_pads)


def test_a_chip_without_a_card_on_the_same_line_hides_no_wrong_pin() -> None:
    first = "U0 BUF1 SOT-23-5 : 1/A=IO 2/GND=GND\n"
    chip = BOTH.replace("5/VDD=V", "5/VDD=V 7/IO=IO")
    board = own_chip(first + FAST.replace("HA HB", "IO HB") + chip)
    (told,) = verdicts("crystal-pads", board)
    assert isinstance(told, Fail)
    assert (told.case, told.subjects) == ("wrong-pin", ("Y1", "U1"))


def test_both_pads_on_one_net_are_a_stop_though_the_pad_order_is_a_guess() -> None:
    told = failed("crystal-pads", FOUR.format("1=XIN 2=GND 3=XIN 4=GND", "Crystal") + CHIP)
    assert (told.case, told.firm, told.doubt) == ("bridged", True, "")


@pytest.mark.parametrize(
    ("value", "firm"), [("16MHz", True), ("32.768kHz 12pF", False)], ids=["AT cut", "tuning fork"]
)
def test_a_quarter_turn_by_habit_stops_for_an_at_cut_alone(value: str, firm: bool) -> None:
    """Tuning forks have the resonator at 1 and 4 as often (Jauch SMQ32 data sheet)."""
    chip = CHIP.replace("1/XIN", "1/X1").replace("2/XOUT", "2/X2")
    text = f'Y1 "{value}" Crystal_3225 : 1=GND 2=XIN 3=GND 4=XOUT @symbol=Crystal\n' + chip
    verdict = one("crystal-pads", text)
    if firm:
        assert isinstance(verdict, Fail)
        assert (verdict.case, verdict.firm, verdict.doubt) == ("turned", True, "")
    else:
        assert not (isinstance(verdict, Fail) and verdict.firm)


@pytest.mark.parametrize("memory", [False, True])
def test_pads_on_a_card_are_firm_where_it_was_read(memory: bool) -> None:
    card = {
        "title": "a crystal of ours",
        "role": "crystal",
        "matches": ["ZX12"],
        "facts": {"oscillator_pads": {"value": "1 4", "memory": memory}, "frequency": "16 MHz"},
        "sources": ["our own sheet, 2"],
    }
    text = FOUR.format("1=XIN 2=GND 3=XOUT 4=GND", "Crystal").replace("16MHz", "ZX12") + CHIP
    board = Board(make_board(text).design, read_cards("own", {"A": card}))
    (verdict,) = verdicts("crystal-pads", board)
    assert isinstance(verdict, Fail)
    assert verdict.firm is not memory
    assert verdict.doubt == ("the pads that its card states are from memory" if memory else "")
