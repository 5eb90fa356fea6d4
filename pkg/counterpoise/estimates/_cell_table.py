"""The cells that are weighed against each other: those the user lists, then those of the table."""

from __future__ import annotations

from counterpoise.catalog.cells import Candidate, candidates
from counterpoise.roles.board import Board
from counterpoise.values.ranges import Estimate


def cells_to_weigh(board: Board) -> tuple[Candidate, ...]:
    """The user's own cells first, then the table's, each name once."""
    own = [
        Candidate(
            c.name,
            c.chemistry,
            c.capacity_ah,
            Estimate(c.mass_g.low, c.mass_g.middle, c.mass_g.high),
            "listed in board.toml",
        )
        for c in board.manifest.cells
    ]
    taken = {c.name for c in own}
    return (*own, *(c for c in candidates() if c.name not in taken))
