"""The whole answer of ``weigh``."""

from __future__ import annotations

from counterpoise.estimates.area import area
from counterpoise.estimates.mass import mass
from counterpoise.estimates.scale import weighed
from counterpoise.estimates.shave import shave
from counterpoise.model.facts import Fact, Need
from counterpoise.model.layout import FRONT, Layout
from counterpoise.model.weigh import Weigh
from counterpoise.roles.board import Board

_CROWDED = 0.7
"""The share of a side that parts can cover when they are placed by hand; common practice, no source."""


def weigh(board: Board) -> Fact[Weigh]:
    """Area, ledger, ways to shave, and the scale's word; or what is missing for a ledger."""
    size, found = area(board), mass(board)
    if isinstance(size, Need):
        return size
    if isinstance(found, Need):
        return found
    front, back = _covered(board.layout or Layout())
    busiest = max(front, back)
    return Weigh(
        board=board.design.name,
        area=size,
        mass=found,
        shave=shave(board),
        scale=weighed(board, found),
        mass_limit_g=board.manifest.limits.mass_g,
        area_limit_mm2=board.manifest.limits.area_mm2,
        filled=(front + back) / (2 * size.board_mm2) if busiest else None,
        least_mm2=busiest / _CROWDED if busiest else None,
    )


def _covered(layout: Layout) -> tuple[float, float]:
    """Courtyard area of the parts on the front and on the back, in mm²."""
    from counterpoise.geometry.bodies import drawn_box, pads_box

    sides = {True: 0.0, False: 0.0}
    for footprint in layout.footprints:
        if not footprint.pads:
            continue
        box = drawn_box(footprint, "CrtYd", "Fab") or pads_box(footprint)
        if box is not None:
            sides[footprint.side == FRONT] += (box[2] - box[0]) * (box[3] - box[1])
    return sides[True], sides[False]
