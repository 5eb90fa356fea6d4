"""What the parts, the cell and the extras weigh, each by the best basis there is."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from counterpoise.catalog.materials import PackageMass, material, packages, triple
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.layout import Footprint
from counterpoise.model.report import MassItem
from counterpoise.roles.board import Board
from counterpoise.values.ranges import Estimate, Range
from counterpoise.values.sizes import chip_size

if TYPE_CHECKING:
    from counterpoise.geometry.strokes import Box

_WEIGHTLESS = frozenset({"test-point", "mechanical"})
_BODY = re.compile(r"([\d.]+)\s*[x×]\s*([\d.]+)\s*[x×]\s*([\d.]+)\s*mm", re.IGNORECASE)
_LITHIUM = frozenset({"li-po", "li-ion", "li-hv"})


def parts(board: Board) -> tuple[list[MassItem], list[str]]:
    """An item for each fitted part that weighs anything; the refs known by their envelope only."""
    items, unknown = [], []
    cell = board.cell
    for part in board.parts:
        role = board.role(part.ref).name
        if not part.bought or role in _WEIGHTLESS or (role == "link" and not part.value):
            continue
        item, guessed = _part(board, part, role, is_cell=cell is not None and part.ref == cell.ref)
        if item is None:
            continue
        items.append(item)
        if guessed:
            unknown.append(part.ref)
    return items, unknown


def _part(board: Board, part: Part, role: str, *, is_cell: bool) -> tuple[MassItem | None, bool]:
    known = board.known(part, "mass")
    if not isinstance(known, Need):
        return MassItem(part.value or role, part.ref, _spread(known.value), known.source), False
    footprint = board.layout.footprint(part.ref) if board.layout else None
    name = footprint.name if footprint and footprint.name else part.footprint
    if is_cell and name == "" and footprint is None:
        return None, False
    row = _package(role, name)
    if row is not None and not (is_cell and row.name.startswith("pads")):
        count = len(part.pins) if row.each == "pin" else 1
        shared = f"package {row.name}"
        item = MassItem(
            part.value or role, part.ref, row.mass.scaled(count), f"{row.name}: {row.basis}", shared
        )
        return item, False
    if role == "antenna" and footprint is not None and _is_copper(footprint):
        return None, False
    if is_cell:
        return None, False
    estimate, basis = _envelope(board, part, footprint)
    return MassItem(part.value or role, part.ref, estimate, basis), True


def _spread(value: Range) -> Estimate:
    return Estimate(value.low, value.middle, value.high)


def _package(role: str, footprint: str) -> PackageMass | None:
    chip = chip_size(footprint)
    bare = footprint.rpartition(":")[2].upper()
    return next((row for row in packages() if row.fits(role, chip, bare)), None)


def package_mass(role: str, name: str, *, by_name: bool = False) -> Estimate | None:
    """Grams of one part of a role in a chip size, or of the package row of that name."""
    if by_name:
        return next((row.mass for row in packages() if row.name == name), None)
    return next((row.mass for row in packages() if row.chip == name and role in row.roles), None)


def _is_copper(footprint: Footprint) -> bool:
    """Whether a footprint is drawn in copper only: no paste, no hole, nothing to buy."""
    return any(d.layer.endswith(".Cu") for d in footprint.drawings)


def _envelope(board: Board, part: Part, footprint: Footprint | None) -> tuple[Estimate, str]:
    """Body volume times density: the stated body, else the drawn one with a likely height."""
    table = material("body")
    density, fill, tall = (
        triple(table, "density"),
        triple(table, "fill"),
        triple(table, "height_mm"),
    )
    stated = _BODY.search(board.text(part, "body") or "")
    if stated:
        volume = float(stated[1]) * float(stated[2]) * float(stated[3])
        grams = [volume * f * d / 1000 for f, d in zip(_three(fill), _three(density), strict=True)]
        return Estimate(*grams), f"estimated from its envelope, {stated[0]} as stated"
    size = _drawn(footprint)
    if size is None:
        return Estimate(0.0, 0.03, 2.0), "unknown: no body drawn, no package recognised"
    width, length = size
    height = board.known(part, "height")
    heights = tall if isinstance(height, Need) else _spread(height.value)
    grams = [
        width * length * h * f * d / 1000
        for h, f, d in zip(_three(heights), _three(fill), _three(density), strict=True)
    ]
    return Estimate(*grams), f"estimated from its envelope, {width:.3g} x {length:.3g} mm as drawn"


def _three(estimate: Estimate) -> tuple[float, float, float]:
    return estimate.low, estimate.likely, estimate.high


def _drawn(footprint: Footprint | None) -> tuple[float, float] | None:
    if footprint is None:
        return None
    from counterpoise.geometry.bodies import body_box, pads_box

    box: Box | None = body_box(footprint) or pads_box(footprint)
    if box is None:
        return None
    width, length = box[2] - box[0], box[3] - box[1]
    return (width, length) if width > 0 and length > 0 else None


def cell_and_extras(board: Board) -> Iterator[MassItem]:
    """The cell, and what the manifest lists as extra."""
    cell = board.manifest.cell
    ref = board.cell.ref if board.cell else cell.ref or ""
    if cell.mass_g is not None:
        yield MassItem("cell", ref, _spread(cell.mass_g), "stated in board.toml")
    elif cell.capacity_ah is not None and cell.chemistry in _LITHIUM:
        milliamp_hours = cell.capacity_ah * 1000 * cell.cells
        likely = 0.6 * cell.cells + milliamp_hours / 50
        basis = (
            f"{milliamp_hours:.0f} mAh pouch cell: 0.6 g and 1 g for each 50 mAh "
            "(common practice, no source)"
        )
        yield MassItem("cell", ref, Estimate(likely * 0.75, likely, likely * 1.3), basis)
    elif board.cell is not None or cell.chemistry is not None:
        basis = 'unknown: state it, board.toml: [cell] mass = "4.1 g"'
        yield MassItem("cell", ref, Estimate(0.8, 5.0, 30.0), basis)
    for extra in board.manifest.extras:
        each = _spread(extra.mass_g)
        count = f", {extra.count} of them" if extra.count > 1 else ""
        yield MassItem(extra.name, "", each.scaled(extra.count), f"stated in board.toml{count}")
