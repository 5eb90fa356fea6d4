from __future__ import annotations

import tracemalloc
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.readers import detect, sexpr
from counterpoise.readers._reading import Reading
from counterpoise.readers._source import InputError, Source

SAMPLES = Path(__file__).parent / "samples"
NETLIST = (SAMPLES / "fp1_v6.net").read_bytes()
BOARD = (SAMPLES / "fp1_v8.kicad_pcb").read_bytes()


def answer(data: bytes) -> str:
    """What comes of a file: its kind, or the one line that says why not."""
    try:
        return detect.read(Source("x", data)).kind
    except InputError as error:
        return str(error)


@pytest.mark.parametrize("path", sorted(SAMPLES.iterdir()), ids=lambda path: path.name)
def test_each_sample_is_told_by_its_content(path: Path) -> None:
    kind = {".net": "netlist", ".kicad_pcb": "layout"}.get(path.suffix)
    if kind is None:
        pytest.skip("a sample of another reader")
    assert detect.read(Source("no name to go by", path.read_bytes())).kind == kind


def test_a_reading_fills_what_its_kind_promises() -> None:
    listed = detect.read(Source("x", NETLIST))
    drawn = detect.read(Source("x", BOARD))
    assert (listed.circuit is not None, listed.layout is not None) == (True, False)
    assert (drawn.circuit is not None, drawn.layout is not None) == (True, True)


@pytest.mark.parametrize(
    ("data", "line"),
    [
        (b"", "x: expected a netlist, board, BOM or placement file; the file is empty"),
        (b" \n", "x: expected a netlist, board, BOM or placement file; the file is empty"),
        (b"(kicad_sch (version 1))",
         "x: expected a netlist or board; this is a schematic: export its netlist"),
        (b"(kicad_symbol_lib)", "x: expected a netlist or board; this is a symbol library"),
        (b"(paddle)", "x: expected a netlist or board; its root list is a 'paddle'"),
        (b"((a))",
         "x: expected a netlist or board; it does not begin with a list and its name"),
        (b"(export", "x:1: expected ')' for the list that opens here; the file ends first"),
        (b"\x7fELF",
         "x: expected a netlist, board, BOM or placement file; its content is none of these"),
    ],
)  # fmt: skip
def test_what_it_is_not(data: bytes, line: str) -> None:
    assert answer(data) == line


@pytest.mark.parametrize(
    ("data", "kind", "line"),
    [
        (BOARD, "netlist", "x: expected a netlist; this is a board"),
        (NETLIST, "layout", "x: expected a board; this is a netlist"),
        (NETLIST, "bom", "x: expected a BOM; this is a netlist"),
        (BOARD, "placement", "x: expected a placement file; this is a board"),
        (b"(kicad_sch)", "netlist",
         "x: expected a netlist; this is a schematic: export its netlist"),
    ],
)  # fmt: skip
def test_a_file_of_another_kind_is_named(data: bytes, kind: str, line: str) -> None:
    with pytest.raises(InputError) as caught:
        detect.read_as(Source("x", data), kind)
    assert str(caught.value) == line


def test_a_file_of_the_kind_asked_for_is_read() -> None:
    assert detect.read_as(Source("x", NETLIST), "netlist").kind == "netlist"
    assert detect.read_as(Source("x", BOARD), "layout").kind == "layout"
    with pytest.raises(KeyError):
        detect.read_as(Source("x", NETLIST), "no such kind")


def test_tables_are_told_apart() -> None:
    bom = b"Reference,Value,Footprint,Quantity\nR1,10k,R_0603,1\n"
    placement = b"Ref,Val,Package,PosX,PosY,Rot,Side\nR1,10k,R_0603,1.0,2.0,90,top\n"
    assert answer(bom) == "bom"
    assert answer(placement) == "placement"


def readers() -> list[object]:
    return [pytest.param(reader, id=kind) for kind, reader in detect.available()]


@pytest.mark.parametrize("reader", readers())
@pytest.mark.parametrize(
    "data",
    [
        b"", b"\n", b"(", b")", b"()", b"(())", b'"', b"\x00", b"\xff\xfe", b"\xef\xbb\xbf",
        b"\xfe\xff\x00(", b"(export", b"(export (nets (net)))", b"(kicad_pcb", b"a,b\n1",
        b"(kicad_pcb (layers (x)) (net) (footprint) (zone) (via) (segment))",
        b"(kicad_pcb (version 20221018) (footprint) (pad))", b"(" * 5000, b"\xb5,\xb5\n",
        b"(export (components ()) (libparts (libpart)) (nets))", b"(export \xb5)",
        NETLIST.replace(b"\n", b"\r\n"), NETLIST.replace(b"U1", b"U\x00"), b"\xef\xbb\xbf" + BOARD,
        BOARD.decode().encode("utf-16"), BOARD[:999], NETLIST[:999],
    ],
    ids=range(27),
)  # fmt: skip
def test_any_bytes_end_in_a_reading_or_one_line(reader: detect.Reader, data: bytes) -> None:
    try:
        found: Reading | str = reader.read(Source("x", data))
    except InputError as error:
        found = str(error)
    if isinstance(found, str):
        assert found.startswith("x:")
        assert "\n" not in found
        assert len(found) < 300
    assert isinstance(reader.sniff(data), bool)


@given(st.sampled_from([NETLIST, BOARD]), st.integers(0, 40_000))
def test_a_file_cut_short_is_never_taken_for_whole(whole: bytes, cut: int) -> None:
    kept = whole.rstrip()[:cut]
    if len(kept) < len(whole.rstrip()):
        assert answer(kept).startswith("x:")


@pytest.mark.slow
@given(
    st.sampled_from([NETLIST, BOARD]),
    st.lists(st.tuples(st.integers(0, 40_000), st.integers(0, 40), st.binary(max_size=5)),
             min_size=1, max_size=4),
)  # fmt: skip
def test_damaged_files_end_in_a_reading_or_one_line(
    whole: bytes, wounds: list[tuple[int, int, bytes]]
) -> None:
    for at, drop, put in wounds:
        whole = whole[:at] + put + whole[at + drop :]
    assert "\n" not in answer(whole)


@pytest.mark.slow
@pytest.mark.timeout(300)
def test_a_board_of_a_hundred_megabytes_is_read_in_bounded_time_and_memory() -> None:
    """The time is bounded by the timeout: anything worse than linear would run for hours. The tree
    of such a file would take ten times its size; the stream may take its text and what is kept."""
    text = BOARD.decode()
    start, end = text.index("\t(segment"), text.rindex("\t(via")
    tracks = text[start:end]
    size = 100_000_000
    data = (text[:start] + tracks * (size // len(tracks)) + text[end:]).encode()
    del text
    source = Source("x", data)
    tracemalloc.start()
    try:
        count = sum(1 for _ in sexpr.children(source))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert count > 600_000
    assert peak < 2.2 * len(data)
    found = detect.read(source)
    assert found.layout is not None
    assert len(found.layout.tracks) > 600_000
