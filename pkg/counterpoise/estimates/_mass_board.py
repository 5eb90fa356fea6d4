"""The bare board and its solder: laminate, copper, holes, mask, legend, finish."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from counterpoise.catalog.materials import material, triple
from counterpoise.estimates.area import area, main_piece
from counterpoise.model.facts import Fact, Need
from counterpoise.model.layout import Layout, Pad
from counterpoise.model.report import MassItem
from counterpoise.roles.board import Board
from counterpoise.values.ranges import Estimate

if TYPE_CHECKING:
    from counterpoise.geometry.copper import Copper
    from counterpoise.geometry.outline import Piece

THICKNESS = "laminate"
"""The uncertainty that everything proportional to the laminate's thickness and density shares."""


@dataclass(frozen=True, slots=True)
class Thickness:
    """Finished thickness in mm, and where it comes from."""

    mm: float
    source: str


def thickness(board: Board) -> Fact[Thickness]:
    """As the manifest states it, else as the board file does."""
    stated = board.manifest.board.thickness_mm
    if stated is not None:
        return Thickness(stated, "stated in board.toml")
    drawn = board.layout.thickness_mm if board.layout else None
    if drawn:
        return Thickness(drawn, "board file")
    return Need("the board's thickness", 'board.toml: [board] thickness = "1.0 mm"')


def copper_of(board: Board) -> Copper:
    """All copper of the layout, gathered once."""
    from counterpoise.geometry.copper import Copper

    return board.once("copper", lambda: Copper(board.layout or Layout()))


def bare_board(board: Board) -> Fact[list[MassItem]]:
    """Laminate, copper layer by layer, plated holes, mask, legend, finish and solder, in grams."""
    piece, size, thick = main_piece(board), area(board), thickness(board)
    if isinstance(piece, Need):
        return piece
    if isinstance(size, Need):
        return size
    if isinstance(thick, Need):
        return thick
    layout = board.layout or Layout()
    solid = size.board_mm2 - (size.holes_mm2 - piece.cutout_area)
    foils = foil(board)
    stated = board.manifest.board.density_g_cm3
    items = [_laminate(solid, thick, sum(f.likely for f in foils.values()), stated)]
    items += _copper(board, piece, size.board_mm2, foils)
    items += _holes(layout, piece, thick.mm)
    items += _coats(layout, piece, size.board_mm2)
    items += _solder(board, layout, piece, thick.mm)
    return items


def foil(board: Board) -> dict[str, Estimate]:
    """Copper thickness in mm by layer: stated, else from the stack-up, else the usual one."""
    layout = board.layout or Layout()
    table = material("copper")
    usual = float(table.take("foil_um", float)) / 1000
    spread = triple(table, "foil_factor")
    drawn = {s.name: s.thickness_mm for s in layout.stack if s.kind == "copper" and s.thickness_mm}
    facts = board.manifest.board
    found = {}
    for position, name in enumerate(layout.copper_layers):
        outer = position in (0, len(layout.copper_layers) - 1)
        stated = facts.copper_mm if outer else facts.inner_copper_mm or facts.copper_mm
        likely = stated or drawn.get(name) or usual
        found[name] = Estimate(
            likely * spread.low, likely, likely * (spread.high if outer else 1.0)
        )
    return found


def _laminate(solid: float, thick: Thickness, copper: float, stated: float | None) -> MassItem:
    """A · t · density, where t is the finished thickness less copper and mask (both sides)."""
    table = material("laminate")
    density = Estimate.sure(stated) if stated is not None else triple(table, "density")
    tolerance = float(table.take("tolerance", float))
    mask = 2 * triple(material("mask"), "thickness_um").likely / 1000
    core = max(thick.mm - copper - mask, 0.0)
    grams = [
        solid * max(core + thick.mm * off, 0.0) * rho / 1000
        for off, rho in ((-tolerance, density.low), (0, density.likely), (tolerance, density.high))
    ]
    basis = f"{solid:.0f} mm² x {core:.3g} mm ({thick.source}) x {density.likely:.4g} g/cm³"
    return MassItem("laminate", "", Estimate(*grams), basis, THICKNESS)


def _copper(
    board: Board, piece: Piece, board_mm2: float, foils: dict[str, Estimate]
) -> list[MassItem]:
    from counterpoise.geometry.cover import copper_areas

    layout = board.layout or Layout()
    density = float(material("copper").take("density", float))
    areas = board.once("copper-areas", lambda: copper_areas(copper_of(board)))
    unfilled = {
        name
        for zone in layout.zones
        if zone.keepout is None and not zone.fills
        for name in zone.layers
    }
    items = []
    for name, thick in foils.items():
        drawn = min(areas.get(name, 0.0), board_mm2)
        most = board_mm2 if name in unfilled else drawn
        grams = Estimate(
            drawn * thick.low * density / 1000,
            (drawn + most) / 2 * thick.likely * density / 1000,
            most * thick.high * density / 1000,
        )
        doubt = ", zones not filled in the file" if name in unfilled else ""
        basis = f"{drawn:.0f} mm² drawn x {thick.likely * 1000:.3g} µm{doubt}"
        items.append(MassItem(f"copper {name}", "", grams, basis, "copper"))
    return items


def _holes(layout: Layout, piece: Piece, thick: float) -> list[MassItem]:
    wall = triple(material("barrel"), "thickness_um", 1e-3)
    density = float(material("copper").take("density", float))
    girth = sum(math.pi * via.drill for via in layout.vias if piece.holds(via.at))
    for footprint in layout.footprints:
        for pad in footprint.pads:
            drill = pad.drill
            if drill is not None and drill.plated and piece.holds(drill.at):
                short, long = sorted((drill.width, drill.height))
                girth += math.pi * short + 2 * (long - short)
    if girth <= 0:
        return []
    grams = wall.scaled(girth * thick * density / 1000)
    return [MassItem("plated holes", "", grams, f"walls of {wall.likely * 1000:.3g} µm", "copper")]


def _coats(layout: Layout, piece: Piece, board_mm2: float) -> list[MassItem]:
    mask, legend = material("mask"), material("legend")
    rho, thick = triple(mask, "density"), triple(mask, "thickness_um", 1e-3)
    cover = float(mask.take("cover", float))
    coat = Estimate(
        *(
            2 * cover * board_mm2 * t * r / 1000
            for t, r in zip(_ends(thick), _ends(rho), strict=True)
        )
    )
    ink, ink_thick = triple(legend, "density"), triple(legend, "thickness_um", 1e-3)
    share = triple(legend, "cover")
    print_ = Estimate(
        *(
            2 * c * board_mm2 * t * r / 1000
            for c, t, r in zip(_ends(share), _ends(ink_thick), _ends(ink), strict=True)
        )
    )
    finish = material("finish")
    plate, plated = triple(finish, "density"), triple(finish, "thickness_um", 1e-3)
    open_mm2 = sum(_open_area(pad) for f in layout.footprints for pad in f.pads)
    metal = Estimate(
        *(open_mm2 * t * r / 1000 for t, r in zip(_ends(plated), _ends(plate), strict=True))
    )
    return [
        MassItem("solder mask", "", coat, f"both sides, {thick.likely * 1000:.3g} µm"),
        MassItem("legend", "", print_, f"{share.likely:.0%} of both sides"),
        MassItem(
            "finish on pads", "", metal, f"{open_mm2:.0f} mm² x {plated.likely * 1000:.3g} µm"
        ),
    ]


def _ends(estimate: Estimate) -> tuple[float, float, float]:
    return estimate.low, estimate.likely, estimate.high


def pad_area(pad: Pad) -> float:
    """Copper area of one pad in mm²; rounded corners count as square, near enough for mass."""
    width, height = pad.size
    round_off = (4 - math.pi) / 4 * min(width, height) ** 2
    return width * height - (round_off if pad.shape in ("circle", "oval") else 0.0)


def _open_area(pad: Pad) -> float:
    sides = sum(name in pad.layers for name in ("F.Mask", "B.Mask"))
    return pad_area(pad) * sides if pad.copper else 0.0


def _solder(board: Board, layout: Layout, piece: Piece, thick: float) -> list[MassItem]:
    table = material("solder")
    density, stencil = triple(table, "density"), triple(table, "stencil_um", 1e-3)
    metal = float(table.take("paste_metal", float))
    filled = triple(table, "hole_fill")
    fitted = {part.ref for part in board.parts}
    pasted = holes = 0.0
    for footprint in layout.footprints:
        if footprint.ref not in fitted:
            continue
        for pad in footprint.pads:
            if any(name in pad.layers for name in ("F.Paste", "B.Paste")):
                pasted += pad_area(pad)
            if pad.drill is not None and pad.drill.plated and pad.number:
                holes += pad.drill.width * pad.drill.height * math.pi / 4
    grams = [
        (pasted * s * metal + holes * thick * f) * r / 1000
        for s, f, r in zip(_ends(stencil), _ends(filled), _ends(density), strict=True)
    ]
    basis = f"paste on {pasted:.0f} mm² at {stencil.likely * 1000:.3g} µm, {holes:.0f} mm² of holes"
    return [MassItem("solder", "", Estimate(*grams), basis)]
