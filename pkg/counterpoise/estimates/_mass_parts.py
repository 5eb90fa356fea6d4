"""What the parts weigh, each by the best basis there is."""

from __future__ import annotations

import re
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
_CHIPS = frozenset(
    (
        *("radio", "controller", "chip", "memory", "logic", "sensor", "charger", "power-path"),
        *("protector", "regulator", "boost", "buck", "buck-boost", "clamp"),
    )
)
_MODULES = frozenset({"radio-module", "radio", "controller", "chip", "unknown"})
_ONE_SIDE = frozenset(
    {"cell", "radio-module", "radio", "controller", "connector", "slide-switch", "usb-connector"}
)
_BODY = re.compile(r"([\d.]+)\s*[x×]\s*([\d.]+)\s*[x×]\s*([\d.]+)\s*mm", re.IGNORECASE)
_ASIDE = re.compile(r"_(?:EP|TOP)\d[\d.]*X[\d.]+(?:MM)?")


def parts(board: Board) -> tuple[list[MassItem], list[str]]:
    """An item for each fitted part that weighs anything; the refs known by their envelope only."""
    items, unknown = [], []
    twins = _twins(board)
    for part in board.parts:
        told = _part(board, part)
        if told is None:
            continue
        item, guessed = told
        if part.ref in twins:
            item = _doubtful(item, twins[part.ref])
        items.append(item)
        if guessed:
            unknown.append(part.ref)
    return items, unknown


def _part(board: Board, part: Part) -> tuple[MassItem, bool] | None:
    """The item, and whether it is an estimate from the envelope; None for what weighs nothing."""
    role = board.role(part.ref).name
    label = part.value or role
    known = board.known(part, "mass")
    if not isinstance(known, Need):
        return MassItem(label, part.ref, spread(known.value), known.source), False
    footprint = board.layout.footprint(part.ref) if board.layout else None
    if _nothing(part, role, footprint):
        return None
    name = footprint.name if footprint and footprint.name else part.footprint
    if _is_module(role, footprint, name):
        area = _area(footprint)
        if area is not None:
            each = triple(material("module"), "mg_per_mm2", 1e-3)
            basis = f"module, {area:.0f} mm² as drawn: common practice, no source"
            return MassItem(label, part.ref, each.scaled(area), basis, "module"), False
    row = _package(role, name)
    if row is not None:
        count = _pin_count(part) if row.each == "pin" else 1
        shared = f"package {row.name}"
        basis = f"{row.name}: {row.basis}"
        return MassItem(label, part.ref, row.mass.scaled(count), basis, shared), False
    estimate, basis = _envelope(board, part, role, footprint)
    return MassItem(label, part.ref, estimate, basis), True


def _nothing(part: Part, role: str, footprint: Footprint | None) -> bool:
    """Whether nothing is bought and soldered for it: pads, copper, drawings."""
    if not part.bought or not part.pins or role in _WEIGHTLESS:
        return True
    if footprint is None:
        return False
    soldered = any(
        pad.drill is not None or any(n.endswith(".Paste") for n in pad.layers)
        for pad in footprint.pads
    )
    if role == "link":
        return not chip_size(footprint.name) and (not soldered or not part.value)
    if role == "antenna" and any(d.layer.endswith(".Cu") for d in footprint.drawings):
        return True
    return role in ("cell", "antenna") and not soldered


def spread(value: Range) -> Estimate:
    """A stated range: likely in its middle."""
    return Estimate(value.low, value.middle, value.high)


def _pin_count(part: Part) -> int:
    """Contacts, mounting tabs left out."""
    return len({pin.number for pin in part.pins if pin.number.isdigit()}) or len(part.pins)


def _package(role: str, footprint: str) -> PackageMass | None:
    chip = chip_size(footprint)
    bare = _ASIDE.sub("", footprint.rpartition(":")[2].upper())
    return next((row for row in packages() if row.fits(role, chip, bare)), None)


def package_mass(role: str, name: str, *, by_name: bool = False) -> Estimate | None:
    """Grams of one part of a role in a chip size, or of the package row of that name."""
    if by_name:
        return next((row.mass for row in packages() if row.name == name), None)
    return next((row.mass for row in packages() if row.chip == name and role in row.roles), None)


def _is_module(role: str, footprint: Footprint | None, name: str) -> bool:
    """A small board soldered flat on this one."""
    if footprint is None or role not in _MODULES:
        return False
    from counterpoise.geometry.antenna import looks_like_module

    return role == "radio-module" or "MODULE" in name.upper() or looks_like_module(footprint)


# -- boards that take the same part on either side -----------------------------------------------
def _twins(board: Board) -> dict[str, str]:
    """Refs of parts on the back that stand where a part of the same kind stands on the front: a
    board that can be fitted left or right carries one of both."""
    found: dict[tuple[float, float, str, str], str] = {}
    twins = {}
    prints = [board.layout.footprint(p.ref) if board.layout else None for p in board.parts]
    placed = [f for f in prints if f is not None and board.role(f.ref).name in _ONE_SIDE]
    for footprint in sorted(placed, key=lambda f: (f.side != "front", f.ref)):
        at = (round(footprint.at[0], 2), round(footprint.at[1], 2))
        key = (*at, footprint.name, board.role(footprint.ref).name)
        first = found.setdefault(key, footprint.ref)
        if first != footprint.ref and footprint.side != "front":
            twins[footprint.ref] = first
    return twins


def _doubtful(item: MassItem, other: str) -> MassItem:
    basis = f"not counted as likely: stands where {other} does, on the other side; {item.basis}"
    return MassItem(item.name, item.ref, Estimate(0.0, 0.0, item.mass.high), basis, "twins")


# -- envelopes ------------------------------------------------------------------------------------
def _envelope(
    board: Board, part: Part, role: str, footprint: Footprint | None
) -> tuple[Estimate, str]:
    """Body volume times density: the stated body, else the drawn one with a likely height."""
    table = material("chip_body" if role in _CHIPS else "body")
    density, fill = triple(table, "density"), triple(table, "fill")
    tall = triple(table, "height_mm")
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
    heights = tall if isinstance(height, Need) else spread(height.value)
    grams = [
        width * length * h * f * d / 1000
        for h, f, d in zip(_three(heights), _three(fill), _three(density), strict=True)
    ]
    return Estimate(*grams), f"estimated from its envelope, {width:.3g} x {length:.3g} mm as drawn"


def _three(estimate: Estimate) -> tuple[float, float, float]:
    return estimate.low, estimate.likely, estimate.high


def _area(footprint: Footprint | None) -> float | None:
    size = _drawn(footprint)
    return size and size[0] * size[1]


def _drawn(footprint: Footprint | None) -> tuple[float, float] | None:
    """Width and length in mm of the body, of the pads' extent where the body drawn is a mere mark."""
    if footprint is None:
        return None
    from counterpoise.geometry.bodies import body_box, pads_box

    sizes = [_size(box) for box in (body_box(footprint), pads_box(footprint))]
    real = [s for s in sizes if s is not None]
    if len(real) == 2 and real[0][0] * real[0][1] < 0.25 * real[1][0] * real[1][1]:
        return real[1]
    return real[0] if real else None


def _size(box: Box | None) -> tuple[float, float] | None:
    if box is None:
        return None
    width, length = box[2] - box[0], box[3] - box[1]
    return (width, length) if width > 0 and length > 0 else None
