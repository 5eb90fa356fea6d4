"""Placement files (centroids): text tables with a head, or columns parted by blanks."""

from __future__ import annotations

import re
from collections.abc import Sequence

from counterpoise.model.bom import Placement
from counterpoise.model.facts import Origin
from counterpoise.model.layout import BACK, FRONT
from counterpoise.readers._placement_heads import (
    UNIT_MM,
    column_places,
    head_unit,
    is_placement_head,
)
from counterpoise.readers._reading import Reading
from counterpoise.readers._source import InputError, Source
from counterpoise.readers._table import Row, Table, sniffed_head, table

EXPECTED = "expected a placement file: a head row with reference, x, y and rotation"
LARGEST_MM = 1000.0
"""Figures beyond this, with no unit stated, are taken as mil: no such board is a metre wide."""

_AXIS_WORDS = re.compile(r"(mid|center|centre|ref|pad|pos|location)", re.I)
_NUMBER = re.compile(r"([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*([A-Za-z]*)")
_ANGLE = re.compile(
    r"([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(?:°|deg\.?|degrees)?", re.I
)
_STATED_UNIT = re.compile(r"\bunits?\b(?:\s+used)?\s*[:=]\s*([A-Za-z]+)", re.I)
_STATED_SIDE = re.compile(r"\bside\s*[:=]\s*(top|bottom|front|back)\b", re.I)
_FRONT = frozenset(("top", "t", "toplayer", "f.cu", "front", "f", "1", "componentside", "comp"))
_BACK = frozenset(("bottom", "b", "bottomlayer", "b.cu", "back", "bot", "2", "solderside"))
_MIRRORED = {"yes": BACK, "y": BACK, "true": BACK, "1": BACK, "m": BACK, "no": FRONT, "n": FRONT}
_MIRRORED |= {"false": FRONT, "0": FRONT, "": FRONT}


def sniff(head: bytes) -> bool:
    """Whether the first bytes of a file look like a placement file."""
    return sniffed_head(head, _is_head, words=True) is not None


def read(source: Source) -> Reading:
    """The placements in a file, in its own coordinates turned to mm: its origin, y up, its angles.

    Raises:
        InputError: not text, no head row, or a cell that is no number, side or angle.
    """
    found = _table(source)
    places = column_places(found.head.cells)
    if "angle" not in places:
        raise source.error(found.head.line, 'expected a column for the rotation, such as "Rot"')
    notes = list(found.notes)
    unit = _file_unit(source, found, places, notes)
    side = _file_side(source, found, places, notes)
    rows = [row for row in found.rows if _holds_part(row, places)]
    placements = tuple(_placement(source, row, places, unit, side) for row in rows)
    return Reading("placement", placements=placements, notes=tuple(notes))


def _table(source: Source) -> Table:
    found = table(source, _is_head, EXPECTED, words=True)
    if found.delimiter != " ":
        return found
    cells = _joined(found.head.cells)
    width = len(cells)
    rows = tuple(Row(row.line, _fitted(row.cells, width)) for row in found.rows)
    return Table(Row(found.head.line, cells), rows, " ", found.preamble, found.notes)


def _is_head(cells: Sequence[str]) -> bool:
    return is_placement_head(cells) or is_placement_head(_joined(cells))


def _joined(cells: Sequence[str]) -> tuple[str, ...]:
    """Heads of two words put together ("Mid X"), a comment mark in front dropped."""
    words = [word for word in (cell.lstrip("#") for cell in cells) if word]
    joined: list[str] = []
    for word in words:
        axis = word[0].casefold() in "xy" and (len(word) == 1 or not word[1].isalpha())
        if joined and axis and _AXIS_WORDS.fullmatch(joined[-1]):
            joined[-1] += word
        else:
            joined.append(word)
    return tuple(joined)


def _fitted(cells: tuple[str, ...], width: int) -> tuple[str, ...]:
    """Cells under ``width`` heads: words too many belong to the value, the second column."""
    over = len(cells) - width
    if over <= 0 or width < 2 or cells[0].startswith("#"):
        return cells
    return (cells[0], " ".join(cells[1 : 2 + over]), *cells[2 + over :])


def _holds_part(row: Row, places: dict[str, int]) -> bool:
    return bool(row.cell(places["ref"])) and not row.cells[0].lstrip().startswith("#")


def _file_unit(source: Source, found: Table, places: dict[str, int], notes: list[str]) -> float:
    """Millimetres in one unit of the file: as its head or preamble says, else by the figures."""
    stated = head_unit(found.head.cells[places["x"]])
    for line in found.preamble:
        match = _STATED_UNIT.search(line)
        if match and not stated and match[1].casefold() in UNIT_MM:
            stated = match[1].casefold()
    if stated:
        return UNIT_MM[stated]
    axes = (places["x"], places["y"])
    cells = [row.cell(i) for row in found.rows for i in axes if _holds_part(row, places)]
    figures = [m for cell in cells if (m := _NUMBER.fullmatch(cell))]
    if all(m[2] for m in figures):
        return 1.0
    large = any(abs(_float(m[1])) > LARGEST_MM for m in figures)
    notes.append(f"{source.name}: no unit stated; taken as {'mil' if large else 'mm'}")
    return UNIT_MM["mil" if large else "mm"]


def _file_side(
    source: Source, found: Table, places: dict[str, int], notes: list[str]
) -> str | None:
    """The side of all parts where no column says it."""
    if "side" in places or "mirror" in places:
        return None
    for text in (*found.preamble, source.name):
        match = _STATED_SIDE.search(text)
        if match:
            return BACK if match[1].casefold() in _BACK else FRONT
    name = source.name.casefold()
    if "bottom" in name or "back" in name:
        return BACK
    if "top" not in name and "front" not in name:
        notes.append(f"{source.name}: no side stated; taken as front")
    return FRONT


def _placement(
    source: Source, row: Row, places: dict[str, int], unit: float, side: str | None
) -> Placement:
    def cell(column: str) -> str:
        return row.cell(places.get(column))

    angle = _ANGLE.fullmatch(cell("angle"))
    if not angle:
        raise _wrong(source, row, "a rotation in degrees", cell("angle"))
    return Placement(
        ref=cell("ref"),
        x_mm=_length(source, row, cell("x"), unit),
        y_mm=_length(source, row, cell("y"), unit),
        angle=_float(angle[1]),
        side=side or _side(source, row, places),
        value=cell("value"),
        footprint=cell("footprint").rpartition(":")[2],
        origin=Origin(source.name, row.line),
    )


def _length(source: Source, row: Row, text: str, unit: float) -> float:
    match = _NUMBER.fullmatch(text)
    own = match[2].casefold() if match else ""
    if not match or (own and own not in UNIT_MM):
        raise _wrong(source, row, "a coordinate such as 12.7 or 12.7mm", text)
    value = _float(match[1]) * (UNIT_MM[own] if own else unit)
    if abs(value) > 1e6:
        raise _wrong(source, row, "a coordinate on a board", text)
    return float(f"{value:.12g}")


def _side(source: Source, row: Row, places: dict[str, int]) -> str:
    if "side" in places:
        word = row.cell(places["side"])
        folded = "".join(word.casefold().split())
        if folded in _FRONT or folded in _BACK:
            return FRONT if folded in _FRONT else BACK
        raise _wrong(source, row, 'a side such as "top" or "bottom"', word)
    word = row.cell(places["mirror"])
    if word.casefold() not in _MIRRORED:
        raise _wrong(source, row, '"yes" or "no" in the mirror column', word)
    return _MIRRORED[word.casefold()]


def _wrong(source: Source, row: Row, expected: str, text: str) -> InputError:
    plain = "".join(c if c.isprintable() else " " for c in text)[:60]
    return source.error(row.line, f'expected {expected}, got "{plain}"')


def _float(text: str) -> float:
    return float(text.replace(",", "."))
