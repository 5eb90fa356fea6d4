"""The bare board and its solder: laminate, copper, holes, mask, legend, finish."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from counterpoise.catalog.materials import finishes, material, triple
from counterpoise.catalog.toml import Table
from counterpoise.estimates.area import area, board_outline, main_piece
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
    whole = board.layout or Layout()
    alone = len(board_outline(board).boards) == 1
    layout = whole if alone else _only(whole, piece)
    foils = foil(board)
    drawn = board.once("copper-areas", lambda: drawn_copper(board, layout, size.board_mm2))
    solid = size.board_mm2 - (size.holes_mm2 - piece.cutout_area)
    items = [_laminate(board, solid, thick, foils, drawn)]
    items += _copper(layout, size.board_mm2, foils, drawn)
    items += _holes(layout, piece, thick.mm)
    items += _coats(board, layout, size.board_mm2)
    items += _solder(board, layout, thick.mm)
    return items


def _only(layout: Layout, piece: Piece) -> Layout:
    """What of a panel stands on one of its boards."""
    return replace(
        layout,
        footprints=tuple(f for f in layout.footprints if piece.holds(f.at)),
        drawings=(),
        tracks=tuple(t for t in layout.tracks if piece.holds(t.shape.start)),
        vias=tuple(v for v in layout.vias if piece.holds(v.at)),
        zones=tuple(
            replace(z, fills=tuple(f for f in z.fills if piece.holds(f[1].points[0])))
            for z in layout.zones
        ),
    )


def drawn_copper(board: Board, layout: Layout, board_mm2: float) -> dict[str, float]:
    """Area of copper by layer in mm², what the drills take away left out."""
    from counterpoise.geometry.copper import Copper
    from counterpoise.geometry.cover import copper_areas

    copper = copper_of(board) if layout is board.layout else Copper(layout)
    areas = copper_areas(copper)
    drilled = _drilled(layout)
    return {
        name: max(min(areas.get(name, 0.0), board_mm2) - drilled.get(name, 0.0), 0.0)
        for name in layout.copper_layers
    }


def _drilled(layout: Layout) -> dict[str, float]:
    """Area of the holes through copper by layer, in mm²: those of vias and of pads with a ring."""
    found: dict[str, dict[tuple[float, float], float]] = {n: {} for n in layout.copper_layers}
    span = {name: i for i, name in enumerate(layout.copper_layers)}
    for via in layout.vias:
        ends = [span[name] for name in via.layers if name in span]
        if ends and via.size > via.drill:
            for name in layout.copper_layers[min(ends) : max(ends) + 1]:
                found[name][_spot(via.at)] = math.pi * via.drill**2 / 4
    for footprint in layout.footprints:
        for pad in footprint.pads:
            drill = pad.drill
            if drill is None or max(pad.size) <= max(drill.width, drill.height) + 1e-6:
                continue
            short, long = sorted((drill.width, drill.height))
            for name in pad.copper:
                if name in found:
                    found[name][_spot(drill.at)] = math.pi * short**2 / 4 + (long - short) * short
    return {name: math.fsum(sizes.values()) for name, sizes in found.items()}


def _spot(at: tuple[float, float]) -> tuple[float, float]:
    return round(at[0], 3), round(at[1], 3)


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
        outer = _outer(layout, position)
        stated = facts.copper_mm if outer else facts.inner_copper_mm
        likely = stated or drawn.get(name) or facts.copper_mm or usual
        found[name] = Estimate(
            likely * spread.low, likely, likely * (spread.high if outer else 1.0)
        )
    return found


def _outer(layout: Layout, position: int) -> bool:
    return position in (0, len(layout.copper_layers) - 1)


def _laminate(
    board: Board,
    solid: float,
    thick: Thickness,
    foils: dict[str, Estimate],
    drawn: dict[str, float],
) -> MassItem:
    """A · t · density, where t is the finished thickness less outer copper and mask; resin fills what
    inner copper leaves free."""
    table = material("laminate")
    layout, stated = board.layout or Layout(), board.manifest.board.density_g_cm3
    density = Estimate.sure(stated) if stated is not None else triple(table, "density")
    tolerance = float(table.take("tolerance", float))
    mask = 2 * triple(material("mask"), "thickness_um").likely / 1000
    outside = [n for i, n in enumerate(layout.copper_layers) if _outer(layout, i)]
    core = max(thick.mm - sum(foils[n].likely for n in outside) - mask, 0.0)
    inside = sum(min(drawn[n], solid) * foils[n].likely for n in foils if n not in outside)
    grams = [
        max(solid * max(core + thick.mm * off, 0.0) - inside, 0.0) * rho / 1000
        for off, rho in ((-tolerance, density.low), (0, density.likely), (tolerance, density.high))
    ]
    basis = f"{solid:.0f} mm² x {core:.3g} mm ({thick.source}) x {density.likely:.4g} g/cm³"
    return MassItem("laminate", "", Estimate(*grams), basis, THICKNESS, "bare")


def _copper(
    layout: Layout, board_mm2: float, foils: dict[str, Estimate], drawn: dict[str, float]
) -> list[MassItem]:
    density = float(material("copper").take("density", float))
    unfilled = {
        name
        for zone in layout.zones
        if zone.keepout is None and not zone.fills
        for name in zone.layers
    }
    items = []
    for name, thick in foils.items():
        most = board_mm2 if name in unfilled else drawn[name]
        grams = Estimate(
            drawn[name] * thick.low * density / 1000,
            (drawn[name] + most) / 2 * thick.likely * density / 1000,
            most * thick.high * density / 1000,
        )
        doubt = ", zones not filled in the file" if name in unfilled else ""
        basis = f"{drawn[name]:.0f} mm² drawn x {thick.likely * 1000:.3g} µm{doubt}"
        items.append(MassItem(f"copper {name}", "", grams, basis, "copper", "bare"))
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
    basis = f"walls of {wall.likely * 1000:.3g} µm"
    return [MassItem("plated holes", "", grams, basis, "copper", "bare")]


def _coats(board: Board, layout: Layout, board_mm2: float) -> list[MassItem]:
    mask, legend = material("mask"), material("legend")
    rho, thick = triple(mask, "density"), triple(mask, "thickness_um", 1e-3)
    cover = float(mask.take("cover", float))
    coat = [
        2 * cover * board_mm2 * t * r / 1000 for t, r in zip(ends(thick), ends(rho), strict=True)
    ]
    ink, ink_thick = triple(legend, "density"), triple(legend, "thickness_um", 1e-3)
    share = triple(legend, "cover")
    print_ = [
        2 * c * board_mm2 * t * r / 1000
        for c, t, r in zip(ends(share), ends(ink_thick), ends(ink), strict=True)
    ]
    name, finish = _finish(board)
    plate, plated = triple(finish, "density"), triple(finish, "thickness_um", 1e-3)
    open_mm2 = sum(_open_area(pad) for f in layout.footprints for pad in f.pads)
    metal = [open_mm2 * t * r / 1000 for t, r in zip(ends(plated), ends(plate), strict=True)]
    sheet = f"both sides, {thick.likely * 1000:.3g} µm"
    layer = f"{name}: {open_mm2:.0f} mm² x {plated.likely * 1000:.3g} µm"
    return [
        MassItem("solder mask", "", Estimate(*coat), sheet, "", "bare"),
        MassItem("legend", "", Estimate(*print_), f"{share.likely:.0%} of both sides", "", "bare"),
        MassItem("finish on pads", "", Estimate(*metal), layer, "", "bare"),
    ]


def _finish(board: Board) -> tuple[str, Table]:
    """What covers the pads, by the words that the manifest or the board file have for it."""
    layout = board.layout or Layout()
    said = (board.manifest.board.finish or layout.finish).upper()
    for row in finishes():
        if said and re.search(row.text("words"), said):
            return row.text("name"), row
    return "finish not told", material("finish")


def ends(estimate: Estimate) -> tuple[float, float, float]:
    """Low, likely, high."""
    return estimate.low, estimate.likely, estimate.high


def pad_area(pad: Pad) -> float:
    """Copper area of one pad in mm²; rounded corners count as square, near enough for mass."""
    width, height = pad.size
    if pad.extra:
        from counterpoise.geometry.pads import pad_shape

        return float(pad_shape(pad).area)
    round_off = (4 - math.pi) / 4 * min(width, height) ** 2
    return width * height - (round_off if pad.shape in ("circle", "oval") else 0.0)


def _open_area(pad: Pad) -> float:
    sides = sum(name in pad.layers for name in ("F.Mask", "B.Mask"))
    return pad_area(pad) * sides if pad.copper else 0.0


def _solder(board: Board, layout: Layout, thick: float) -> list[MassItem]:
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
        for s, f, r in zip(ends(stencil), ends(filled), ends(density), strict=True)
    ]
    basis = f"paste on {pasted:.0f} mm² at {stencil.likely * 1000:.3g} µm, {holes:.0f} mm² of holes"
    return [MassItem("solder", "", Estimate(*grams), basis, "", "solder")]
