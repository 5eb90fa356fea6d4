"""Rules made up for tests of the engine, and checks that say what the test wants."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from counterpoise.catalog.rules import Rule, read_rule
from counterpoise.checks.run import Check
from counterpoise.model.verdicts import Verdict
from counterpoise.roles.board import Board

PLAIN: dict[str, Any] = {
    "severity": "stop",
    "rank": "kills",
    "asks": "?",
    "why": "because",
    "absent": "nothing to judge",
    "remedy": "mend {subject}",
    "says": {
        "broken": "{subject} is broken",
        "worse": "{subject} is worse by {much}",
        "plain": "the edge is open",
        "one": "open",
    },
    "remedies": {"worse": "mend {subject} by {much}"},
    "sources": ["a standard, 1.2"],
}


def rule(slug: str = "some-rule", **more: Any) -> Rule:
    """A rule of that slug; ``more`` replaces entries of PLAIN."""
    return read_rule("domain.toml", slug, {**PLAIN, **more})


def says(*verdicts: Verdict) -> Check:
    """A check that gives these verdicts, whatever the board."""

    def check(board: Board, rule: Rule) -> Iterator[Verdict]:
        yield from verdicts

    return check
