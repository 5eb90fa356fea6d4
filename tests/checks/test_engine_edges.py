"""The engine at its edges: what is counted, whose severity holds, what a waiver covers, what is
told beneath what."""

from __future__ import annotations

import re
from collections.abc import Iterator
from types import MappingProxyType

import pytest

from boards import bom, make_board
from counterpoise.catalog.rules import Rule, all_rules
from counterpoise.checks.run import judge
from counterpoise.model.bom import Placement
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import (
    Coverage,
    Fail,
    Finding,
    Pass,
    Severity,
    Skip,
    Unknown,
    Verdict,
)
from counterpoise.roles.board import Board
from engine import rule, says
from layouts import layout

R1 = Fail(("R1",), "broken")
LOAD = Need("its load", "board.toml: load")
STRAY = Need("the stray", "board.toml: stray")


def covered(made: Rule, *verdicts: Verdict, board: Board | None = None) -> Coverage:
    (one,) = judge(board or make_board("R1 10k : A B"), [(made, says(*verdicts))]).coverage
    return one


def told(facts: str, *pairs: tuple[Rule, Fail], today: str | None = None) -> tuple[Finding, ...]:
    rules = [(made, says(fail)) for made, fail in pairs]
    return judge(make_board("", facts), rules, today=today).findings


# -- coverage -------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("verdicts", "expected"),
    [
        ((Pass("R1"), Pass("R2")), ("pass", 2, "", ())),
        ((Pass("R1"), R1, R1), ("fail", 3, "", ())),
        ((R1, Unknown("R2", (LOAD,))), ("fail", 1, "needs its load", (LOAD,))),
        (
            (Pass("R1"), Unknown("R2", (LOAD, STRAY)), Unknown("R3", (LOAD,))),
            ("unknown", 1, "needs its load; needs the stray", (LOAD, STRAY)),
        ),
        ((Pass("R1"), Skip("a module")), ("pass", 1, "", ())),
        (
            (Skip("a module"), Skip("no radio"), Skip("a module")),
            ("not-applicable", 0, "a module; no radio", ()),
        ),
        ((), ("not-applicable", 0, "nothing to judge", ())),
    ],
)
def test_what_is_counted_and_why(
    verdicts: tuple[Verdict, ...], expected: tuple[object, ...]
) -> None:
    one = covered(rule(), *verdicts)
    assert (one.verdict, one.judged, one.reason, one.needs) == expected


def test_without_a_part_of_its_roles_a_rule_does_not_apply() -> None:
    clock = rule(roles=["crystal"], needs=["netlist"])
    none = covered(clock, R1)
    assert (none.verdict, none.judged, none.reason) == ("not-applicable", 0, "nothing to judge")
    crystal = make_board("Y1 16MHz - : A B @symbol=Crystal")
    assert covered(clock, Pass("Y1"), board=crystal).verdict == "pass"
    unread = covered(clock, Pass("Y1"), board=make_board())
    assert unread.verdict == "unknown", "without a netlist nobody knows whether there is one"
    assert unread.reason == "needs a netlist or a board file with nets"


def test_a_missing_file_is_asked_for_as_a_file() -> None:
    asked = rule(needs=["netlist", "layout", "bom", "placement"])
    one = covered(asked, Pass("R1"), board=make_board())
    assert (one.verdict, one.judged) == ("unknown", 0)
    assert len(one.needs) == 4
    assert all(need.file for need in one.needs)
    assert " and " in one.reason
    whole = make_board(
        "R1 10k : A B",
        layout=layout("board 10 x 10"),
        bill=bom(("R1", "10k")),
        placements=(Placement("R1", 1.0, 1.0, 0.0, "front"),),
    )
    assert covered(asked, Pass("R1"), board=whole).verdict == "pass"
    assert covered(rule(needs=["manifest"]), Pass("R1"), board=make_board()).verdict == "pass"


def test_a_fault_inside_a_rule_asks_for_its_repair() -> None:
    def faulty(board: Board, rule: Rule) -> Iterator[Verdict]:
        yield R1
        raise KeyError("x")

    result = judge(make_board(), [(rule(), faulty)], guard=True)
    assert result.findings == ()
    (one,) = result.coverage
    assert (one.verdict, one.judged) == ("unknown", 0)
    assert one.reason == one.needs[0].what == "a repair of counterpoise: KeyError inside this rule"


def test_switched_off_is_told_as_such() -> None:
    off = make_board("", '[rules.crystal-load]\nseverity = "off"\n')
    one = covered(rule("crystal-load"), R1, board=off)
    assert (one.judged, one.reason) == (0, "switched off in the manifest")


def test_a_limit_that_the_manifest_states_is_the_rules() -> None:
    stated = '[rules.crystal-load.limits]\nload-error = "3 pF"\n'
    real = all_rules()["crystal-load"]
    seen: list[Rule] = []

    def check(board: Board, rule: Rule) -> Iterator[Verdict]:
        seen.append(rule)
        yield Pass("Y1")

    crystal = "Y1 16MHz - : A B @symbol=Crystal"
    judge(make_board(crystal, stated), [(real, check)])
    judge(make_board(crystal), [(real, check)])
    assert [one.limit("load-error").high for one in seen] == pytest.approx([3e-12, 2e-12])
    assert [one.limit("pull").high for one in seen] == [50, 50]


# -- severity -------------------------------------------------------------------------------------
STOP, CAUTION = Severity.STOP, Severity.CAUTION


@pytest.mark.parametrize(
    ("of_rule", "of_fail", "stated", "firm", "expected"),
    [
        ("stop", None, "", True, STOP),
        ("stop", CAUTION, "", True, CAUTION),
        ("stop", None, "", False, CAUTION),
        ("stop", None, "caution", True, CAUTION),
        ("stop", CAUTION, "stop", True, STOP),
        ("caution", None, "", True, CAUTION),
        ("caution", STOP, "", True, CAUTION),
        ("caution", None, "stop", True, STOP),
        ("caution", None, "stop", False, CAUTION),
    ],
)
def test_whose_severity_holds(
    of_rule: str, of_fail: Severity | None, stated: str, firm: bool, expected: Severity
) -> None:
    facts = f'[rules.crystal-load]\nseverity = "{stated}"\n' if stated else ""
    fail = Fail(("R1",), "broken", severity=of_fail, firm=firm)
    (finding,) = told(facts, (rule("crystal-load", severity=of_rule), fail))
    assert finding.severity is expected


# -- words ----------------------------------------------------------------------------------------
def test_a_sentence_starts_with_a_capital_but_a_name_is_left_as_it_is() -> None:
    def said(fail: Fail) -> str:
        (finding,) = told("", (rule(), fail))
        return finding.message

    assert said(Fail(("R1",), "plain")) == "The edge is open"
    assert said(Fail(("R1",), "one")) == "Open"
    assert said(Fail(("sw1",), "broken")) == "sw1 is broken"
    assert said(Fail(("sw",), "broken")) == "sw is broken"
    assert said(Fail((), "broken")) == "The board is broken"
    of_net = Fail(("R1",), "broken", MappingProxyType({"subject": "scl"}), nets=("scl",))
    assert said(of_net) == "scl is broken"


def test_the_doubt_stands_behind_the_sentence() -> None:
    (sure,) = told("", (rule(), R1))
    assert sure.message == "R1 is broken"
    assert re.fullmatch(r"[0-9a-f]{16}", sure.fingerprint)


# -- two alike ------------------------------------------------------------------------------------
def test_three_alike_are_told_apart() -> None:
    fails = [Fail(("R1",), "broken", nets=(net,)) for net in ("A", "B", "C")]
    result = judge(make_board(), [(rule(), says(*fails))])
    first = result.findings[0].fingerprint
    assert [f.fingerprint for f in result.findings] == [first, f"{first}-2", f"{first}-3"]
    assert [f.nets for f in result.findings] == [("A",), ("B",), ("C",)]


# -- waivers --------------------------------------------------------------------------------------
WAIVER = '[[waivers]]\nrule = "{}"\nsubject = "{}"\nreason = "measured"\n'
LOADS, PADS = rule("crystal-load"), rule("crystal-pads")
PRINT = told("", (LOADS, R1))[0].fingerprint


@pytest.mark.parametrize(
    ("subject", "fail", "waived"),
    [
        ("R1", R1, True),
        ("R2", Fail(("R1", "R2"), "broken"), True),
        ("R3", Fail(("R1", "R2"), "broken"), False),
        ("*", R1, True),
        (PRINT, R1, True),
        (PRINT, Fail(("R2",), "broken"), False),
        ("board", Fail((), "plain"), True),
        ("board", R1, False),
        ("R1", Fail((), "plain"), False),
    ],
)
def test_what_a_waiver_covers(subject: str, fail: Fail, waived: bool) -> None:
    (finding,) = told(WAIVER.format("crystal-load", subject), (LOADS, fail))
    assert finding.waived == ("measured" if waived else None)
    (other,) = told(WAIVER.format("crystal-pads", subject), (LOADS, fail))
    assert other.waived is None


def test_the_second_waiver_holds_where_the_first_has_ended() -> None:
    facts = WAIVER.format("crystal-load", "R1") + 'until = "2026-01-31"\n'
    facts += WAIVER.format("crystal-load", "R1") + 'until = "2026-12-31"\n'
    (finding,) = told(facts, (LOADS, R1), today="2026-06-01")
    assert finding.waived == "measured (until 2026-12-31)"
    (finding,) = told(facts, (LOADS, R1), today="2027-01-01")
    assert finding.waived is None


# -- one cause ------------------------------------------------------------------------------------
CAUSE, EFFECT = rule("crystal-load"), rule("crystal-pads", yields_to=["crystal-load"])


def beneath(facts: str, *pairs: tuple[Rule, Fail]) -> dict[str, tuple[str, ...]]:
    return {f.rule: f.under for f in told(facts, *pairs)}


def test_a_waived_cause_hides_nothing() -> None:
    both = ((CAUSE, R1), (EFFECT, R1))
    assert beneath("", *both) == {"crystal-load": ("R1 is broken",)}
    waived = beneath(WAIVER.format("crystal-load", "R1"), *both)
    assert waived == {"crystal-load": (), "crystal-pads": ()}


@pytest.mark.parametrize(
    ("of_cause", "of_effect", "told_alone"),
    [
        (True, True, False),
        (True, False, False),
        (False, False, False),  # a caution beneath a caution
        (False, True, True),
    ],
)
def test_which_is_told_beneath_which(of_cause: bool, of_effect: bool, told_alone: bool) -> None:
    pairs = (
        (CAUSE, Fail(("R1",), "broken", firm=of_cause)),
        (EFFECT, Fail(("R1",), "broken", firm=of_effect)),
    )
    assert ("crystal-pads" in beneath("", *pairs)) is told_alone


def test_only_the_rule_that_yields_goes_beneath() -> None:
    other = rule("crystal-dielectric")
    assert set(beneath("", (CAUSE, R1), (other, R1))) == {"crystal-load", "crystal-dielectric"}


def test_what_a_shared_ref_does_to_other_rules_is_told_beneath_it() -> None:
    """Two parts of one ref are joined by mistake: what every other rule says of it may be wrong."""
    shared = rule("duplicate-reference")
    assert set(beneath("", (LOADS, R1), (shared, R1))) == {"duplicate-reference"}
    assert set(beneath("", (LOADS, Fail(("R2",), "broken")), (shared, R1))) == {
        "crystal-load",
        "duplicate-reference",
    }
    yielding = rule("duplicate-reference", yields_to=["crystal-load"])
    assert set(beneath("", (LOADS, R1), (yielding, R1))) == {"crystal-load", "duplicate-reference"}


def test_the_first_of_two_causes_takes_both_effects() -> None:
    second = rule("crystal-dielectric", yields_to=["crystal-load"])
    found = beneath("", (EFFECT, Fail(("R1",), "broken", nets=("A",))), (second, R1), (CAUSE, R1))
    assert found == {"crystal-load": ("R1 is broken", "R1 is broken")}


def test_what_leads_into_a_ring_is_not_lost() -> None:
    """a yields to b, b and c to each other: each is told, or told beneath one that is."""
    first = rule("aa", yields_to=["bb"])
    ring = (rule("bb", yields_to=["cc"]), rule("cc", yields_to=["bb"]))
    fails = [Fail(("R1",), "broken", doubt=f"{n}") for n in ("one", "two", "three")]
    found = told("", *zip((first, *ring), fails, strict=True))
    messages = {f.message for f in found} | {message for f in found for message in f.under}
    assert messages == {"R1 is broken (one)", "R1 is broken (two)", "R1 is broken (three)"}


def test_the_order_of_the_rules_decides_between_equals() -> None:
    """Not their names: the catalogue lists the causes first."""
    pairs = [(rule("zz"), R1), (rule("aa"), R1), (rule("mm"), R1)]
    assert [f.rule for f in told("", *pairs)] == ["zz", "aa", "mm"]
    assert [f.rule for f in told("", *pairs[::-1])] == ["mm", "aa", "zz"]
