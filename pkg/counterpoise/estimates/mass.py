"""What the board will weigh: a ledger of items with low, likely and high, and its honest sum."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable

from counterpoise.estimates._mass_board import bare_board
from counterpoise.estimates._mass_cell import cell_and_extras
from counterpoise.estimates._mass_parts import parts
from counterpoise.model.facts import Fact, Need
from counterpoise.model.report import Mass, MassItem
from counterpoise.roles.board import Board
from counterpoise.values.ranges import Estimate


def mass(board: Board) -> Fact[Mass]:
    """The ledger: bare board, solder, parts, cell, extras; in grams.

    Needs a layout with a closed outline, since the laminate is most of a small board.
    """

    def work() -> Fact[Mass]:
        bare = bare_board(board)
        if isinstance(bare, Need):
            return bare
        fitted, unknown = parts(board)
        return ledger([*bare, *fitted, *cell_and_extras(board)], unknown)

    return board.once("mass", work)


def ledger(items: Iterable[MassItem], unknown: Iterable[str] = ()) -> Mass:
    """The sum of the items.

    Likely values add up. Items that share an uncertainty (the same package, the laminate's
    thickness) are off together: their deviations add up linearly; the groups are independent: their
    deviations add in quadrature. The worst case adds every low, and every high.
    """
    kept = tuple(items)
    below: dict[str, float] = defaultdict(float)
    above: dict[str, float] = defaultdict(float)
    for position, item in enumerate(kept):
        group = item.shared or f"#{position}"
        below[group] += item.mass.likely - item.mass.low
        above[group] += item.mass.high - item.mass.likely
    likely = math.fsum(item.mass.likely for item in kept)
    worst_low = math.fsum(item.mass.low for item in kept)
    worst_high = math.fsum(item.mass.high for item in kept)
    low = likely - math.sqrt(math.fsum(d * d for d in below.values()))
    high = likely + math.sqrt(math.fsum(d * d for d in above.values()))
    # Rounding alone may push a quadrature sum past the worst case.
    total = Estimate(min(max(low, worst_low), likely), likely, max(min(high, worst_high), likely))
    return Mass(total, kept, worst_low, worst_high, tuple(unknown))
