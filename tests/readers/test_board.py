from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardtext import HEAD, circuit, footprint, layout, near, read
from counterpoise.model.circuit import Circuit, Pin, PinKind
from counterpoise.model.layout import Arc, Drill, Layout, StackLayer
from counterpoise.readers import board, netlist
from counterpoise.readers._reading import Reading
from counterpoise.readers._source import InputError, Source

SAMPLES = Path(__file__).parent / "samples"
ALL = sorted(SAMPLES.glob("*.kicad_pcb"))


def sample(path: Path) -> tuple[Layout, Circuit]:
    found = board.read(Source.of(path))
    assert found.layout is not None
    assert found.circuit is not None
    return found.layout, found.circuit


def partition(found: Circuit) -> set[frozenset[tuple[str, str]]]:
    return {frozenset((pin.ref, pin.number) for pin in net.pins) for net in found.nets.values()}


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.name)
def test_every_version_draws_the_same_board(path: Path) -> None:
    assert len(ALL) == 6
    (mine, wiring), (its, other) = sample(path), sample(ALL[0])
    assert partition(wiring) == partition(other)
    assert len(mine.footprints) == 16
    for one, two in zip(mine.footprints, its.footprints, strict=True):
        assert (one.ref, one.value, one.side, one.angle) == (
            (two.ref, two.value, two.side, two.angle)
        )
        for a, b in zip(one.pads, two.pads, strict=True):
            assert near(a.at, *b.at)
            assert (a.number, a.size, a.angle, a.copper) == (b.number, b.size, b.angle, b.copper)
    assert [t.width for t in mine.tracks] == [t.width for t in its.tracks]
    for drawn, same in zip(mine.drawings, its.drawings, strict=True):
        if isinstance(drawn.shape, Arc) and isinstance(same.shape, Arc):
            # The samples round the arc's middle to 0.001 mm in the newer form.
            assert math.dist(drawn.shape.mid, same.shape.mid) < 0.001
            assert {drawn.shape.start, drawn.shape.end} == {same.shape.start, same.shape.end}
        else:
            assert drawn.shape == same.shape
    assert (mine.thickness_mm, mine.origin_mm, mine.copper_layers) == (
        (1.6, (100.0, 140.0), ("F.Cu", "B.Cu"))
    )
    assert mine.title == "FP-1 focuser paddle"
    assert [bool(zone.keepout) for zone in mine.zones] == [False, True]


def test_the_board_and_its_netlist_agree() -> None:
    listed = netlist.read(Source.of(SAMPLES / "fp1_v8.net")).circuit
    _, drawn = sample(SAMPLES / "fp1_v8.kicad_pcb")
    assert listed is not None
    assert partition(drawn) == partition(listed)
    for part in listed.parts:
        own = drawn.part(part.ref)
        assert own is not None
        assert (own.value, own.footprint, own.fitted) == (part.value, part.footprint, part.fitted)
        assert own.fields == part.fields
        for pin in part.pins:
            other = own.pin(pin.number)
            assert other is not None
            assert (other.net, other.kind) == (pin.net, pin.kind)


def test_a_hole_is_kept_as_not_bought_and_not_placed() -> None:
    drawn, wiring = sample(SAMPLES / "fp1_v9.kicad_pcb")
    hole = drawn.footprint("H1")
    assert hole is not None
    assert (hole.board_only, hole.bought, hole.placed, hole.mount) == (True, False, False, "other")
    assert hole.value == ""
    assert hole.pads[0].drill == Drill((103.5, 83.5), 3.2, 3.2, 0.0, plated=False)
    part = wiring.part("H1")
    assert part is not None
    assert (part.pins, part.bought) == ((), False)


# Header.


def test_the_stack_up() -> None:
    found = layout(
        '(setup (stackup (layer "F.Mask" (type "Top Solder Mask") (thickness 0.01))'
        ' (layer "F.Cu" (type "copper") (thickness 0.035))'
        ' (layer "dielectric 1" (type "prepreg") (thickness 0.2 locked) (material "FR4")'
        ' (epsilon_r 4.5) addsublayer (thickness 0.1) (material "P") (epsilon_r 3.2))'
        ' (layer "B.Cu" (type "copper")) (copper_finish "ENIG")) (aux_axis_origin 3 4))'
        '(general (thickness 0.8)) (title_block (title "T") (rev "B"))'
    )
    assert found.stack == (
        StackLayer("F.Mask", "mask", 0.01),
        StackLayer("F.Cu", "copper", 0.035),
        StackLayer("dielectric 1", "prepreg", 0.2, "FR4", 4.5),
        StackLayer("dielectric 1", "prepreg", 0.1, "P", 3.2),
        StackLayer("B.Cu", "copper"),
    )
    assert (found.finish, found.thickness_mm, found.origin_mm) == ("ENIG", 0.8, (3.0, 4.0))
    assert found.title == "T"


def test_what_the_file_does_not_say_stays_unsaid() -> None:
    found = layout("")
    assert (found.thickness_mm, found.finish, found.origin_mm, found.stack) == (None, "", None, ())


def test_a_newer_board_is_read_with_one_note() -> None:
    found = read("", HEAD.replace("20211014", "20991231"))
    assert len(found.notes) == 1
    assert found.notes[0].startswith("x.brd:1: board format 20991231")
    assert read("").notes == ()


# Footprints as parts.


@pytest.mark.parametrize(
    ("name", "attributes", "mount", "bought", "placed", "fitted"),
    [
        ("module", "", "through-hole", True, True, True),
        ("module", "(attr smd)", "smd", True, True, True),
        ("module", "(attr virtual)", "other", False, False, True),
        ("footprint", "", "other", True, True, True),
        ("footprint", "(attr through_hole)", "through-hole", True, True, True),
        ("footprint", "(attr smd exclude_from_bom dnp)", "smd", False, True, False),
        ("footprint", "(attr smd exclude_from_pos_files)", "smd", True, False, True),
    ],
)
def test_what_the_attributes_say(
    name: str, attributes: str, mount: str, bought: bool, placed: bool, fitted: bool
) -> None:
    found = footprint(attributes, name=name)
    assert (found.mount, found.bought, found.placed, found.fitted) == (
        (mount, bought, placed, fitted)
    )


def test_texts_and_fields_of_a_footprint() -> None:
    found = footprint(
        '(descr "land pattern") (property "Reference" "R1") (property "Value" "~")'
        ' (property "MPN" "M-1") (property ki_fp_filters "R_*") (property "Sheetfile" "x")'
        ' (property "Empty" "") (fp_text user "${REFERENCE}" (at 0 0))'
    )
    assert (found.ref, found.value, found.name) == ("R1", "", "X")
    assert found.description == "land pattern"
    assert dict(found.fields) == {"MPN": "M-1"}


def test_net_ties_old_and_new() -> None:
    pads = "(pad 1 smd rect (at 0 0) (size 1 1) (layers F.Cu)) (pad 2 smd rect (at 1 0) (size 1 1))"
    assert footprint(f'(net_tie_pad_groups "1, 2" "3,4") {pads}').net_ties == (
        (("1", "2"), ("3", "4"))
    )
    assert footprint(f'(tags "net tie") {pads}').net_ties == (("1", "2"),)


CHIP = """(footprint "a:b" (layer F.Cu) (at 0 0) (fp_text reference U1 (at 0 0))
 (pad "39" smd rect (at 0 0) (size 1 1) (layers F.Cu))
 (pad "39" thru_hole circle (at 0 0) (size 1 1) (drill 0.3) (layers *.Cu) (net 1 "GND")
  (pinfunction "~{PAD}") (pintype "power_in+no_connect"))
 (pad "" smd rect (at 0 0) (size 1 1) (layers F.Paste))
 (pad "7" smd rect (at 0 0) (size 1 1) (layers F.Paste))
 (pad "8" np_thru_hole circle (at 0 0) (size 1 1) (drill 1) (layers *.Cu))
 (pad "9" connect rect (at 0 0) (size 1 1) (layers F.Cu) (net 9 "VCC"))
 (pad "9" smd rect (at 0 0) (size 1 1) (layers F.Cu) (net 1 "GND")))"""


def test_pads_of_one_number_are_one_pin() -> None:
    (part,) = circuit(CHIP).parts
    assert part.pins == (
        Pin("U1", "39", "GND", "PAD", PinKind.POWER_IN, marked_open=True),
        Pin("U1", "9", "VCC"),
    )
    assert part.symbol == ""
    assert read(CHIP).notes == (
        "x.brd:10: U1 has pads numbered 9 on two nets, VCC and GND; the first is kept",
    )


def test_which_footprints_are_parts() -> None:
    made = (
        '(footprint "a:b" (at 0 0) (fp_text reference "{ref}" (at 0 0))'
        " (pad {pad} smd rect (at 0 0) (size 1 1) (layers F.Cu)))"
    )
    refs = [("R1", "1"), ("REF**", '""'), ("", "1"), ("", '""')]
    found = read("".join(made.format(ref=ref, pad=number) for ref, number in refs))
    assert found.layout is not None
    assert found.circuit is not None
    assert len(found.layout.footprints) == 4
    assert [part.ref for part in found.circuit.parts] == ["R1", "REF**", ""]


# What is wrong.


@pytest.mark.parametrize(
    ("body", "message"),
    [
        ("(segment\n(start 0 x) (end 1 1))", "x.brd:3: expected a number in (start …), found 'x'"),
        ("(segment (start 0 0))", "x.brd:2: expected (end …) in this segment"),
        ("(segment (start 0) (end 1 1))", "x.brd:2: expected a number in (start …), found none"),
        ("(segment (start (a) 0) (end 1 1))",
         "x.brd:2: expected a number in (start …), found none"),
        ("(segment (start nan 0) (end 1 1))",
         "x.brd:2: expected a number in (start …), found 'nan'"),
        ("(segment (start 1_0 0) (end 1 1))",
         "x.brd:2: expected a number in (start …), found '1_0'"),
        ("(footprint a:b)", "x.brd:2: expected (at …) in this footprint"),
        ("(footprint a:b (at 0 0)\n(pad 1 smd rect (size 1 1)))",
         "x.brd:3: expected (at …) in this pad"),
        ("(footprint a:b (at 0 0)\n(pad 1 smd rect (at 0 0)))",
         "x.brd:3: expected (size …) in this pad"),
        ("(footprint a:b (at 0 0)\n(pad 1 (at 0 0) (size 1 1)))",
         "x.brd:3: expected (pad NUMBER TYPE SHAPE …)"),
        ("(zone (polygon (pts (xy 0 0)\n(xy 1 inf))))",
         "x.brd:3: expected a number in (xy …), found 'inf'"),
        ("(zone (polygon (pts (xy 0 0)\n(xy 1))))",
         "x.brd:3: expected a number in (xy …), found none"),
        ("(zone (polygon (pts (xy 0 0) (ab 1 1))))", "x.brd:2: expected (xy X Y) or (arc …)"),
        ("(zone (polygon))", "x.brd:2: expected (pts …) in this polygon"),
        ("(gr_curve (pts (xy 0 0)))", "x.brd:2: expected four points for a curve, found 1"),
        ("(gr_arc (start 0 0) (end 1 1))", "x.brd:2: expected (angle …) in this gr_arc"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_with_its_line(body: str, message: str) -> None:
    with pytest.raises(InputError) as caught:
        read(body)
    assert str(caught.value) == message


@pytest.mark.parametrize("version", ["abc", "20xx1130", "-", "(a)"])
def test_a_version_that_is_none(version: str) -> None:
    with pytest.raises(InputError, match=r"in \(version"):
        read("", f"(version {version})")


@pytest.mark.parametrize(
    "data",
    [b"", b"(", b"(export)", b"(kicad_sch (version 1))", b"\xff\xfe(\x00k\x00"],
    ids=["empty", "bracket", "netlist", "schematic", "utf-16"],
)
def test_no_board_at_all(data: bytes) -> None:
    with pytest.raises(InputError, match="expected a board"):
        board.read(Source("x.brd", data))


def test_a_board_cut_anywhere_is_refused_in_one_line() -> None:
    whole = (SAMPLES / "fp1_v5.kicad_pcb").read_bytes().rstrip()
    for end in range(0, len(whole), 173):
        with pytest.raises(InputError) as caught:
            board.read(Source("cut.brd", whole[:end]))
        assert "\n" not in str(caught.value)


def test_line_ends_and_a_mark_change_nothing() -> None:
    plain = (SAMPLES / "fp1_v8.kicad_pcb").read_bytes()
    other = b"\xef\xbb\xbf" + plain.replace(b"\n", b"\r\n")
    assert board.read(Source("x", other)) == board.read(Source("x", plain))


@pytest.mark.slow
@given(st.integers(0, 40_000), st.binary(max_size=6), st.integers(0, 30))
def test_a_damaged_board_is_read_or_refused(at: int, put: bytes, drop: int) -> None:
    whole = (SAMPLES / "fp1_v8.kicad_pcb").read_bytes()
    damaged = whole[:at] + put + whole[at + drop :]
    try:
        found: object = board.read(Source("x.brd", damaged))
    except InputError as error:
        found = error
        assert "\n" not in f"{error}"  # noqa: PT017  whichever way it ends, this must hold
    assert isinstance(found, Reading | InputError)
