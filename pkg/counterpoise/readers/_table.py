"""Tables of text as tools and spreadsheets write them: encodings, delimiters, the head row."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from counterpoise.readers._source import InputError, Source

DELIMITERS = (",", ";", "\t", "|")
HEAD_WITHIN = 60
"""Rows. A head row further down is not looked for."""

_SAMPLE = 20
_CELL_LIMIT = 16 * 1024 * 1024
_SEPARATOR = re.compile(r"\s*\"?sep=(.)\"?\s*", re.I)
_NOT_LETTERS = re.compile(r"[\s#.:_()\[\]/*\"'-]+")
_SHEET_TEXT = re.compile(r'="(.*)"', re.S)
_WORDS = re.compile(r'"[^"]*"|\S+')

IsHead = Callable[[Sequence[str]], bool]


@dataclass(frozen=True, slots=True)
class Row:
    """The cells of one row, and the line it begins on."""

    line: int
    cells: tuple[str, ...]

    def cell(self, index: int | None) -> str:
        """A cell without the blanks around it; "" for a column that is absent or cut short."""
        return self.cells[index].strip() if index is not None and index < len(self.cells) else ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table with its head; ``preamble`` are the rows before it, ``notes`` doubts to be told."""

    head: Row
    rows: tuple[Row, ...]
    delimiter: str
    preamble: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default=())


def bare_head(text: str) -> str:
    """A head for comparison: small letters and digits, without spaces and marks."""
    return _NOT_LETTERS.sub("", text.casefold())


def decoded(source: Source) -> tuple[str, tuple[str, ...]]:
    """The text of a file and what must be said of its encoding.

    Raises:
        InputError: not text in UTF-8, UTF-16 or Windows-1252.
    """
    data = source.data
    notes: tuple[str, ...] = ()
    name = _encoding(data)
    try:
        text = data.decode(name)
    except UnicodeDecodeError:
        try:
            text = data.decode("cp1252")
        except UnicodeDecodeError as error:
            line = data.count(b"\n", 0, error.start) + 1
            raise source.error(line, "expected text in UTF-8, UTF-16 or Windows-1252") from error
        notes = (f"{source.name}: not UTF-8; read as Windows-1252",)
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise source.error(line, "expected a table of text, found binary data")
    return text, notes


def _encoding(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    sample = data[:2000]
    if len(sample) >= 4 and sample[1::2].count(0) > len(sample) * 0.35:
        return "utf-16-le"
    if len(sample) >= 4 and sample[0::2].count(0) > len(sample) * 0.35:
        return "utf-16-be"
    return "utf-8-sig"


def table(source: Source, is_head: IsHead, expected: str, *, words: bool = False) -> Table:
    """The table whose head row ``is_head`` knows; ``expected`` describes it for the error.

    ``words`` also tries columns parted by blanks, as fixed-width files have them.

    Raises:
        InputError: not text, no such head row, a quote that is not closed, or rows that do not fit
            under the head.
    """
    text, notes = decoded(source)
    if not text.strip():
        raise source.error(None, f"is empty; {expected}")
    first: InputError | None = None
    for delimiter in _ranked(text):
        try:
            found = _headed(_rows(source, text, delimiter), is_head, HEAD_WITHIN)
            if found:
                head, before = found
                rows = tuple(_after(_rows(source, text, delimiter), head))
                _check_width(source, head, rows, delimiter)
                return Table(head, rows, delimiter, before, notes)
        except InputError as error:
            first = first or error
    found = _headed(_word_rows(text), is_head, HEAD_WITHIN) if words else None
    if found is None:
        raise first or source.error(None, expected)
    head, before = found
    return Table(head, tuple(_after(_word_rows(text), head)), " ", before, notes)


def sniffed_head(start: bytes, is_head: IsHead, *, words: bool = False) -> Row | None:
    """The head row in the first bytes of a file, None when there is none or it is not text."""
    text = start.decode(_encoding(start), errors="ignore")
    text = text[: text.rfind("\n") + 1] or text
    if "\0" in text:
        return None
    for delimiter in _ranked(text):
        try:
            found = _headed(_rows(Source("", b""), text, delimiter), is_head, HEAD_WITHIN)
        except InputError:
            continue
        if found:
            return found[0]
    found = _headed(_word_rows(text), is_head, HEAD_WITHIN) if words else None
    return found[0] if found else None


def _headed(
    rows: Iterator[Row], is_head: IsHead, within: int
) -> tuple[Row, tuple[str, ...]] | None:
    before: list[str] = []
    for row, _ in zip(rows, range(within), strict=False):
        if is_head(row.cells):
            return row, tuple(before)
        before.append(" ".join(row.cells))
    return None


def _after(rows: Iterator[Row], head: Row) -> Iterator[Row]:
    return (row for row in rows if row.line > head.line and any(c.strip() for c in row.cells))


def _check_width(source: Source, head: Row, rows: Sequence[Row], delimiter: str) -> None:
    """Refuse a row whose cells have slipped; a column that simply has no head is let pass."""
    width = len(head.cells)
    over = [row for row in rows if any(cell.strip() for cell in row.cells[width:])]
    if over and len(over) * 2 <= len(rows):
        raise source.error(
            over[0].line,
            f"{len(over[0].cells)} cells under {width} heads; "
            f'a cell that holds "{_shown(delimiter)}" needs quotes around it',
        )


def _shown(delimiter: str) -> str:
    return "tab" if delimiter == "\t" else delimiter


def _ranked(text: str) -> list[str]:
    """The delimiters that occur, the likeliest first: the same count on the most lines.

    A spreadsheet's "sep=" line settles it. The standard library's own guess is not asked: it takes
    a letter for a file of one column.
    """
    stated = _SEPARATOR.fullmatch(text.split("\n", 1)[0])
    if stated:
        return [stated[1]]
    records = _records(text)
    scores: dict[str, tuple[int, int]] = {}
    for delimiter in DELIMITERS:
        counts = Counter(n for record in records if (n := record.count(delimiter)))
        if counts:
            most, lines = max(counts.items(), key=lambda item: (item[1], item[0]))
            scores[delimiter] = (lines, most)
    return sorted(scores, key=lambda d: scores[d], reverse=True)


def _records(text: str) -> list[str]:
    """The first records with their quoted cells taken out."""
    records, quoted = [], False
    current: list[str] = []
    for char in text[:200_000]:
        if char == '"':
            quoted = not quoted
        elif char in "\r\n" and not quoted:
            if current:
                records.append("".join(current))
                current = []
            if len(records) >= _SAMPLE:
                return records
        elif not quoted:
            current.append(char)
    return [*records, "".join(current)] if current else records


def _rows(source: Source, text: str, delimiter: str) -> Iterator[Row]:
    csv.field_size_limit(_CELL_LIMIT)
    reader = csv.reader(
        io.StringIO(text, newline=""),
        delimiter=delimiter,
        doublequote=True,
        strict=True,
        skipinitialspace=delimiter != "\t",
    )
    while True:
        line = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise _quote_error(source, line, delimiter, str(error)) from error
        if line == 1 and _SEPARATOR.fullmatch(text.split("\n", 1)[0]):
            continue
        yield Row(line, tuple(_unwrapped(cell) for cell in cells))


def _quote_error(source: Source, line: int, delimiter: str, said: str) -> InputError:
    if "unexpected end" in said:
        return source.error(line, "a quoted cell that begins on this row is not closed")
    if "limit" in said:
        return source.error(line, "a cell is too large; is a quote not closed?")
    return source.error(line, f'expected "{_shown(delimiter)}" after a quoted cell')


def _unwrapped(cell: str) -> str:
    """A spreadsheet writes ="0402" so that the text stays text."""
    match = _SHEET_TEXT.fullmatch(cell)
    return match[1] if match else cell


def _word_rows(text: str) -> Iterator[Row]:
    for line, content in enumerate(io.StringIO(text), 1):
        cells = tuple(word.strip('"') for word in _WORDS.findall(content))
        if cells:
            yield Row(line, cells)
