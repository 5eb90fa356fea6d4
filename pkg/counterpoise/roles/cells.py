"""What a cell is: its chemistry, whether it may be charged, how much it holds."""

from __future__ import annotations

import re
from dataclasses import dataclass

from counterpoise.catalog.cells import CellKind, cell_kinds
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.manifest import PRIMARY, RECHARGEABLE
from counterpoise.roles.board import Board
from counterpoise.roles.paths import stated_cell

LITHIUM = ("li-po", "li-ion", "li-ion-coin", "lifepo4")
"""Rechargeable chemistries that burn when abused."""

COINS = ("li-mno2-coin", "li-ion-coin", "li-mn-coin")

_GENERAL = ("li-po", "li-ion")
"""Chemistries of whose words others are a kind: a coin cell or one of iron phosphate is told first."""

_CAPACITY = re.compile(r"(?<![\d.])(\d+(?:\.\d+)?)\s?(m)?AH(?![A-Z])", re.I)
_HOLDER = re.compile(r"HOLDER|KEYSTONE|CLIP|RETAINER", re.I)


@dataclass(frozen=True, slots=True)
class Chemistry:
    """A chemistry (``manifest.CHEMISTRIES``), what told it, and whether a stop may rest on it."""

    name: str
    because: str
    firm: bool = True

    @property
    def kind(self) -> CellKind:
        """What cells of this chemistry do."""
        return cell_kinds()[self.name]

    @property
    def rechargeable(self) -> bool:
        """Whether it may be charged at all."""
        return self.name in RECHARGEABLE

    @property
    def primary(self) -> bool:
        """Whether it must never be charged."""
        return self.name in PRIMARY


def texts_of(part: Part) -> str:
    """All that the files say of the part in words, upper case."""
    return " ".join((part.value, *part.fields.values(), part.description, part.symbol)).upper()


def chemistry_of(board: Board, cell: Part | None) -> Chemistry | Need:
    """As the manifest states it, else as the part's own words tell it."""
    stated = board.manifest.cell.chemistry
    if stated and stated_cell(board, cell):
        return Chemistry(stated, f"the manifest says {stated}")
    if cell is not None:
        for text, firm in ((texts_of(cell), True), (cell.footprint.upper(), False)):
            read = _read(text.replace("_", " ").translate(str.maketrans("‐–", "--")))
            if read is not None:
                return Chemistry(read[0], f'{cell.ref} reads "{read[1]}"', firm)
    who = cell.ref if cell is not None else "the cell"
    return Need(f"the chemistry of {who}", 'board.toml: [cell] chemistry = "li-po"')


def _read(text: str) -> tuple[str, str] | None:
    """The chemistry that a text in capitals means, and the words that say so."""
    kinds = cell_kinds()
    for name in sorted(kinds, key=lambda n: (n in _GENERAL and 1 + _GENERAL.index(n), n)):
        found = kinds[name].words.search(text)
        if found:
            return name, found[0]
    return None


def capacity_of(board: Board, cell: Part | None) -> float | Need:
    """Ampere-hours, as the manifest states them, else as the part's own words tell them."""
    stated = board.manifest.cell.capacity_ah
    if stated is not None and stated_cell(board, cell):
        return stated
    found = _CAPACITY.search(texts_of(cell)) if cell is not None else None
    if found:
        return float(found[1]) * (1e-3 if found[2] else 1.0)
    who = cell.ref if cell is not None else "the cell"
    return Need(f"the capacity of {who}", 'board.toml: [cell] capacity = "180 mAh"')


def is_holder(cell: Part) -> bool:
    """Whether the part is a holder that a person puts cells into."""
    return bool(_HOLDER.search(f"{cell.footprint} {texts_of(cell)}"))
