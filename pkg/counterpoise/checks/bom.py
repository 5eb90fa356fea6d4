"""The bill of materials beside the circuit, and the names that tie them together."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._bill_rules import (
    judge_duplicate,
    judge_extra,
    judge_missing,
    judge_values,
)
from counterpoise.checks._twins import judge_twins
from counterpoise.model.verdicts import Verdict
from counterpoise.roles.board import Board


def bom_missing(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for fitted parts that no BOM line names. Unfitted parts and those that nobody buys
    (fiducials, holes, test points, solder jumpers) need none."""
    yield from judge_missing(board)


def bom_extra(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for refs in the BOM that neither circuit nor layout has."""
    yield from judge_extra(board)


def bom_duplicate(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for refs that two lines, or one line twice, buy to be fitted."""
    yield from judge_duplicate(board)


def bom_value_differs(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare each part's value with its BOM line's after reading units ("4k7" is 4.7 kΩ), and the
    value with what its order code says. Tolerance, voltage and package suffixes do not count."""
    yield from judge_values(board)


def duplicate_reference(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for refs that two parts share. Stops where both are fitted and bought."""
    yield from judge_twins(board)
