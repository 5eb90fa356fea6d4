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


def track_too_thin(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the narrowest track of each net with the profile."""
    from counterpoise.checks._fabrication_copper import tracks

    return tracks(board, rule)


def hole_too_small(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare drilled holes, plated and bare, pads and vias, with the profile."""
    from counterpoise.checks._fabrication_copper import holes

    return holes(board, rule)


def ring_too_thin(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the copper round each plated hole at its thinnest with the profile."""
    from counterpoise.checks._fabrication_copper import rings

    return rings(board, rule)


def gap_too_small(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the distance between copper of different nets, on every layer, with the profile."""
    from counterpoise.checks._fabrication_gaps import gaps

    return gaps(board, rule)


def copper_near_edge(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the distance of tracks, vias, pads and pours from the edge with the profile."""
    from counterpoise.checks._fabrication_copper import near_edge

    return near_edge(board, rule)


def web_too_thin(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Measure the board between cut-outs, bare holes and edge, and where the outline narrows."""
    from counterpoise.checks._fabrication_strength import thin_webs

    return thin_webs(board, rule)


def arm_too_bendy(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compute the bend of each arm under the press on the switch it carries."""
    from counterpoise.checks._fabrication_strength import bendy_arms

    return bendy_arms(board, rule)


def track_current(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the narrowest track of each supply net with the current known for it."""
    from counterpoise.checks._fabrication_current import track_current as judge

    return judge(board, rule)


def part_overhang(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for bodies past the edge and for bodies on each other."""
    from counterpoise.checks._fabrication_strength import overhang

    return overhang(board, rule)


def part_in_hole(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for pads over cut-outs."""
    from counterpoise.checks._fabrication_strength import in_hole

    return in_hole(board, rule)
