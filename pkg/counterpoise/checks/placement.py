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
    from counterpoise.checks._antenna_clear import clear_zone

    return clear_zone(board, rule)


def switch_facing(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare where each plunger points on the board with where it is stated to face."""
    from counterpoise.checks._switch_facing import facing

    return facing(board, rule)


def switch_siblings(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for the one of several like switches that is turned against the others."""
    from counterpoise.checks._switch_siblings import siblings

    return siblings(board, rule)


def switch_mirrored(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the order of each switch's pads with its card's, seen from the part's side."""
    from counterpoise.checks._switch_facing import mirrored

    return mirrored(board, rule)


def antenna_at_edge(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Measure from each radiating body to the outer edge."""
    from counterpoise.checks._placement_radio import at_edge

    return at_edge(board, rule)


def antenna_near_metal(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Measure from each radiating body to cells, metal shells and screws on the board, and ask
    whether a loose cell of the stated size can keep clear of it."""
    from counterpoise.checks._placement_metal import near_metal

    return near_metal(board, rule)


def feed_impedance(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compute the impedance of each feed from its width, its gap and the stack-up."""
    from counterpoise.checks._placement_radio import feed_impedance as judge

    return judge(board, rule)


def feed_length(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the length of each feed that cannot be tuned with the wavelength on the board."""
    from counterpoise.checks._placement_radio import feed_length as judge

    return judge(board, rule)


def crystal_distance(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Measure from each crystal's pads to its pins, and look for signals that cross under it."""
    from counterpoise.checks._placement_crystal import crystal_distance as judge

    return judge(board, rule)


def centroid_rotation(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare side, position and rotation of each row with the layout, in the file's own sense."""
    from counterpoise.checks._placement_files import centroid

    return centroid(board, rule)


def layout_netlist_differs(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare which pins are joined in the netlist with which are joined on the layout."""
    from counterpoise.checks._layout_netlist import differs

    return differs(board, rule)


def height_over(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare board and tallest parts with the height limit of the manifest."""
    from counterpoise.checks._placement_height import height

    return height(board, rule)
