"""The radio's antenna, its matching place, and the supply of its RF part."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._antenna import judge_antennas
from counterpoise.checks._match_place import judge_guard, judge_place
from counterpoise.model.verdicts import Verdict
from counterpoise.roles.board import Board


def antenna_fed(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Follow each antenna's feed through matching parts until a radio's RF pin.

    Ground and supply rails end the way; baluns, filters and antenna connectors pass it on.
    """
    yield from judge_antennas(board, rule)


def antenna_match_pads(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for a place of any series or shunt part, fitted or not, between radio and antenna."""
    for antenna in board.parts_as("antenna"):
        yield judge_place(board, antenna)


def radio_supply_guard(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that each supply pin of the RF part has a capacitor to ground, and near it on the board.

    Distances in mm from pad centre to pad centre.
    """
    for radio in board.parts_as("radio", "radio-module"):
        yield judge_guard(board, rule, radio)
