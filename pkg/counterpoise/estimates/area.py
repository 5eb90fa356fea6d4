"""How big the board is: its outline less its cut-outs, its bounding size, its holes."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from counterpoise.model.facts import Fact, Need
from counterpoise.model.layout import Layout
from counterpoise.model.report import Area
from counterpoise.roles.board import Board

if TYPE_CHECKING:
    from counterpoise.geometry.outline import Outline, Piece

_NO_LAYOUT = Need("the board file", 'board.toml: [board] layout = "…" (or --layout FILE)', True)


def board_outline(board: Board) -> Outline:
    """The edge of the board as drawn, worked out once; empty without a layout."""
    from counterpoise.geometry.outline import outline

    return board.once("outline", lambda: outline(board.layout or Layout()))


def main_piece(board: Board) -> Fact[Piece]:
    """The board that is judged: the only one, the one ``[board] outline`` picks, else the largest.

    The manifest counts boards of a panel from 1, largest first.
    """
    if board.layout is None:
        return _NO_LAYOUT
    edge = board_outline(board)
    if not edge.closed:
        what = "a closed outline" if edge.drawn else "the board outline"
        return Need(what, "the board file: draw a closed edge on the layer Edge.Cuts")
    asked = (board.manifest.board.outline or "1").strip()
    if asked == "largest":
        asked = "1"
    if not (asked.isascii() and asked.isdigit() and 1 <= int(asked) <= len(edge.boards)):
        known = f'"largest" or "1" to "{len(edge.boards)}"'
        return Need(
            f"which of {len(edge.boards)} outlines is meant",
            f"board.toml: [board] outline = {known}",
        )
    return edge.boards[int(asked) - 1]


def panel_note(board: Board) -> str | None:
    """What a reader must know where the file holds several boards; None for a single one."""
    count = len(board_outline(board).boards)
    if count < 2:
        return None
    picked = board.manifest.board.outline
    which = f"of board {picked}, largest first" if picked else "of the largest"
    line = "" if picked else '; board.toml: [board] outline = "2" picks the second largest'
    return f"{count} boards are drawn; rules judge all, area and mass are those {which}{line}"


def area(board: Board) -> Fact[Area]:
    """Board area, bounding size and area of holes, or what is missing for them.

    ``board_mm2`` is the outline less its cut-outs (slots and holes drawn as edges too), exact for
    arcs; drilled holes stay in it. ``holes_mm2`` is cut-outs and drilled holes. The bounding size
    runs through the centres of the edge lines.
    """

    def work() -> Fact[Area]:
        piece = main_piece(board)
        if isinstance(piece, Need):
            return piece
        low_x, low_y, high_x, high_y = piece.outer.box
        width, height = high_x - low_x, high_y - low_y
        drilled = _drilled(board.layout or Layout(), piece)
        return Area(piece.area, width * height, width, height, piece.cutout_area + drilled)

    return board.once("area", work)


def _drilled(layout: Layout, piece: Piece) -> float:
    """Area of drilled holes on board material, a hole drilled twice at one place counted once."""
    found: dict[tuple[float, float], float] = {}
    drills = [p.drill for f in layout.footprints for p in f.pads if p.drill is not None]
    for drill in drills:
        short, long = sorted((drill.width, drill.height))
        size = math.pi * short**2 / 4 + short * (long - short)
        _keep(found, drill.at, size)
    for via in layout.vias:
        _keep(found, via.at, math.pi * via.drill**2 / 4)
    return sum(size for at, size in sorted(found.items()) if piece.holds(at))


def _keep(found: dict[tuple[float, float], float], at: tuple[float, float], size: float) -> None:
    key = (round(at[0], 3), round(at[1], 3))
    found[key] = max(size, found.get(key, 0.0))
