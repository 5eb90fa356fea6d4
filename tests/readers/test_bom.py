"""BOMs as tools and spreadsheets write them."""

from __future__ import annotations

import csv
import io
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.model.bom import Bom, BomLine
from counterpoise.readers._source import InputError, Source
from counterpoise.readers.bom import read, references, sniff

SAMPLES = Path(__file__).parent / "samples"
BOARDS = Path(
    os.environ.get("COUNTERPOISE_BOARDS", Path(__file__).resolve().parents[2] / "../shared/boards")
)
# Rows and references of the real files, counted by eye and with a spreadsheet's split.
REAL = {
    "flatbox4/Flatbox-rev4.1-BOM.csv": (18, 36),
    "parasite/parasite.csv": (16, 21),
    "watchy/WatchyBOM.csv": (49, 83),
    "orangecrab/OrangeCrab-bom.csv": (47, 152),
}


def _bom(text: str | bytes) -> Bom:
    data = text if isinstance(text, bytes) else text.encode()
    found = read(Source("b.csv", data)).bom
    assert found is not None
    return found


def _line(row: str, head: str = "Ref,Qty,Value,DNP") -> BomLine:
    (line,) = _bom(f"{head}\n{row}\n").lines
    return line


@pytest.mark.parametrize("name", sorted(p.name for p in SAMPLES.glob("fp1_bom*")))
def test_three_exports_of_one_board_say_the_same(name: str) -> None:
    source = Source.of(SAMPLES / name)
    assert sniff(source.data[:4096])
    found = read(source).bom
    assert found is not None
    said = {
        ref: (line.value, line.footprint, line.order_code, line.fitted)
        for line in found.lines
        for ref in line.refs
    }
    assert len(said) == 15
    assert said["C1"] == said["C2"] == ("10u", "C_0603", "CC0603-106", True)
    assert said["R4"] == ("100k", "R_0603", "RC0603-104", True)
    assert said["J2"] == ("DEBUG", "HDR_1x04", "", False)
    assert all(line.quantity == len(line.refs) for line in found.lines)
    wanted = {"reference", "quantity", "value", "footprint", "order_code", "fitted"}
    assert wanted <= found.columns


def test_windows_text_is_read_and_told() -> None:
    reading = read(Source.of(SAMPLES / "fp1_bom_semicolon_cp1252.csv"))
    assert reading.notes == ("fp1_bom_semicolon_cp1252.csv: not UTF-8; read as Windows-1252",)
    assert reading.bom is not None
    assert reading.bom.lines[0].fields == {"Pos": "1", "Preis €": "0,12"}


@pytest.mark.parametrize("name", sorted(REAL))
def test_real_files(name: str) -> None:
    if not (BOARDS / name).is_file():
        pytest.skip("the real boards are not beside this checkout")
    source = Source.of(BOARDS / name)
    assert sniff(source.data[:65536])
    found = read(source).bom
    assert found is not None
    assert (len(found.lines), sum(len(line.refs) for line in found.lines)) == REAL[name]


TEXT = "Ref,Qty,Value\nR1-R3,3,10k\nC1,1,100n\n"


@pytest.mark.parametrize(
    "data",
    [
        TEXT.encode(),
        TEXT.encode("utf-8-sig"),
        TEXT.encode("utf-16"),
        TEXT.encode("utf-16-le"),
        TEXT.encode("utf-16-be"),
        TEXT.replace("\n", "\r\n").encode(),
        TEXT.replace("\n", "\r").encode(),
        TEXT.replace(",", ";").encode(),
        TEXT.replace(",", "\t").encode(),
        TEXT.replace(",", "|").encode(),
        b"sep=;\n" + TEXT.replace(",", ";").encode(),
        b"Board: paddle, rev A\nDate: today\n\n" + TEXT.encode() + b",,\nTotal,4,\n",
        TEXT.replace("R1-R3", '"R1, R2,\nR3"').encode(),
        TEXT.replace("R1-R3", '"R1 R2 R3"').encode(),
        TEXT.replace("10k", '="10k"').encode(),
        TEXT.replace(",", ", ").replace("10k", '"10k"').encode(),
    ],
)
def test_dress_makes_no_difference(data: bytes) -> None:
    assert sniff(data)
    lines = _bom(data).lines
    assert [(line.refs, line.quantity, line.value) for line in lines] == [
        (("R1", "R2", "R3"), 3, "10k"),
        (("C1",), 1, "100n"),
    ]


@pytest.mark.parametrize(
    ("text", "quantity", "refs"),
    [
        ("R1,R2;R3 R4", None, ("R1", "R2", "R3", "R4")),
        ("R1-R4", None, ("R1", "R2", "R3", "R4")),
        ("R1..R3", None, ("R1", "R2", "R3")),
        ("R1–R3", None, ("R1", "R2", "R3")),
        ("R1 - R3, C1", None, ("R1", "R2", "R3", "C1")),
        ("R1 to R3", None, ("R1", "R2", "R3")),
        ("R1:R3", None, ("R1", "R2", "R3")),
        ("R1-4", None, ("R1", "R2", "R3", "R4")),
        ("J1-2", 1, ("J1-2",)),
        ("J1-2", 2, ("J1", "J2")),
        ("R4-R1", None, ("R4-R1",)),
        ("R1-C4", None, ("R1-C4",)),
        ("R1-R9999", None, ("R1-R9999",)),
        ("U1A", None, ("U1A",)),
        ("TP_VCC", None, ("TP_VCC",)),
    ],
)
def test_references(text: str, quantity: int | None, refs: tuple[str, ...]) -> None:
    assert references(text, quantity) == refs


@pytest.mark.parametrize(
    ("head", "row", "fitted"),
    [
        ("Ref,Value,DNP", "R1,10k,", True),
        ("Ref,Value,DNP", "R1,10k,x", False),
        ("Ref,Value,DNP", "R1,10k,DNP", False),
        ("Ref,Value,DNP", "R1,10k,no", True),
        ("Ref,Value,Do not populate", "R1,10k,1", False),
        ("Ref,Value,Fitted", "R1,10k,", True),
        ("Ref,Value,Fitted", "R1,10k,no", False),
        ("Ref,Value,Fitted", "R1,10k,DNP", False),
        ("Ref,Value,Populate", "R1,10k,1", True),
        ("Ref,Value,Qty", "R1,10k,1", None),
        ("Ref,Value,Qty", "R1,10k DNP,1", False),
        ("Ref,Value,Qty", "R1,NF,1", False),
        ("Ref,Value,Description", "R1,10k,not fitted", False),
    ],
)
def test_fitted(head: str, row: str, fitted: bool | None) -> None:
    assert _line(row, head).fitted is fitted


def test_what_cannot_be_understood_is_told() -> None:
    reading = read(Source("b.csv", b"Ref,Qty,Value,DNP\nR1,some,10k,perhaps\n"))
    assert reading.notes == (
        'b.csv:2: quantity "some" is not a whole number; left out',
        'b.csv:2: "perhaps" in a column of fitted marks is neither yes nor no; left out',
    )
    assert reading.bom is not None
    assert (reading.bom.lines[0].quantity, reading.bom.lines[0].fitted) == (None, None)


def test_heads_of_two_meanings_are_settled_by_the_cells() -> None:
    assert _line("1,R1,10k,2", "Qty,Parts,Value,Total").refs == ("R1",)
    line = _line("R1,Fancy resistor,10k,1", "Part,Name,Value,Qty")
    assert (line.refs, line.fields) == (("R1",), {"Name": "Fancy resistor"})
    assert _line("R1,10k,0.12 EUR", "Ref,Value,Total").quantity is None
    assert _line("R1,10k,S123,", "Ref,Value,Supplier Part Number,MPN").order_code == "S123"
    assert _line("R1,10k,S123,M4", "Ref,Value,Supplier Part Number,MPN").order_code == "M4"


def test_formula_cells_stay_text() -> None:
    assert _line("R1,1,=cmd|x!A1,").value == "=cmd|x!A1"


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "b.csv: is empty; expected a BOM"),
        (b"  \n\n", "b.csv: is empty; expected a BOM"),
        (b"a,b\n1,2\n", "b.csv: expected a BOM"),
        (b"Ref\nR1\n", "b.csv: expected a BOM"),
        (b"Part,Value,Qty\nsome thing,10k,1\n", "b.csv:1: expected a BOM"),
        (b'Ref,Qty\n"R1,1\n', "b.csv:2: a quoted cell that begins on this row is not closed"),
        (b'Ref,Qty\n"R1"x,1\n', 'b.csv:2: expected "," after a quoted cell'),
        (
            b"Ref,Qty,Value\nR1,1,10k\nR2,1,10k, 1 %\nR3,1,1k\n",
            'b.csv:3: 4 cells under 3 heads; a cell that holds "," needs quotes around it',
        ),
        (b"Ref,Qty\nR1\0,1\n", "b.csv:2: expected a table of text, found binary data"),
        (b"Ref,Qty\nR\x81,1\n", "b.csv:2: expected text in UTF-8, UTF-16 or Windows-1252"),
    ],
)
def test_bad_files(data: bytes, message: str) -> None:
    with pytest.raises(InputError) as raised:
        read(Source("b.csv", data))
    tail = (
        ': a head row with references ("Reference", "Designator" or the like) '
        'and at least one more known column, such as "Value" or "Quantity"'
    )
    assert str(raised.value) == message + (tail if message.endswith("expected a BOM") else "")


def test_a_column_without_a_head_is_let_pass() -> None:
    assert len(_bom("Ref,Qty\nR1,1,a\nR2,1,b\nR3,1\n").lines) == 3


def test_not_a_bom() -> None:
    assert not sniff(b"Ref,PosX,PosY,Rot,Side,Val\nR1,1,2,0,top,10k\n")
    assert not sniff(b"from,to,reading,note\nU1.1,U2.3,beep,\n")
    assert not sniff(b"(export (version D)")
    assert not sniff(b"")
    assert not sniff(bytes(range(256)))


_CELL = st.text(alphabet=st.characters(blacklist_categories=("Cs", "Cc")), max_size=12).map(
    str.strip
)


@given(
    st.lists(st.tuples(st.integers(1, 99), _CELL, _CELL), min_size=1, max_size=8),
    st.sampled_from(",;\t"),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
)
def test_written_and_read_back(
    rows: list[tuple[int, str, str]], delimiter: str, encoding: str
) -> None:
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, quoting=csv.QUOTE_ALL)
    writer.writerow(("Designator", "Comment", "Note"))
    writer.writerows((f"R{n}", value, note) for n, value, note in rows)
    lines = _bom(out.getvalue().encode(encoding)).lines
    assert [(line.refs, line.value, line.fields.get("Note", "")) for line in lines] == [
        ((f"R{n}",), value, note) for n, value, note in rows
    ]


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    sniff(data)
    for source in (Source("b", data), Source("b", b"Ref,Value\n" + data)):
        try:
            read(source)
        except InputError as error:
            assert error.file == "b"  # noqa: PT017  either outcome is right
