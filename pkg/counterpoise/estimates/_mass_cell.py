"""What the cell weighs, and what the manifest lists beside the board."""

from __future__ import annotations

import re
from collections.abc import Iterator

from counterpoise.catalog.cells import Candidate, candidates
from counterpoise.estimates._mass_parts import spread
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.report import MassItem
from counterpoise.roles.board import Board
from counterpoise.roles.cells import capacity_of, chemistry_of, texts_of
from counterpoise.values.ranges import Estimate

_POUCH = ("li-po", "li-ion")
_LARGEST_POUCH_AH = 3.0
_CODES = re.compile(
    r"CR\d{4}|(?<![A-Z])A{2,3}(?![A-Z])|(?<=[_X ])(?:1220|1632|20(?:16|25|32)|2450)"
)
STATE = 'board.toml: [cell] mass = "4.1 g"'


def cell_and_extras(board: Board) -> Iterator[MassItem]:
    """The cell (all of them when several are in series), and what the manifest lists as extra."""
    facts = board.manifest.cell
    if board.cell is not None or facts.chemistry is not None or facts.mass_g is not None:
        yield _cell(board, board.cell)
    elif (holders := board.parts_as("cell")) != ():
        refs = ", ".join(part.ref for part in holders)
        basis = f"unknown: state which of {refs} carries it, board.toml: [cell] ref, and its mass"
        yield MassItem("cell", "", Estimate(0.0, 5.0, 30.0), basis, "", "cell")
    for extra in board.manifest.extras:
        each = spread(extra.mass_g)
        count = f", {extra.count} of them" if extra.count > 1 else ""
        basis = f"stated in board.toml{count}"
        yield MassItem(extra.name, "", each.scaled(extra.count), basis, "", "extra")


def _cell(board: Board, cell: Part | None) -> MassItem:
    facts = board.manifest.cell
    ref = cell.ref if cell is not None else facts.ref or ""
    if facts.mass_g is not None:
        return _item(ref, spread(facts.mass_g), "stated in board.toml")
    chemistry, capacity = chemistry_of(board, cell), capacity_of(board, cell)
    named = None if cell is None else _named(f"{texts_of(cell)} {cell.footprint.upper()}")
    kind = None if isinstance(chemistry, Need) else chemistry.name
    if kind is not None and not isinstance(capacity, Need):
        by_size = _by_capacity(kind, capacity, facts.cells)
        if by_size is not None:
            return _item(ref, *by_size)
    if named is not None and kind in (None, named.chemistry):
        basis = f"{named.name}, by the words at {ref}: {named.basis}"
        return _item(ref, named.mass.scaled(facts.cells), basis)
    return _item(ref, Estimate(0.8, 5.0, 30.0).scaled(facts.cells), f"unknown: state it, {STATE}")


def _item(ref: str, mass: Estimate, basis: str) -> MassItem:
    return MassItem("cell", ref, mass, basis, "", "cell")


def _by_capacity(kind: str, capacity_ah: float, cells: int) -> tuple[Estimate, str] | None:
    """Grams by the chemistry and the capacity; None for one that the table has no cell of."""
    charge = f"{capacity_ah * 1000:.0f} mAh"
    if kind in _POUCH and capacity_ah <= _LARGEST_POUCH_AH:
        likely = cells * (0.15 + capacity_ah * 1000 / 48)
        basis = f"{charge} pouch cell: 0.15 g and 1 g for each 48 mAh (common practice, no source)"
        return Estimate(likely * 0.75, likely, likely * 1.35), basis
    alike = [c for c in candidates() if c.chemistry == kind]
    if not alike:
        return None
    near = min(alike, key=lambda c: (abs(c.capacity_ah - capacity_ah), c.name))
    mass = near.mass.scaled(cells * capacity_ah / near.capacity_ah)
    wide = Estimate(mass.low * 0.8, mass.likely, mass.high * 1.25)
    return wide, f"{charge}, in proportion to {near.name} (common practice, no source)"


def _named(text: str) -> Candidate | None:
    """The cell of the table whose size code the text holds; of AA and AAA the alkaline one."""
    found = _CODES.search(text)
    if found is None:
        return None
    word = re.compile(rf"(?<![A-Z]){found[0]}(?!\w)")
    return next((c for c in candidates() if word.search(c.name.upper())), None) or next(
        (c for c in candidates() if found[0].isdigit() and c.name.endswith(found[0])), None
    )
