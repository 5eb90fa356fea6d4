"""Switches that are bridged or lead nowhere: pads joined inside, open sides, contacts in doubt."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass, Skip, Unknown, Verdict
from rules import verdicts

CHIP = 'U1 "" QFN-32 : 1/P1=S1 2/P2=S2 3/GND/pwr=GND 4/P4=S3\n'
JOINED = '[parts.SW1]\njoined_pads = "1 2, 3 4"\n'
CHANGE_OVER = (
    '[parts.SW1]\nrole = "change-over-switch"\n'
    'terminals = { common = "1", open = "2", closed = "3" }\n'
)


def judged(slug: str, switch: str, facts: str = "") -> Verdict:
    (found,) = verdicts(slug, make_board(f"{CHIP}{switch}\n", facts))
    return found


def closed(pins: str, facts: str = "", head: str = "SW1 - SW_Push", more: str = "") -> Verdict:
    symbol = "" if "@" in pins or "LETTERS" in head else " @symbol=SW_Push"
    return judged("switch-always-closed", f"{head} : {pins}{symbol}\n{more}", facts)


def leads(pins: str, facts: str = "", head: str = "SW1 - SW_Push", more: str = "") -> Verdict:
    return judged("switch-no-return", f"{head} : {pins} @symbol=SW_Push\n{more}", facts)


def failed(found: Verdict) -> Fail:
    assert isinstance(found, Fail), found
    return found


# -- bridged --------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("head", "facts", "firm", "doubt"),
    [
        ("SW1 - SW_Push", JOINED, True, ""),
        # A card's joints from memory; a switch known by its reference letters alone.
        ("SW1 PTS645 SW_PUSH_6mm", "", False, "from memory"),
    ],
)
def test_a_joined_pair_on_two_nets(head: str, facts: str, firm: bool, doubt: str) -> None:
    found = failed(closed("1=S1 2=GND 3=~ 4=~", facts, head))
    assert (found.case, found.firm) == ("pair", firm)
    assert found.words["nets"] == '"GND" and "S1"'
    assert (doubt in found.doubt) if doubt else found.doubt == ""


def test_a_switch_by_its_letters_alone_is_in_doubt() -> None:
    facts = '[parts.SW1]\njoined_pads = "1 2, 3 4"\n'
    for pins, case in (("1=S1 2=GND 3=~ 4=~", "pair"), ("1=S1 2=S1 3=S1 4=S1", "bridged")):
        found = failed(judged("switch-always-closed", f"SW1 RESET TX-99 : {pins}", facts))
        assert (found.case, found.firm) == (case, False)
        assert "reference letters" in found.doubt


def test_the_second_pair_is_looked_at_too() -> None:
    found = failed(closed("1=S1 2=S1 3=GND 4=S2", JOINED))
    assert (found.case, found.words["pads"]) == ("pair", "3 and 4")


@pytest.mark.parametrize(
    ("pins", "facts", "kind"),
    [
        # Two of four pads, on one net, and nobody tells which are joined: its other side is open.
        ("1=S1 2=S1 3=~ 4=~", "", Pass),
        ("1=S1 2=~ 3=S1 4=~", "", Pass),
        # Stated: joined pads are one terminal, and the other is not in use.
        ("1=S1 2=S1 3=~ 4=~", JOINED, Skip),
        ("1=S1 2=~ 3=S1 4=~", JOINED, Fail),
        # All four on one net; three pads; two.
        ("1=S1 2=S1 3=S1 4=S1", "", Fail),
        ("1=S1 2=S1 3=~", "", Fail),
        ("1=S1 2=S1", "", Fail),
        ("1=S1 2=~", "", Skip),
        ("1=~ 2=~", "", Skip),
    ],
)
def test_one_net_on_every_pad_in_use(pins: str, facts: str, kind: type) -> None:
    assert isinstance(closed(pins, facts), kind)


@pytest.mark.parametrize(
    ("pins", "asked"),
    [
        # Usual joints are 1-2 and 3-4 (common practice, no source).
        ("1=S1 2=S1 3=GND 4=GND", False),
        ("1=S1 2=~ 3=GND 4=~", False),
        ("1=S1 2=~ 3=~ 4=GND", False),
        ("1=~ 2=S1 3=~ 4=GND", False),
        ("1=S1 2=GND 3=~ 4=~", True),
        ("1=~ 2=~ 3=S1 4=GND", True),
        ("1=S1 2=GND 3=S1 4=GND", True),
        ("1=S1 2=S1 3=GND 4=S2", True),
        # Other numbers: no habit tells.
        ("1=S1 2=GND 3=~ 4=~ 5=~", False),
        ("A=S1 B=GND C=~ D=~", False),
    ],
)
def test_which_wiring_of_four_pads_waits_for_the_joints(pins: str, asked: bool) -> None:
    found = closed(pins)
    assert isinstance(found, Unknown if asked else Pass)


def test_a_link_between_the_pads_of_a_pair_makes_them_one() -> None:
    link = "R1 0 R_0402 : S1 LINKED"
    assert isinstance(closed("1=S1 2=LINKED 3=GND 4=GND", more=link), Pass)
    assert isinstance(closed("1=S1 2=LINKED 3=GND 4=GND"), Unknown)


def test_a_slide_switch_with_four_contacts_has_no_usual_joints() -> None:
    facts = '[parts.SW1]\nrole = "slide-switch"\n'
    assert isinstance(closed("1=S1 2=GND 3=~ 4=S2", facts), Pass)


@pytest.mark.parametrize(
    ("pins", "bridged"),
    [
        ("1=S1 2=S1 3=GND", True),
        ("1=GND 2=GND 3=S1", True),
        # Common and normally-closed on one net: pressing it takes the net to the third.
        ("1=S1 2=GND 3=S1", False),
        ("1=S1 2=GND 3=GND", False),
        ("1=~ 2=S1 3=GND", False),
        ("1=S1 2=~ 3=GND", False),
    ],
)
def test_the_common_contact_shorted_to_the_open_one(pins: str, bridged: bool) -> None:
    found = closed(pins, CHANGE_OVER, "SW1 D2F -")
    if bridged:
        assert failed(found).case == "bridged"
        assert failed(found).words["pads"] == "1 and 2"
    else:
        assert isinstance(found, Pass)


# -- leading nowhere ------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("pins", "facts", "case"),
    [
        ("1=S1 2=GND 3=~", CHANGE_OVER, ""),
        ("1=S1 2=~ 3=GND", CHANGE_OVER, ""),
        ("1=~ 2=S1 3=GND", CHANGE_OVER, "common"),
        ("1=LOST 2=S1 3=GND", CHANGE_OVER, "common"),
        ("1=~ 2=S1 3=S1", CHANGE_OVER, "common"),
        ("1=S1 2=~ 3=~", CHANGE_OVER, "one"),
        ("1=~ 2=~ 3=S1", CHANGE_OVER, "common"),
        ("1=~ 2=~ 3=~", CHANGE_OVER, "none"),
        ("1=LOST 2=GONE 3=~", CHANGE_OVER, "none"),
        # Its contacts told by nobody, or from memory: it may be the third that is open.
        ("1=~ 2=S1 3=GND", '[parts.SW1]\nrole = "change-over-switch"\n', ""),
    ],
)
def test_a_change_over_switch(pins: str, facts: str, case: str) -> None:
    found = leads(pins, facts, "SW1 - -")
    if case:
        assert failed(found).case == case
    else:
        assert isinstance(found, Pass)


def test_a_common_contact_from_memory_is_no_ground_to_stop_on() -> None:
    assert isinstance(leads("1=~ 2=S1 3=GND", "", "SW1 D2F -"), Pass)


def test_the_words_tell_what_is_live_and_what_is_not() -> None:
    found = failed(leads("1=S1 2=LOST"))
    assert found.case == "one"
    assert {k: found.words[k] for k in ("pads", "nets", "live")} == {
        "pads": "2",
        "nets": '"LOST"',
        "live": '"S1"',
    }
    found = failed(leads("1=S1 2=S1 3=~ 4=~"))
    assert (found.words["pads"], found.words["nets"]) == ("3 and 4", "no net")
    found = failed(leads("1=LOST 2=S1 3=GND", CHANGE_OVER, "SW1 - -"))
    assert (found.words["pads"], found.words["nets"]) == ("1", '"LOST"')
    assert failed(leads("1=~ 2=S1 3=GND", CHANGE_OVER, "SW1 - -")).words["nets"] == "no net"


@pytest.mark.parametrize(
    ("pins", "facts", "kind"),
    [
        ("1=S1 2=GND", "", Pass),
        # Bridged is another rule's finding.
        ("1=S1 2=S1", "", Skip),
        ("1=GND 2=GND", "", Skip),
        # One pad drawn: the other side is not in the netlist. Two pads stated to be one: no switch.
        ("1=S1", "", Unknown),
        ("1=S1 2=S1", '[parts.SW1]\njoined_pads = "1 2"\n', Skip),
        ("", "", Skip),
    ],
)
def test_what_is_not_judged_here(pins: str, facts: str, kind: type) -> None:
    assert isinstance(leads(pins, facts), kind)


def test_a_switch_by_its_letters_alone_that_leads_nowhere_is_in_doubt() -> None:
    found = failed(judged("switch-no-return", "SW1 RESET TX-99 : 1=S1 2=~"))
    assert not found.firm
    assert "reference letters" in found.doubt
    assert failed(leads("1=S1 2=~")).firm
