"""What a cell is: its chemistry, whether it may be charged, how much it holds."""

from __future__ import annotations

import re
from dataclasses import dataclass

from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.manifest import PRIMARY, RECHARGEABLE
from counterpoise.roles.board import Board
from counterpoise.roles.paths import stated_cell

LITHIUM = ("li-po", "li-ion", "li-ion-coin", "lifepo4")
"""Rechargeable chemistries that burn when abused."""

COINS = ("li-mno2-coin", "li-ion-coin", "li-mn-coin")

_WORD = r"(?<![A-Z0-9])(?:{})(?![A-Z0-9])"
# IEC 60086 letters: LR alkaline, CR lithium manganese dioxide, FR lithium iron disulfide, SR silver
# oxide, BR carbon monofluoride; IEC 61951-2: HR nickel metal hydride; IEC 61960: ICR, INR, IFR.
_TEXTS: tuple[tuple[str, str], ...] = (
    ("lifepo4", r"LI-?FE-?PO4?|LFP|IFR\d{5}"),
    ("li-ion-coin", r"LIR\d{4}"),
    ("li-mn-coin", r"ML\d{4}[A-Z]*"),
    ("lithium-fes2", r"FR0?[36]|L9[12]|LI-?FES2"),
    ("lithium-primary", r"CR123A?|CR17\d{3}|CR2|CR-?V3|CR14250|ER\d{5}[A-Z]*|BR\d{4}"),
    ("li-mno2-coin", r"CR\d{4}[A-Z]{0,2}"),
    ("silver-oxide", r"SR\d{2,4}[A-Z]{0,2}|SILVER[ -]OXIDE"),
    ("nimh", r"NI-?MH|HR0?[36]"),
    ("nicd", r"NI-?CD"),
    ("alkaline", r"ALKALINE|LR(?:0?3|6|1|14|20|44|41|61)"),
    ("zinc-carbon", r"ZINC[ -]?CARBON"),
    ("li-po", r"LI-?PO(?:LY)?(?:MER)?|LITHIUM[ -]POLYMER"),
    ("li-ion", r"LI-?ION|LITHIUM[ -]ION|I[CNM]R\d{5}|18650|14500|16340|21700|18350|10440"),
)
_CODES = tuple((name, re.compile(_WORD.format(text))) for name, text in _TEXTS)
_CAPACITY = re.compile(r"(?<![\d.])(\d+(?:\.\d+)?)\s?(m)?AH(?![A-Z])", re.I)
_HOLDER = re.compile(r"HOLDER|KEYSTONE|CLIP|RETAINER", re.I)


@dataclass(frozen=True, slots=True)
class Chemistry:
    """A chemistry (``manifest.CHEMISTRIES``), what told it, and whether a stop may rest on it."""

    name: str
    because: str
    firm: bool = True

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
            spelt = text.replace("_", " ").translate(str.maketrans("‐–", "--"))
            for name, code in _CODES:
                found = code.search(spelt)
                if found:
                    return Chemistry(name, f'{cell.ref} reads "{found[0]}"', firm)
    who = cell.ref if cell is not None else "the cell"
    return Need(f"the chemistry of {who}", 'board.toml: [cell] chemistry = "li-po"')


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
