"""Antennas that are drawn as loose copper: the radio's line ends at the edge with no pad."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.checks._feed import RADIOS, RF_FUNCTIONS, ends, walk
from counterpoise.checks._layout import edge_lines, layout_of
from counterpoise.geometry.antenna import LooseEnd, loose_end
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Unknown
from counterpoise.roles.board import Board

_AT_EDGE_MM = 5.0
"""From the edge, as rule antenna-at-edge has it: a line that ends deeper inside is a leftover."""


def drawn_in_copper(board: Board) -> Iterator[Unknown]:
    """One a radio whose RF net ends in copper without a pad near the edge: it may be an antenna,
    but which part of the copper radiates nobody states."""
    for radio in board.parts_as(*RADIOS):
        found = _loose(board, radio)
        if found is not None:
            net, end = found
            what = (
                f"whether the copper of net {net}, which ends without a pad at x {end.at[0]:.2f}, "
                f"y {end.at[1]:.2f} mm, is the antenna of {radio.ref}"
            )
            where = "the board file: draw a printed antenna as a footprint, named AE1 or the like"
            yield Unknown(radio.ref, (Need(what, where),))


def _loose(board: Board, radio: Part) -> tuple[str, LooseEnd] | None:
    edge = edge_lines(board)
    starts = {net for net in board.nets_for(radio, *RF_FUNCTIONS) if not ends(board, net)}
    nets = {net for start in starts for net in walk(board, radio, start).nets}
    for net in sorted(nets):
        end = loose_end(layout_of(board), net)
        if end is not None and edge is not None and end.shape.distance(edge) <= _AT_EDGE_MM:
            return net, end
    return None
