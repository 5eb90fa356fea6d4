"""Switches: the contact that is used, shorts, missing returns, pulls, encoders, key matrices."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._contacts import CHANGE_OVER, SWITCHES
from counterpoise.checks._switch_sides import judge_closed, judge_return
from counterpoise.checks._throw import judge_throws
from counterpoise.model.verdicts import Verdict
from counterpoise.roles.board import Board


def switch_throw(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the contact each change-over switch uses with what its siblings or the manifest say.

    Where pins have no names, like parts are compared by the pins they use.
    """
    yield from judge_throws(board, board.parts_as(CHANGE_OVER))


def switch_always_closed(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for a bridged switch: its used terminals on one node, or the pads of one terminal on two
    nodes."""
    for switch in board.parts_as(*SWITCHES):
        yield judge_closed(board, switch)


def switch_no_return(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that at least two terminals of each switch lead somewhere, the common one among them."""
    for switch in board.parts_as(*SWITCHES):
        yield judge_return(board, switch)
