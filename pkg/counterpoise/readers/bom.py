"""BOMs in text tables, one row a part or grouped, with any common delimiter and encoding."""

from __future__ import annotations

import re
from types import MappingProxyType

from counterpoise.model.bom import Bom, BomLine
from counterpoise.model.facts import Origin
from counterpoise.readers._bom_heads import column_places, is_head
from counterpoise.readers._marks import flag as marked
from counterpoise.readers._placement_heads import is_placement_head
from counterpoise.readers._reading import Reading
from counterpoise.readers._source import Source
from counterpoise.readers._table import Row, Table, sniffed_head, table
from counterpoise.values.partvalue import unfitted_text

EXPECTED = (
    'expected a BOM: a head row with references ("Reference", "Designator" or the like) '
    'and at least one more known column, such as "Value" or "Quantity"'
)
SPAN_LIMIT = 500
"""Parts. A longer run such as R1-R9999 is taken as a name."""

_QUANTITY = re.compile(r"(\d{1,7})(?:[.,]0+)?\s*(?:pcs?\.?|x|ea|stk\.?)?", re.I)
_DASH = re.compile(r"\s*(?:–|—|…|\.{2,3}|~)\s*")
_SPACED_DASH = re.compile(r"(?<=\d)\s+(?:-|to|thru)\s+(?=[A-Za-z]*\d)")
_BETWEEN = re.compile(r"[\s,;]+")
_RUN = re.compile(r"([A-Za-z_]+)(\d{1,6})([-:])([A-Za-z_]*)(\d{1,6})")
_SUMS = ("total", "subtotal", "sum", "grand", "summe")


def sniff(head: bytes) -> bool:
    """Whether the first bytes of a file look like a BOM."""
    found = sniffed_head(head, is_head)
    return found is not None and not is_placement_head(found.cells)


def read(source: Source) -> Reading:
    """The BOM in a file.

    Raises:
        InputError: not text, no head row, or a row that cannot be taken apart: file, line, what was
            expected.
    """
    found = table(source, is_head, EXPECTED)
    places = column_places(found.head, found.rows)
    if "reference" not in places:
        raise source.error(found.head.line, EXPECTED)
    notes = list(found.notes)
    lines = tuple(
        line for row in found.rows if (line := _line(source, found, row, places, notes)) is not None
    )
    columns = {"fitted" if c == "unfitted" else c for c in places}
    columns = {"order_code" if c == "supplier_code" else c for c in columns}
    return Reading("bom", bom=Bom(lines, frozenset(columns)), notes=tuple(notes))


def _line(
    source: Source, found: Table, row: Row, places: dict[str, int], notes: list[str]
) -> BomLine | None:
    text = row.cell(places["reference"])
    if not text or text.casefold().split()[0].rstrip(":") in _SUMS:
        return None

    def cell(column: str) -> str:
        return row.cell(places.get(column))

    where = f"{source.name}:{row.line}"
    quantity = _quantity(cell("quantity"), where, notes)
    refs = references(text, quantity)
    if not refs:
        return None
    used = set(places.values())
    fields = {
        head.strip(): row.cell(index)
        for index, head in enumerate(found.head.cells)
        if index not in used and head.strip() and row.cell(index)
    }
    if "supplier_code" in places and cell("supplier_code"):
        fields[found.head.cells[places["supplier_code"]].strip()] = cell("supplier_code")
    return BomLine(
        refs=refs,
        quantity=quantity,
        value=cell("value"),
        footprint=cell("footprint").rpartition(":")[2],
        order_code=cell("order_code") or cell("supplier_code"),
        maker=cell("maker"),
        description=cell("description"),
        fitted=_fitted(row, places, where, notes),
        fields=MappingProxyType(fields),
        origin=Origin(source.name, row.line),
    )


def _quantity(text: str, where: str, notes: list[str]) -> int | None:
    if not text:
        return None
    match = _QUANTITY.fullmatch(text)
    if not match:
        notes.append(f'{where}: quantity "{_shown(text)}" is not a whole number; left out')
        return None
    return int(match[1])


def _fitted(row: Row, places: dict[str, int], where: str, notes: list[str]) -> bool | None:
    """What the row says: a "not fitted" mark anywhere wins, then its columns; None when silent."""
    texts = [row.cell(places.get(column)) for column in ("value", "description")]
    said = [not unfitted_text(text) for text in texts if unfitted_text(text)]
    for column, meaning in (("unfitted", False), ("fitted", True)):
        if column in places:
            word = row.cell(places[column])
            fitted = marked(word, meaning)
            if fitted is None:
                said_so = f'"{_shown(word)}" in a column of fitted marks is neither yes nor no'
                notes.append(f"{where}: {said_so}; left out")
            else:
                said.append(fitted)
    return None if not said else all(said)


def references(text: str, quantity: int | None = None) -> tuple[str, ...]:
    """The refs in a cell, runs such as "R1-R4" or "R1..4" spelt out.

    A run without its second letter ("J1-2") may be one name: then ``quantity`` decides.
    """
    plain = _SPACED_DASH.sub("-", _DASH.sub("-", text))
    tokens = [token for token in _BETWEEN.split(plain) if token]
    full = tuple(ref for token in tokens for ref in _spelt(token, short=True))
    if quantity is not None and len(full) != quantity:
        literal = tuple(ref for token in tokens for ref in _spelt(token, short=False))
        if len(literal) == quantity:
            return literal
    return full


def _spelt(token: str, *, short: bool) -> tuple[str, ...]:
    match = _RUN.fullmatch(token)
    if not match:
        return (token,)
    letters, first, mark, again, last = match.groups()
    if again != letters and (again or mark == ":" or not short):
        return (token,)
    start, end = int(first), int(last)
    if not 0 <= end - start <= SPAN_LIMIT or start == end or first.startswith("0"):
        return (token,)
    return tuple(f"{letters}{number}" for number in range(start, end + 1))


def _shown(text: str) -> str:
    plain = "".join(c if c.isprintable() else " " for c in text)
    return plain if len(plain) <= 60 else plain[:57] + "..."
