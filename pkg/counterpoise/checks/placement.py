"""Where parts stand and which way they face: the rules of ``rules/placement.toml``.

The geometry is loaded only when a rule runs, so that a board without a layout never pays for it.
"""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.model.verdicts import Verdict
from counterpoise.roles.board import Board


def antenna_clear_zone(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for foreign copper in each antenna's clear zone on every layer.

    The zone comes from the manifest or a card, else from the drawing's keep-out areas, else from
    the body itself and a margin round it; its own feed and its own pads are excepted.
    """
    from counterpoise.checks._antenna_zone import clear_zone

    return clear_zone(board, rule)


def switch_facing(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare where each plunger points on the board with where it is stated to face."""
    from counterpoise.checks._switch_facing import facing

    return facing(board, rule)


def switch_siblings(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for the one of several like switches that is turned against the others."""
    from counterpoise.checks._switch_facing import siblings

    return siblings(board, rule)


def switch_mirrored(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the order of each switch's pads with its card's, seen from the part's side."""
    from counterpoise.checks._switch_facing import mirrored

    return mirrored(board, rule)
