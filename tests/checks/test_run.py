"""The engine: verdicts to findings and coverage, severity, waivers, one cause one stop, order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from types import MappingProxyType

import pytest

from boards import make_board
from counterpoise.catalog.rules import Rule
from counterpoise.checks.run import Check, function_of, judge
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Severity, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.refdes import natural
from engine import rule, says


def test_four_verdicts_become_coverage() -> None:
    board = make_board("R1 10k : A B")
    need = Need("its load", 'board.toml: [parts.Y1] load = "9 pF"')
    cases: dict[str, list[Verdict]] = {
        "pass": [Pass("R1")],
        "fail": [Pass("R1"), Fail(("R2",), "broken"), Unknown("R3", (need,))],
        "unknown": [Pass("R1"), Unknown("R3", (need,))],
        "not-applicable": [Skip("it is a module")],
    }
    for expected, verdicts in cases.items():
        (covered,) = judge(board, [(rule(), says(*verdicts))]).coverage
        assert covered.verdict == expected
    assert judge(board, [(rule(), says())]).coverage[0].reason == "nothing to judge"
    assert judge(board, [(rule(), says(Skip("it is a module")))]).coverage[0].reason == (
        "it is a module"
    )


def test_words_fill_sentence_and_remedy() -> None:
    fail = Fail(("R1",), "worse", MappingProxyType({"much": "2 V"}), nets=("B", "A", "B"))
    (finding,) = judge(make_board(), [(rule(), says(fail))]).findings
    assert finding.message == "R1 is worse by 2 V"
    assert finding.remedy == "mend R1 by 2 V"
    assert finding.nets == ("A", "B")


def test_a_guess_never_stops() -> None:
    fail = Fail(("R1",), "broken", firm=False, doubt="its role is a guess")
    (finding,) = judge(make_board(), [(rule(), says(fail))]).findings
    assert finding.severity is Severity.CAUTION
    assert finding.message == "R1 is broken (its role is a guess)"
    stated = make_board("", '[rules.crystal-load]\nseverity = "stop"\n')
    clock = rule("crystal-load", severity="caution")
    (finding,) = judge(stated, [(clock, says(Fail(("R1",), "broken")))]).findings
    assert finding.severity is Severity.STOP, "the manifest may make a stop of a caution"
    (finding,) = judge(stated, [(clock, says(fail))]).findings
    assert finding.severity is Severity.CAUTION, "but not of a guess"


def test_missing_file_cannot_be_judged() -> None:
    board = make_board("R1 10k : A B")
    for need, word in (("layout", "layout"), ("bom", "bom"), ("placement", "centroid")):
        asked = rule(needs=[need])
        (covered,) = judge(board, [(asked, says(Pass("R1")))]).coverage
        assert covered.verdict == "unknown"
        assert word in covered.needs[0].where


def test_worst_first_and_naturally_sorted() -> None:
    burns, paper = rule("burning", rank="burns"), rule("paper", rank="paperwork")
    caution = rule("small", severity="caution", rank="burns")
    broken = says(Fail(("R10",), "broken"), Fail(("R2",), "broken"))
    told = judge(make_board(), [(paper, broken), (caution, broken), (burns, broken)]).findings
    assert [(f.rule, f.subjects[0]) for f in told] == [
        ("burning", "R2"),
        ("burning", "R10"),
        ("paper", "R2"),
        ("paper", "R10"),
        ("small", "R2"),
        ("small", "R10"),
    ]


def test_one_cause_one_stop() -> None:
    cause, effect = rule("cause"), rule("effect", yields_to=["cause"])
    both = [(effect, says(Fail(("R1",), "broken"))), (cause, says(Fail(("R1",), "broken")))]
    (finding,) = judge(make_board(), both).findings
    assert finding.rule == "cause"
    assert finding.under == ("R1 is broken",)
    elsewhere = [(effect, says(Fail(("R9",), "broken"))), (cause, says(Fail(("R1",), "broken")))]
    assert len(judge(make_board(), elsewhere).findings) == 2


def test_a_stop_is_never_told_beneath_a_caution() -> None:
    small, effect = rule("small", severity="caution"), rule("effect", yields_to=["small"])
    both = [(effect, says(Fail(("R1",), "broken"))), (small, says(Fail(("R1",), "broken")))]
    assert [f.rule for f in judge(make_board(), both).findings] == ["effect", "small"]


def test_a_chain_is_told_beneath_its_root_and_a_ring_hides_nothing() -> None:
    broken = says(Fail(("R1",), "broken"))
    chain = [(rule("end", yields_to=["mid"]), broken), (rule("mid", yields_to=["root"]), broken)]
    (finding,) = judge(make_board(), [*chain, (rule("root"), broken)]).findings
    assert (finding.rule, len(finding.under)) == ("root", 2)
    ring = [(rule("one", yields_to=["two"]), broken), (rule("two", yields_to=["one"]), broken)]
    assert len(judge(make_board(), ring).findings) == 2


@pytest.mark.parametrize(
    ("today", "waived"),
    [
        (None, True),
        ("2026-01-01", True),
        ("2026-06-30", True),  # its last day
        ("2026-07-01", False),
        ("2026-12-31", False),
    ],
)
def test_waiver_needs_its_rule_its_subject_and_its_time(today: str | None, waived: bool) -> None:
    facts = """
        [[waivers]]
        rule = "crystal-load"
        subject = "R1"
        reason = "measured on the bench"
        until = "2026-06-30"
    """
    board = make_board("", facts)
    clock = rule("crystal-load")
    told = judge(board, [(clock, says(Fail(("R1",), "broken")))], today=today).findings
    assert (told[0].waived is not None) is waived
    other = judge(board, [(clock, says(Fail(("R2",), "broken")))], today=today).findings
    assert other[0].waived is None


def test_switched_off() -> None:
    board = make_board("", '[rules.crystal-load]\nseverity = "off"\n')
    result = judge(board, [(rule("crystal-load"), says(Fail(("R1",), "broken")))])
    assert result.findings == ()
    assert result.coverage[0].verdict == "not-applicable"


def test_fingerprint_survives_figures_and_order_and_tells_two_apart() -> None:
    one = Fail(("R1", "R2"), "worse", MappingProxyType({"much": "2 V"}), nets=("A",))
    two = Fail(("R2", "R1"), "worse", MappingProxyType({"much": "3 V"}), nets=("Z",))
    (first,) = judge(make_board(), [(rule(), says(one))]).findings
    (second,) = judge(make_board(), [(rule(), says(two))]).findings
    assert first.fingerprint == second.fingerprint
    both = judge(make_board(), [(rule(), says(one, two))]).findings
    assert len({f.fingerprint for f in both}) == 2
    turned = judge(make_board(), [(rule(), says(two, one))]).findings
    assert both == turned


def test_guard_hides_no_other_answer() -> None:
    def faulty(board: Board, rule: Rule) -> Iterator[Verdict]:
        raise ZeroDivisionError
        yield Pass("R1")

    rules: list[tuple[Rule, Check]] = [(rule("faulty"), faulty), (rule(), says(Pass("R1")))]
    result = judge(make_board(), rules, guard=True)
    assert [c.verdict for c in result.coverage] == ["unknown", "pass"]
    with pytest.raises(ZeroDivisionError):
        judge(make_board(), rules)


def test_natural_order() -> None:
    assert sorted(["R10", "R2", "C1", "R2A", "R"], key=natural) == ["C1", "R", "R2", "R2A", "R10"]


def test_a_rule_without_a_function_is_told_by_its_slug() -> None:
    with pytest.raises(LookupError, match="power has no function for the rule no-such-rule"):
        function_of(replace(rule("no-such-rule"), domain="power"))
