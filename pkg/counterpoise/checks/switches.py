"""Switches: the contact that is used, shorts, missing returns, pulls, encoders, key matrices."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._contacts import CHANGE_OVER, SWITCHES
from counterpoise.checks._encoders import judge_encoder
from counterpoise.checks._matrix import judge_matrix
from counterpoise.checks._pulls import judge_pulls
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


def input_pull(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that each input a switch moves has a pull resistor, outside in ohms or stated inside."""
    yield from judge_pulls(board, rule)


def encoder_wiring(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that each encoder's phases are two nets, and its common a third that leads somewhere."""
    for encoder in board.parts_as("encoder"):
        yield judge_encoder(board, encoder)


def matrix_diode_direction(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the way each key's diode points with the others on its two lines; rows to columns and
    columns to rows are both sound."""
    yield from judge_matrix(board)
