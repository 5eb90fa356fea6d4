"""Which of a switch's pins are contacts, which are joined inside, and where they lead."""

from __future__ import annotations

import pytest

from boards import make_board
from rules import outcome

CHIP = 'U1 "" QFN-32 : 1/P1=S1 2/P2=S2 3/GND/pwr=GND\n'


def said(slug: str, switch: str, facts: str = "") -> tuple[str, list[str], list[str]]:
    """Verdict, severities and messages of one rule on one switch beside a chip."""
    result = outcome(slug, make_board(CHIP + switch, facts))
    (covered,) = result.coverage
    found = result.findings
    return covered.verdict, [f.severity.value for f in found], [f.message for f in found]


@pytest.mark.parametrize(
    "rest",
    [
        "MP=GND",  # a fixing by its number
        "MP/MP=GND",
        "EP/EP=GND",  # a fixing by number, the name says no more
        "3/MP=GND",  # by its name
        '"=GND"',  # a pad without number is no contact
        "4//nc=GND",
    ],
)
def test_what_holds_a_switch_is_no_contact(rest: str) -> None:
    switch = f"SW1 - SW_Push_4.2x3.2 : 1=S1 2=~ {rest} @symbol=SW_Push"
    assert said("switch-no-return", switch)[:2] == ("fail", ["stop"])


def test_contacts_whose_numbers_look_like_shields_have_names_of_their_own() -> None:
    switch = "SW1 slide - : S/COM=S1 S1/NO=GND S2/NC=~ @symbol=SW_SPDT"
    assert said("switch-no-return", switch)[0] == "pass"
    shorted = "SW1 slide - : S/COM=S1 S1/NO=S1 S2/NC=~ @symbol=SW_SPDT"
    assert said("switch-always-closed", shorted)[0] == "fail"


def test_contacts_numbered_like_shields_are_contacts_where_there_are_no_others() -> None:
    switch = "SW1 - SW_Push_4.2x3.2 : S1=S1 S2=~ @symbol=SW_Push"
    assert said("switch-no-return", switch)[:2] == ("fail", ["stop"])


# Four pads whose symbol gives joined ones the same name.
NAMED = "SW1 - SW_Push_4.2x3.2 : 1/{}={} 2/{}={} 3/{}={} 4/{}={} @symbol=SW_Push"


@pytest.mark.parametrize(
    ("pins", "verdict"),
    [
        (("A", "S1", "A", "S1", "B", "GND", "B", "GND"), "pass"),
        (("A", "S1", "B", "GND", "A", "S1", "B", "GND"), "pass"),
        (("A", "S1", "B", "GND", "A", "~", "B", "~"), "pass"),
        (("A", "S1", "A", "GND", "B", "~", "B", "~"), "fail"),
        (("A", "S1", "B", "GND", "A", "GND", "B", "~"), "fail"),
    ],
)
def test_pads_of_one_name_are_one_terminal(pins: tuple[str, ...], verdict: str) -> None:
    found, severities, _ = said("switch-always-closed", NAMED.format(*pins))
    assert found == verdict
    assert severities == (["stop"] if verdict == "fail" else [])


def test_the_joints_of_a_card_hold_for_its_own_pad_numbers() -> None:
    pair = "SW1 PTS645 - : 1=S1 2=GND 3=~ 4=~ @symbol=SW_Push"
    verdict, severities, messages = said("switch-always-closed", pair)
    assert (verdict, severities) == ("fail", ["caution"])  # the card is from memory
    assert "from memory" in messages[0]
    held = "SW1 PTS645 - : 1=S1 2=GND 3=~ 4=~ MP=GND @symbol=SW_Push"
    assert said("switch-always-closed", held)[:2] == ("fail", ["caution"])


@pytest.mark.parametrize("facts", ["", '[parts.SW1]\nrole = "push-switch"'])
def test_a_symbol_with_fewer_pads_than_the_card_numbers_joined_ones_alike(facts: str) -> None:
    switch = "SW1 PTS645 - : 1=S1 2=GND @symbol=SW_Push"
    assert said("switch-always-closed", switch, facts)[0] == "pass"
    one = said("switch-no-return", "SW1 PTS645 - : 1=S1 @symbol=SW_Push", facts)
    assert one[0] == "unknown"


def test_joints_stated_in_the_manifest_are_of_the_parts_own_numbers() -> None:
    switch = "SW1 PTS645 - : 1=S1 2=GND @symbol=SW_Push"
    stated = said("switch-always-closed", switch, '[parts.SW1]\njoined_pads = "1 2, 3 4"')
    assert stated[:2] == ("fail", ["stop"])


@pytest.mark.parametrize("spelt", ["1-2 3-4", "1+2 3+4", "1 2, 3 4", "1 2; 3 4", "1/2, 3/4"])
def test_joints_are_read_in_every_usual_spelling(spelt: str) -> None:
    facts = f'[parts.SW1]\njoined_pads = "{spelt}"'
    across = "SW1 - SW_Push_4.2x3.2 : 1=S1 2=GND 3=S1 4=GND @symbol=SW_Push"
    along = "SW1 - SW_Push_4.2x3.2 : 1=S1 2=S1 3=GND 4=GND @symbol=SW_Push"
    assert said("switch-always-closed", across, facts)[:2] == ("fail", ["stop"])
    assert said("switch-always-closed", along, facts)[0] == "pass"


def test_one_group_alone_leaves_the_other_pads_apart() -> None:
    facts = '[parts.SW1]\njoined_pads = "1 2"'
    switch = "SW1 - SW_Push_4.2x3.2 : 1=S1 2=S1 3=GND 4=S2 @symbol=SW_Push"
    assert said("switch-always-closed", switch, facts)[0] == "pass"
    other = "SW1 - SW_Push_4.2x3.2 : 1=S1 2=S2 3=GND 4=GND @symbol=SW_Push"
    assert said("switch-always-closed", other, facts)[0] == "fail"


@pytest.mark.parametrize(
    ("more", "verdict"),
    [
        ("R1 0R R_0402 : X Y", "fail"),  # a link at whose end there is nothing
        ("R1 0R R_0402 : X Y\nC1 1n C_0402 : Y GND", "fail"),
        ("R1 0R R_0402 : X GND", "pass"),
        ("R1 0R R_0402 : X S2", "pass"),
        ("R1 10k R_0402 : X Y", "pass"),  # a resistor is more than a link: not this rule's finding
        ("JP1 - SolderJumper : X S2 @symbol=SolderJumper_2_Open", "pass"),  # may yet be closed
        ("TP1 - TestPoint : X @symbol=TestPoint", "fail"),
        ("C1 100n C_0402 : X GND", "fail"),
        ("L1 600R@100MHz L_0402 : X Y @symbol=Ferrite_Bead", "fail"),
    ],
)
def test_where_a_side_leads(more: str, verdict: str) -> None:
    switch = f"SW1 - SW_Push_4.2x3.2 : S1 X @symbol=SW_Push\n{more}"
    assert said("switch-no-return", switch)[0] == verdict


def test_pins_merely_lettered_a_b_c_say_nothing_of_the_common_contact() -> None:
    lettered = "SW1 - - : 1/A=S1 2/B=~ 3/C=GND @symbol=SW_SPDT"
    assert said("switch-no-return", lettered)[0] == "pass"
    more = "SW1 - - : 1/A=S1 2/B=~ 3/C=GND 4/D=~ @symbol=SW_SPDT"
    assert said("switch-no-return", more)[0] == "pass"
    stated = said("switch-no-return", lettered, '[parts.SW1]\nterminals = { common = "2" }')
    assert stated[0] == "fail"
    assert "common" in stated[2][0]
    named = "SW1 - - : 1/NO=S1 2/COM=~ 3/NC=GND @symbol=SW_SPDT"
    assert said("switch-no-return", named)[0] == "fail"


def test_three_contacts_of_one_row_are_each_a_terminal() -> None:
    apart = "SW1 D2F - : 1=S1 2=GND 3=S2 @symbol=SW_SPDT"
    assert said("switch-always-closed", apart)[0] == "pass"
