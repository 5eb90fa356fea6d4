"""How many volts the cell gives from its end to full charge."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from counterpoise.catalog.cells import cell_kinds
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.roles._rail_level import Level, written
from counterpoise.roles.cells import Chemistry, chemistry_of
from counterpoise.roles.evidence import Known
from counterpoise.values.ranges import Range

if TYPE_CHECKING:
    from counterpoise.roles.board import Board

_COUNT = re.compile(
    r"(?<![A-Z0-9.])([2-6])\s?(?:X|S(?:[1-4]P)?\b)\s?_?(?:AA|LR|CR|HR|14500|18650|CELL|LI|\d{4}|\b)"
)
_AA = re.compile(r"(?:(?<![A-Z])|(?<=\dX))A{2,4}(?![A-Z])|(?<![A-Z])LR0?[36]\b")


def count_of(board: Board, part: Part) -> int:
    """Cells in series inside the one part."""
    if board.manifest.cell.cells != 1 and board.cell in (part, None):
        # Several parts share the stated number: two holders of one cell each make two.
        return max(1, board.manifest.cell.cells // max(1, len(board.parts_as("cell"))))
    for text in (part.value, part.symbol, part.footprint):
        match = _COUNT.search(text.upper())
        if match:
            return int(match[1])
    return 1


def cell_level(board: Board, part: Part, chargers: tuple[Part, ...]) -> Level | Need:
    """The range between a cell's ends. ``chargers`` are those on its node."""
    facts, main = board.manifest.cell, board.cell in (part, None)
    known = chemistry_of(board, part)
    end = facts.end_voltage_v if main else None
    full = facts.charge_voltage_v if main else None
    if isinstance(known, Chemistry):
        kind = known.kind
        one = Range(*sorted((end or kind.end_v, full or kind.full_v)))
        firm = (known.firm and kind.firm) or (end is not None and full is not None)
        what = known.name
    elif end is not None and full is not None:
        one, firm, what = Range(*sorted((end, full))), True, "cell"
    elif chargers:
        return _by_charger(board, part, chargers[0])
    elif any(_AA.search(t.upper()) for t in (part.value, part.footprint)):
        one, firm, what = Range(0.9, 1.83), False, "dry or NiMH cell"
    else:
        return known
    count = count_of(board, part)
    times = f"{count} x " if count > 1 else ""
    total = one * float(count)
    return Level(total, (part.ref,), f"{times}{what} {part.ref} gives {written(total)}", firm)


def _by_charger(board: Board, part: Part, charger: Part) -> Level:
    """A cell on a lithium charger, by what the charger charges it to."""
    return replace_drivers(charger_level(board, charger), (part.ref,))


def replace_drivers(level: Level, drivers: tuple[str, ...]) -> Level:
    """The same level driven by others."""
    return Level(level.volts, drivers, level.because, level.firm)


def charger_level(board: Board, charger: Part) -> Level:
    """What a charger's cell pin carries: a lithium cell's end to the charger's float voltage."""
    float_v = board.known(charger, "charge_voltage")
    lithium = cell_kinds()["li-ion"]
    full = board.manifest.cell.charge_voltage_v
    firm = False
    if isinstance(float_v, Known):
        full, firm = float_v.value.high, float_v.firm and board.role(charger.ref).firm
    volts = Range(
        *sorted((board.manifest.cell.end_voltage_v or lithium.end_v, full or lithium.full_v))
    )
    says = f"{charger.ref} charges a lithium cell, {written(volts)}"
    return Level(volts, (charger.ref,), says, firm)
