"""Ring-out logs and parts lists as people keep them."""

from __future__ import annotations

import re

import pytest

import boards
from counterpoise.model.ringout import Lead, LogRow, ReadingKind
from counterpoise.readers._source import InputError, Source
from counterpoise.readers.ringout import parts_of, read, read_parts, sniff

PARTS = boards.circuit("U1 X QFN : 1/VDD=~ 2/GND=~ 3/GND=~\nTP1 - - : ~\nL1 4u7 - : ~ ~")


def _rows(text: str | bytes, head: str = "from,to,reading,note") -> tuple[LogRow, ...]:
    data = text if isinstance(text, bytes) else f"{head}\n{text}\n".encode()
    return read(Source("log.csv", data), PARTS).rows


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("beep", ReadingKind.BEEP, 0),
        ("Beep!", ReadingKind.BEEP, 0),
        ("OL", ReadingKind.OPEN, 0),
        ("open", ReadingKind.OPEN, 0),
        ("4k7", ReadingKind.OHMS, 4700),
        ("0.4", ReadingKind.OHMS, 0.4),
        ("103", ReadingKind.OHMS, 103),
        ('"0,4"', ReadingKind.OHMS, 0.4),
        ("1.2 kΩ", ReadingKind.OHMS, 1200),
        ("0.62 V", ReadingKind.DROP, 0.62),
        ("620mV", ReadingKind.DROP, 0.62),
        ("0V62", ReadingKind.DROP, 0.62),
    ],
)
def test_readings(text: str, kind: ReadingKind, value: float) -> None:
    (row,) = _rows(f"U1.1,U1.2,{text},")
    assert (row.kind, row.row) == (kind, 2)
    assert row.value == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "lead"),
    [
        ("U1.1", Lead("U1", "1")),
        ("u1:1", Lead("U1", "1")),
        ("U1 pin 1", Lead("U1", "1")),
        ("U1.VDD", Lead("U1", "1")),
        ("U1.*", Lead("U1", "*")),
        ("TP1", Lead("TP1", "1")),
    ],
)
def test_places(text: str, lead: Lead) -> None:
    (row,) = _rows(f"L1.1,{text},open,")
    assert row.second == lead


@pytest.mark.parametrize(
    "head", ["From;To;Reading;Note", "A;B;Result;Remarks", "Red;Black;Meter;x"]
)
@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_heads_and_encodings(head: str, encoding: str) -> None:
    text = f"kept at the bench\n{head}\nU1.1;L1.2;beep;naïve\n"
    (row,) = _rows(text.encode(encoding))
    assert (row.row, row.kind) == (3, ReadingKind.BEEP)
    assert sniff(text.encode(encoding))


def test_a_note_says_what_was_off_the_board() -> None:
    first, second, third = _rows(
        "U1.1,L1.1,beep,L1 lifted\nU1.1,L1.2,beep,bare board\nU1.1,TP1,beep,near L1"
    )
    assert (first.lifted, first.copper) == (frozenset({"L1"}), False)
    assert (second.lifted, second.copper) == (frozenset(), True)
    assert (third.lifted, third.copper) == (frozenset(), False)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("U9.1,U1.1,beep,", '"U9" is not in the parts list'),
        ("U1.4,U1.1,beep,", "U1 has no pin 4; its pins in the parts list: 1, 2, 3"),
        ("U1.GND,U1.1,beep,", "U1 has several pins GND: 2, 3"),
        ("U1,U1.1,beep,", "U1 names no pin"),
        ("U1.1,U1.1,beep,", "a pin against itself"),
        ("U1.1,L1.1,humm,", 'got "humm"'),
        ("U1.1,L1.1,,", 'got ""'),
        ("U1.1,L1.1,12 V,", "expected a reading"),
        ("U1.1,L1.*,4k7,", "a sweep reads beep or open"),
        (",L1.1,beep,", 'in "from"'),
    ],
)
def test_a_bad_row_is_named(row: str, said: str) -> None:
    with pytest.raises(InputError, match=re.escape(said)) as caught:
        _rows(f"U1.1,U1.2,open,\n{row}")
    assert caught.value.line == 3


def test_further_bad_rows_are_named_too() -> None:
    with pytest.raises(InputError, match=r"so too on lines 3, 4\)"):
        _rows("U9.1,U1.2,open,\nU9.1,U1.2,open,\nU1.1,U1.2,hm,")


def test_not_a_log() -> None:
    with pytest.raises(InputError, match="expected a ring-out log"):
        read(Source("x.csv", b"a;x\n1;2\n"))


def test_without_a_parts_list_the_log_names_the_pins() -> None:
    log = read(Source("x.csv", b"from,to,reading\nU1.7,R1.1,beep\n"))
    assert [(p.ref, [q.number for q in p.pins]) for p in parts_of(log).parts] == [
        ("U1", ["7"]),
        ("R1", ["1"]),
    ]
    with pytest.raises(InputError, match=r"--parts"):
        read(Source("x.csv", b"from,to,reading\nU1.7,R1.*,beep\n"))


def _parts(text: str) -> dict[str, list[tuple[str, str]]]:
    circuit = read_parts(Source("parts.csv", text.encode()))
    assert not circuit.knows_wiring
    return {part.ref: [(pin.number, pin.name) for pin in part.pins] for part in circuit.parts}


def test_a_bom_with_pins() -> None:
    found = _parts('Ref,Pins\n"R1-R2, C1",2\nU1,1/VDD 2/GND\nSW1,A B S1-S2\nU2,"1-3,EP"\n')
    assert list(found) == ["R1", "R2", "C1", "U1", "SW1", "U2"]
    assert found["R2"] == [("1", ""), ("2", "")]
    assert found["U1"] == [("1", "VDD"), ("2", "GND")]
    assert [number for number, _ in found["U2"]] == ["1", "2", "3", "EP"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Ref,Pins\nR1,2\nR1,2\n", "parts.csv:3: R1 is listed twice (first on line 2)"),
        ("Ref,Pins\nR1,\n", "parts.csv:2: R1: expected a count of pins"),
        ("Ref,Pins\nR1,1 1\n", "parts.csv:2: R1: pin 1 is listed twice"),
        ("Ref,Pins\nR1,99999\n", "parts.csv:2: R1: expected at most 5000 pins"),
        ("Ref,Value\nR1,2k\n", "expected a parts list"),
        ("(export (version E) (components (comp (ref R1))))", "lists no pins"),
    ],
)
def test_a_bad_parts_list(text: str, said: str) -> None:
    with pytest.raises(InputError, match=re.escape(said)):
        _parts(text)


def test_a_netlist_without_nets_lists_parts() -> None:
    text = (
        "(export (version E) (components (comp (ref U1) (libsource (lib a) (part b))))"
        "(libparts (libpart (lib a) (part b) (pins (pin (num 1) (name VDD) (type power_in))))))"
    )
    assert _parts(text) == {"U1": [("1", "VDD")]}
