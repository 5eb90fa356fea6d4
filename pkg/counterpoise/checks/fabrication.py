"""What a board house can make: the rules of ``rules/fabrication.toml``.

The geometry is loaded only when a rule runs, so that a board without a layout never pays for it.
"""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.model.verdicts import Verdict
from counterpoise.roles.board import Board


def outline_open(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Join the strokes of the edge layer to loops and report every end that stays open."""
    from counterpoise.checks._fabrication_outline import open_ends

    return open_ends(board, rule)


def outline_self_crossing(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for places where the edge crosses itself or where two loops overlap."""
    from counterpoise.checks._fabrication_outline import crossings

    return crossings(board, rule)
