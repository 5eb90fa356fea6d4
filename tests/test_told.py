"""What each rule says of each of its cases, to the last figure, kept in tests/golden/test_told.

tests/test_cases.py asks for the verdict; this holds the rest in place: who is blamed, nets, figure,
limit, how firm, the sentence, and the facts asked for. A person reads the diffs; after a change that
was meant, ``pytest tests/test_told.py --snapshot-update``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from syrupy.assertion import SnapshotAssertion

from counterpoise.model.verdicts import Fail, Finding, Limit, Pass, Skip, Unknown, Verdict
from goldens import Text
from rules import outcome, verdicts
from test_cases import CASES, board_of


def _limit(limit: Limit | None) -> str:
    if limit is None:
        return ""
    ends = ["" if end is None else f"{end:.6g}" for end in (limit.min, limit.max)]
    return f" of {'..'.join(ends)} {limit.unit}"


def _verdict(verdict: Verdict) -> str:
    match verdict:
        case Pass(subject):
            return f"  pass {subject}"
        case Unknown(subject, needs):
            asked = "".join(f"\n    {n.what} | {n.where}" for n in needs)
            return f"  unknown {subject}{asked}"
        case Skip(reason):
            return f"  skip: {reason}"
        case Fail():
            firm = "firm" if verdict.firm else "not firm"
            return f"  fail {verdict.case}, {firm}: {' '.join(verdict.subjects)}"


def _finding(finding: Finding) -> str:
    seen = finding.measured
    figure = "" if seen is None else f" [{seen.value:.6g} {seen.unit}{_limit(finding.limit)}]"
    place = "" if finding.place is None else f" at {finding.place}"
    nets = "".join(f" {net}" for net in finding.nets)
    return f"  {finding.severity.value}: {finding.message}{figure}{place} |{nets}"


def _told(slug: str, case: dict[str, Any]) -> Iterator[str]:
    board = board_of(case)
    result = outcome(slug, board)
    (covered,) = result.coverage
    yield f"{case['name']}: {covered.verdict}, {covered.judged} judged"
    if covered.verdict == "not-applicable" or (covered.needs and not covered.judged):
        yield f"  because: {covered.reason}"
    if covered.verdict != "not-applicable":
        yield from map(_verdict, verdicts(slug, board_of(case)))
        yield from map(_finding, result.findings)


@pytest.mark.parametrize("slug", sorted(path.stem for path in CASES.glob("*.toml")))
def test_told(slug: str, snapshot: SnapshotAssertion) -> None:
    cases = tomllib.loads(Path(CASES / f"{slug}.toml").read_text(encoding="utf-8"))["case"]
    lines = [line for case in cases for line in _told(slug, case)]
    assert "\n".join(lines) + "\n" == snapshot(extension_class=Text)
