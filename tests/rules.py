"""Running one rule on one board in tests."""

from __future__ import annotations

from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import Outcome, function_of, judge
from counterpoise.model.verdicts import Verdict
from counterpoise.roles.board import Board


def verdicts(slug: str, board: Board) -> list[Verdict]:
    """The rule's verdicts, as its function gives them."""
    rule = all_rules()[slug]
    return list(function_of(rule)(board, rule))


def outcome(slug: str, board: Board) -> Outcome:
    """Findings and coverage of one rule through the engine."""
    rule = all_rules()[slug]
    return judge(board, [(rule, function_of(rule))])
