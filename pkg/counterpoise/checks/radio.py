"""The radio's antenna, its matching place, and the supply of its RF part."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._antenna import judge_antennas
from counterpoise.model.verdicts import Verdict
from counterpoise.roles.board import Board


def antenna_fed(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Follow each antenna's feed through matching parts until a radio's RF pin.

    Ground and supply rails end the way; baluns, filters and antenna connectors pass it on.
    """
    yield from judge_antennas(board, rule)
