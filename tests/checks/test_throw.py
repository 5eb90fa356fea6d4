"""Change-over switches among their siblings: majorities, pairs, single ones, contacts nobody names."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass, Severity, Skip, Unknown, Verdict
from rules import verdicts

# Contacts as the symbol names them, as the manifest states them, by a card's table from memory, and
# told by nobody.
NAMED = "SW{n} key{n} {foot} : 1/COM={common} 2/NO={open} 3/NC={closed} @symbol=SW_SPDT"
UNNAMED = "SW{n} {value} {foot} : 1={common} 2={open} 3={closed} @symbol=SW_SPDT"
ROLE = '[parts.SW{n}]\nrole = "change-over-switch"\n'
STATED = ROLE + 'terminals = {{ common = "1", open = "2", closed = "3" }}\n'
USES = {
    "open": ("GND", "S{n}", "~"),
    "closed": ("GND", "~", "S{n}"),
    "both": ("GND", "S{n}", "T{n}"),
    "idle": ("GND", "~", "~"),
}


def judged(uses: str, how: str = "named", feet: str = "") -> list[Verdict]:
    """Verdicts for SW1, SW2 …, used as the words say."""
    lines, facts = [], ""
    for n, use in enumerate(uses.split(), 1):
        nets = dict(
            zip(("common", "open", "closed"), (w.format(n=n) for w in USES[use]), strict=True)
        )
        foot = (feet.split() or ["D2F"] * 9)[n - 1]
        value = "D2F" if how == "card" else "-"
        text = NAMED if how == "named" else UNNAMED
        lines.append(text.format(n=n, foot=foot, value=value, **nets))
        facts += {"stated": STATED, "named": "", "card": "", "untold": ROLE}[how].format(n=n)
    pins = " ".join(f"{n}=S{n} {n + 20}=T{n}" for n in range(1, 10))
    lines.append(f'U1 "" QFN-48 : 50/GND/pwr=GND {pins}')
    return verdicts("switch-throw", make_board("\n".join(lines), facts))


def fails(found: list[Verdict]) -> list[Fail]:
    return [one for one in found if isinstance(one, Fail)]


# -- contacts that are told ------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("uses", "blamed"),
    [
        ("open open closed", "SW3"),
        ("closed open open", "SW1"),
        # So many rest closed that it is meant: the open one is odd.
        ("closed closed open", "SW3"),
        ("open closed closed closed", "SW1"),
        # As many the one way as the other: at rest closed costs current.
        ("open open closed closed", "SW3 SW4"),
        ("open open open closed closed", "SW4 SW5"),
        ("open open closed closed closed", "SW1 SW2"),
        ("open closed", "SW2"),
        ("closed closed", ""),
        ("open open", ""),
        ("open", ""),
        ("closed", "SW1"),
        # A switch that uses both contacts, or none, is no sibling to follow.
        ("closed both", "SW1"),
        ("closed idle", "SW1"),
        ("both both closed", "SW3"),
        ("closed closed both", ""),
        ("open closed both", "SW2"),
    ],
)
def test_who_is_blamed(uses: str, blamed: str) -> None:
    found = judged(uses)
    assert [one.subjects[0] for one in fails(found)] == blamed.split()
    others = [one for one in found if not isinstance(one, Fail)]
    kinds = [Skip if use == "idle" else Pass for use in uses.split()]
    assert len(others) == len(kinds) - len(blamed.split())
    assert sum(isinstance(one, Skip) for one in others) == kinds.count(Skip)


def test_a_finding_names_those_it_stands_against() -> None:
    (found,) = fails(judged("open closed open both"))
    assert (found.case, found.subjects) == ("against", ("SW2", "SW1", "SW3"))
    assert found.words == {
        "used": "normally-closed",
        "wanted": "normally-open",
        "siblings": "SW1 and SW3",
    }
    (found,) = fails(judged("closed open closed closed"))
    assert (found.subjects[0], found.words["used"]) == ("SW2", "normally-open")
    assert found.words["wanted"] == "normally-closed"


@pytest.mark.parametrize(
    ("uses", "how", "feet", "stops"),
    [
        # Two of one kind; two kinds, which may have two uses; two kinds, but stated.
        ("open closed", "named", "D2F D2F", True),
        ("open closed", "named", "D2F D3SH", False),
        ("open closed", "named", "- -", False),
        ("open closed", "stated", "D2F D3SH", True),
        # Two against one are no chance, whatever their kinds.
        ("open open closed", "named", "D2F D3SH K7", True),
        # Alone, resting closed may be meant unless the manifest has thought of it.
        ("closed", "named", "D2F", False),
        ("closed", "stated", "D2F", True),
    ],
)
def test_when_a_wrong_contact_stops(uses: str, how: str, feet: str, stops: bool) -> None:
    (found,) = fails(judged(uses, how, feet))
    assert (found.severity is not Severity.CAUTION) is stops
    assert found.firm


def test_contacts_from_memory_are_in_doubt() -> None:
    for uses in ("open open closed", "closed"):
        (found,) = fails(judged(uses, "card"))
        assert not found.firm
        assert "from memory" in found.doubt
        (found,) = fails(judged(uses, "stated"))
        assert found.doubt == ""


@pytest.mark.parametrize(
    ("pins", "kind"),
    [
        # One throw named beside the common contact is enough to tell how it is used.
        ("1/COM=GND 2/NO=S1 3/X=~", Pass),
        ("1/COM=GND 2/X=S1 3/NC=~", Skip),
        # The common contact open: switch-no-return tells that.
        ("1/COM=~ 2/NO=S1 3/NC=GND", Skip),
        # A net with that pin alone is no use of the contact.
        ("1/COM=GND 2/NO=~ 3/NC=LOST", Skip),
        ("1/COM=GND 2/NO=S1 3/NC=LOST", Pass),
        # Without the common contact, or with nothing else, nothing is told.
        ("1/X=GND 2/NO=S1 3/NC=~", Unknown),
        ("1/COM=GND 2/X=S1 3/Y=~", Unknown),
    ],
)
def test_which_names_tell_the_use(pins: str, kind: type) -> None:
    text = f'SW1 - - : {pins} @symbol=SW_SPDT\nU1 "" QFN-32 : 1=S1 2/GND/pwr=GND 3=A 4=B'
    (found,) = verdicts("switch-throw", make_board(text, ROLE.format(n=1)))
    assert isinstance(found, kind)


# -- contacts that nobody names ------------------------------------------------------------------
def test_like_parts_are_compared_by_the_pins_they_use() -> None:
    """The odd one stands first, in the middle, last; the others may still all be wrong."""
    for uses, odd in (
        ("closed open open", "SW1"),
        ("open closed open", "SW2"),
        ("open open closed", "SW3"),
    ):
        found = judged(uses, "untold")
        (fail,) = fails(found)
        assert (fail.case, fail.subjects[0], fail.severity) == ("odd", odd, None)
        assert fail.words["usual"] == "1 and 2"
        assert [type(one) for one in found] == [Fail, Unknown]


def test_each_odd_one_is_named() -> None:
    found = fails(judged("closed open both open open closed both", "untold"))
    assert [one.subjects[0] for one in found] == ["SW1", "SW3", "SW6", "SW7"]
    assert all(one.subjects[1:] == ("SW2", "SW4", "SW5") for one in found)


@pytest.mark.parametrize("uses", ["open closed", "open open closed closed", "open closed both"])
def test_without_a_majority_only_the_difference_is_told(uses: str) -> None:
    (found,) = judged(uses, "untold")
    assert isinstance(found, Fail)
    assert (found.case, found.severity, found.firm) == ("differ", Severity.CAUTION, False)
    assert len(found.subjects) == len(uses.split())


def test_parts_of_two_kinds_are_not_compared_and_hide_nothing() -> None:
    """Two that agree, of one kind; then three of another kind, one of them odd."""
    found = judged("closed closed open open closed", "untold", "A A B B B")
    assert [type(one) for one in found] == [Unknown, Fail, Unknown]
    assert fails(found)[0].subjects == ("SW5", "SW3", "SW4")
    # Those that use fewer than two pins have nothing to compare, first or last.
    found = judged("idle open open closed", "untold", "A B B B")
    assert [type(one) for one in found] == [Fail, Unknown]
    assert judged("idle idle", "untold") == []
    (alone,) = judged("open idle", "untold")
    assert isinstance(alone, Unknown)
    assert alone.subject == "SW1"
