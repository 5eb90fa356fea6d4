"""The ring-out log, a table that a person keeps at the bench, and the parts list it goes with."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from counterpoise.model.circuit import Circuit, Part, Pin
from counterpoise.model.facts import Origin
from counterpoise.model.ringout import SWEPT, Lead, Log, LogRow, ReadingKind
from counterpoise.readers import detect
from counterpoise.readers._bom_heads import column_places
from counterpoise.readers._source import InputError, Source
from counterpoise.readers._table import Row, Table, bare_head, sniffed_head, table
from counterpoise.values.partvalue import read_value
from counterpoise.values.units import quantity

EXPECTED = 'expected a ring-out log: a head row with "from", "to" and "reading"'
PARTS_EXPECTED = (
    'expected a parts list: a netlist, or a BOM with a reference column and a "Pins" column'
)
PIN_LIMIT = 5000
"""Pins of one part. A larger count in a Pins column is refused as a slip."""

_HEADS = {
    "first": ("from", "a", "pina", "froma", "pin1", "probe1", "probea", "red", "redlead", "start"),
    "second": ("to", "b", "pinb", "tob", "pin2", "probe2", "probeb", "black", "blacklead", "end"),
    "reading": ("reading", "result", "measured", "measurement", "meter", "value", "beep"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
}
_PIN_HEADS = ("pins", "pincount", "numberofpins", "noofpins", "pinno", "pads", "padcount")
_BEEP = frozenset(("beep", "beeps", "b", "short", "shorted", "joined", "connected", "closed"))
_OPEN = frozenset(
    ("open", "o", "ol", "o.l", "o.l.", "0l", "inf", "infinite", "∞", "silent", "none", "no beep")
)
_LEAD = re.compile(r"([^\s.:/]+)\s*[.:/]\s*(\S+)|(\S+)(?:\s+(?:pin\s+)?(\S+))?", re.I)
_DECIMAL = re.compile(r"(\d+(?:[.,]\d*)?|[.,]\d+)")
_VOLTS = re.compile(r"(\d+(?:[.,]\d+)?|[.,]\d+)\s*(m?V)|(\d+)V(\d+)", re.I)
_OFF = re.compile(r"\b(?:lifted|removed|unsoldered|desoldered|without|off the board)\b", re.I)
_COPPER = re.compile(r"\b(?:bare|copper|track seen|direct)\b", re.I)
_WORDS = re.compile(r"[^\s,;()]+")
_RUN = re.compile(r"([A-Za-z_]+)(\d{1,6})(?:-|–|\.{2,3})\1?(\d{1,6})")
_PIN_RUN = re.compile(r"(\d{1,4})(?:-|–|\.{2,3})(\d{1,4})")


def sniff(head: bytes) -> bool:
    """Whether the first bytes of a file look like a ring-out log."""
    return sniffed_head(head, _is_log_head) is not None


def read(source: Source, parts: Circuit | None = None) -> Log:
    """The readings in a log.

    ``parts`` lists the pins that exist; without it every pin that the log names is taken to exist.

    Raises:
        InputError: not a log, or rows that name no such pin or cannot be read: the first is told
            with its line, the others by their lines.
    """
    found = table(source, _is_log_head, EXPECTED)
    places = _log_places(found.head.cells)
    reader = _LogReader(source, places, parts)
    rows: list[LogRow] = []
    faults: list[InputError] = []
    for row in found.rows:
        try:
            rows.append(reader.row(row))
        except InputError as error:
            faults.append(error)
    if faults:
        first = faults[0]
        also = ", ".join(str(fault.line) for fault in faults[1:9])
        more = f" (so too on {'lines' if len(faults) > 2 else 'line'} {also}" if also else ""
        tail = (", …)" if len(faults) > 9 else ")") if also else ""
        raise source.error(first.line, f"{first.expected}{more}{tail}")
    return Log(source.name, tuple(rows), found.notes)


def read_parts(source: Source) -> Circuit:
    """The parts and their pins, with no wiring, from a netlist or from a BOM with a Pins column.

    A cell of that column is a count ("5": pins 1 to 5) or the pins themselves, by number or run,
    each with its name where known: "1-4", "1/VDD 2/GND", "A B C S1 S2".

    Raises:
        InputError: another kind of file, a ref given twice, or a row without its pins.
    """
    head = sniffed_head(source.data[:65536], _is_parts_head)
    if head is not None:
        parts = tuple(_table_parts(source, table(source, _is_parts_head, PARTS_EXPECTED)))
    else:
        circuit = detect.read(source).circuit
        if circuit is None:
            raise source.error(None, PARTS_EXPECTED)
        parts = circuit.parts
    lines: dict[str, int | None] = {}
    for part in parts:
        line = part.origin.line if part.origin else None
        if part.ref in lines:
            before = f" (first on line {lines[part.ref]})" if lines[part.ref] else ""
            raise source.error(line, f"{part.ref} is listed twice{before}; expected it once")
        lines[part.ref] = line
    if not any(part.pins for part in parts):
        raise source.error(None, f"lists no pins; {PARTS_EXPECTED}")
    return Circuit(tuple(_unwired(part) for part in parts), knows_wiring=False)


def parts_of(log: Log) -> Circuit:
    """The parts that a log itself names, each with the pins it names."""
    pins: dict[str, dict[str, None]] = {}
    for row in log.rows:
        for lead in (row.first, row.second):
            pins.setdefault(lead.ref, {})[lead.number] = None
    made = (Part(ref, pins=tuple(Pin(ref, n) for n in numbers)) for ref, numbers in pins.items())
    return Circuit(tuple(made), knows_wiring=False)


def _unwired(part: Part) -> Part:
    pins = {pin.number: replace(pin, net=None) for pin in reversed(part.pins)}
    return replace(part, pins=tuple(reversed(pins.values())))


# -- the log ------------------------------------------------------------------------------------
def _log_places(cells: Sequence[str]) -> dict[str, int]:
    bare = [bare_head(cell) for cell in cells]
    places: dict[str, int] = {}
    for column, heads in _HEADS.items():
        found = next((bare.index(head) for head in heads if head in bare), None)
        if found is not None and found not in places.values():
            places[column] = found
    return places


def _is_log_head(cells: Sequence[str]) -> bool:
    return {"first", "second", "reading"} <= _log_places(cells).keys()


class _LogReader:
    """Rows made into readings, against the parts that exist."""

    def __init__(self, source: Source, places: Mapping[str, int], parts: Circuit | None) -> None:
        self._source, self._places = source, places
        self._parts = {part.ref: part for part in parts.parts} if parts is not None else None
        self._folded: dict[str, list[str]] = {}
        for ref in self._parts or ():
            self._folded.setdefault(ref.casefold(), []).append(ref)

    def row(self, row: Row) -> LogRow:
        first = self._lead(row, row.cell(self._places["first"]), "from")
        second = self._lead(row, row.cell(self._places["second"]), "to")
        if first == second:
            what = "a part swept against itself" if first.swept else "a pin against itself"
            raise self._error(row, f"{first} to {second} is {what}; expected two places")
        text = row.cell(self._places["reading"])
        kind, value = self._reading(row, text)
        if kind in (ReadingKind.OHMS, ReadingKind.DROP) and (first.swept or second.swept):
            raise self._error(row, f'a sweep reads beep or open, got "{_shown(text)}"')
        note = row.cell(self._places.get("note"))
        lifted = self._named(note) if _OFF.search(note) else frozenset[str]()
        copper = bool(_COPPER.search(note))
        return LogRow(row.line, first, second, kind, value, note, lifted, copper)

    def _lead(self, row: Row, text: str, column: str) -> Lead:
        match = _LEAD.fullmatch(text.strip())
        if not match:
            said = f'in "{column}": expected a pin such as U2.5 or a sweep such as U2.*'
            raise self._error(row, f'{said}, got "{_shown(text)}"')
        ref, number = match[1] or match[3], match[2] or match[4] or ""
        if self._parts is None:
            if not number or number == SWEPT:
                need = "a sweep needs the parts list (--parts FILE)"
                raise self._error(row, need if number else f'"{ref}" names no pin, such as {ref}.1')
            return Lead(ref, number)
        part = self._part(row, ref)
        return Lead(part.ref, self._number(row, part, number))

    def _part(self, row: Row, ref: str) -> Part:
        assert self._parts is not None
        if ref in self._parts:
            return self._parts[ref]
        alike = self._folded.get(ref.casefold(), [])
        if len(alike) != 1:
            raise self._error(row, f'"{_shown(ref)}" is not in the parts list')
        return self._parts[alike[0]]

    def _number(self, row: Row, part: Part, text: str) -> str:
        numbers = [pin.number for pin in part.pins]
        if text == SWEPT or text in numbers:
            return text
        if not text and len(numbers) == 1:
            return numbers[0]
        folded = text.casefold()
        by_number = [number for number in numbers if number.casefold() == folded]
        by_name = [pin.number for pin in part.pins if pin.name and pin.name.casefold() == folded]
        found = by_number or by_name
        if text and len(found) == 1:
            return found[0]
        have = ", ".join(numbers[:8]) + (", …" if len(numbers) > 8 else "")
        if len(found) > 1:
            said = f"{part.ref} has several pins {_shown(text)}: {', '.join(found)}"
        elif not text:
            said = f"{part.ref} names no pin"
        else:
            said = f"{part.ref} has no pin {_shown(text)}"
        raise self._error(row, f"{said}; its pins in the parts list: {have or 'none'}")

    def _reading(self, row: Row, text: str) -> tuple[ReadingKind, float]:
        folded = " ".join(text.casefold().rstrip("!").split())
        if folded in _BEEP:
            return ReadingKind.BEEP, 0.0
        if folded in _OPEN:
            return ReadingKind.OPEN, 0.0
        volts = _volts(text)
        if volts is not None and volts <= 5:
            return ReadingKind.DROP, volts
        ohms = _ohms(text) if volts is None else None
        if ohms is not None:
            return ReadingKind.OHMS, ohms
        said = "expected a reading: beep, open, ohms such as 4k7, or a diode drop such as 0.62 V"
        raise self._error(row, f'{said}; got "{_shown(text)}"')

    def _named(self, note: str) -> frozenset[str]:
        words = (word.rstrip(".:").casefold() for word in _WORDS.findall(note))
        if self._parts is None:
            return frozenset(word.upper() for word in words)
        return frozenset(ref for word in words for ref in self._folded.get(word, ()))

    def _error(self, row: Row, said: str) -> InputError:
        return self._source.error(row.line, said)


def _volts(text: str) -> float | None:
    match = _VOLTS.fullmatch(text.strip())
    if not match:
        return None
    if match[3]:
        return float(f"{match[3]}.{match[4]}")
    return quantity(f"{match[1].replace(',', '.')} {match[2][:-1].lower()}V", "voltage")


def _ohms(text: str) -> float | None:
    """A meter's figure is meant as it stands: 103 is 103 ohms, never a marking code."""
    plain = text.strip()
    if _DECIMAL.fullmatch(plain):
        return float(plain.replace(",", "."))
    found = read_value(plain, "resistor") if plain[:1].isdigit() or plain[:1] in ".Rr" else None
    return None if found is None or found.doubtful else found.nominal


# -- the parts list -------------------------------------------------------------------------------
def _is_parts_head(cells: Sequence[str]) -> bool:
    bare = [bare_head(cell) for cell in cells]
    head = Row(1, tuple(cells))
    return any(name in _PIN_HEADS for name in bare) and (
        "reference" in column_places(head, ()) or "part" in bare
    )


def _table_parts(source: Source, found: Table) -> Iterator[Part]:
    bare = [bare_head(cell) for cell in found.head.cells]
    places = column_places(found.head, found.rows)
    if "reference" not in places:
        places["reference"] = bare.index("part")
    pins_at = next(i for i, name in enumerate(bare) if name in _PIN_HEADS)
    for row in found.rows:
        refs = tuple(_refs(row.cell(places["reference"])))
        if not refs:
            continue
        pins = _pins(source, row, row.cell(pins_at), refs[0])
        for ref in refs:
            yield Part(
                ref,
                value=row.cell(places.get("value")),
                footprint=row.cell(places.get("footprint")).rpartition(":")[2],
                description=row.cell(places.get("description")),
                fields=_fields(found, row, places, pins_at),
                pins=tuple(Pin(ref, number, name=name) for number, name in pins),
                origin=Origin(source.name, row.line),
            )


def _fields(found: Table, row: Row, places: Mapping[str, int], pins_at: int) -> Mapping[str, str]:
    used = {pins_at, *(at for column, at in places.items() if column != "order_code")}
    return {
        head.strip(): row.cell(index)
        for index, head in enumerate(found.head.cells)
        if index not in used and head.strip() and row.cell(index)
    }


def _refs(text: str) -> Iterator[str]:
    for word in re.split(r"[\s,;]+", text):
        run = _RUN.fullmatch(word)
        if run and int(run[2]) < int(run[3]) <= int(run[2]) + 500:
            yield from (f"{run[1]}{number}" for number in range(int(run[2]), int(run[3]) + 1))
        elif word:
            yield word


def _pins(source: Source, row: Row, text: str, ref: str) -> list[tuple[str, str]]:
    if re.fullmatch(r"\d{1,7}(?:[.,]0+)?", text):
        count = int(re.split(r"[.,]", text)[0])
        if count > PIN_LIMIT:
            raise source.error(row.line, f"{ref}: expected at most {PIN_LIMIT} pins, got {count}")
        return [(str(number), "") for number in range(1, count + 1)]
    pins: dict[str, str] = {}
    for word in re.split(r"[\s,;]+", text):
        run = _PIN_RUN.fullmatch(word)
        if run and int(run[1]) < int(run[2]):
            listed = [(str(n), "") for n in range(int(run[1]), int(run[2]) + 1)]
        else:
            number, _, name = word.partition("/")
            listed = [(number, name)] if number else []
        for number, name in listed:
            if number in pins:
                raise source.error(row.line, f"{ref}: pin {_shown(number)} is listed twice")
            pins[number] = name
    if not pins or SWEPT in pins:
        said = f'expected a count of pins or the pins themselves, got "{_shown(text)}"'
        raise source.error(row.line, f"{ref}: {said}")
    return list(pins.items())


def _shown(text: str) -> str:
    plain = "".join(c if c.isprintable() else " " for c in text)
    return plain if len(plain) <= 60 else plain[:57] + "..."
