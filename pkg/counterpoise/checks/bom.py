"""The bill of materials beside the circuit, and the names that tie them together."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._bill_lines import (
    judge_codes,
    judge_fitted,
    judge_packages,
    judge_quantity,
)
from counterpoise.checks._bill_rules import (
    judge_duplicate,
    judge_extra,
    judge_missing,
    judge_values,
)
from counterpoise.checks._lone_nets import judge_lone
from counterpoise.checks._twins import judge_twins
from counterpoise.checks._values_read import judge_odd, judge_readable
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


def bom_quantity(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare each line's quantity with its refs, times the boards that most lines are for."""
    yield from judge_quantity(board)


def bom_package_differs(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the sizes that footprint and BOM state, metric and imperial read alike."""
    yield from judge_packages(board)


def bom_no_order_code(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for lines of fitted parts without an order code."""
    yield from judge_codes(board)


def bom_value_unreadable(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Read the values of resistors, capacitors and inductors; some say nothing, some two things."""
    yield from judge_readable(board)


def bom_odd_value(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for values outside the preferred series of their tolerance."""
    yield from judge_odd(board)


def bom_fitted_conflict(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare what circuit, layout and BOM say of fitting each part."""
    yield from judge_fitted(board)


def single_node_net(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for nets with a name of their own and a single pin that is not marked open."""
    yield from judge_lone(board)
