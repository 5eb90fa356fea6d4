from __future__ import annotations

from pathlib import Path

import pytest

from counterpoise.model.circuit import Circuit, Part, Pin, PinKind
from counterpoise.readers import netlist
from counterpoise.readers._reading import Reading
from counterpoise.readers._source import InputError, Source

SAMPLES = Path(__file__).parent / "samples"
ALL = sorted(SAMPLES.glob("*.net"))


def read(text: str) -> Reading:
    return netlist.read(Source("x.net", text.encode()))


def circuit(text: str) -> Circuit:
    found = read(text).circuit
    assert found is not None
    return found


def part(text: str, ref: str = "U1") -> Part:
    found = circuit(text).part(ref)
    assert found is not None
    return found


def sample(path: Path) -> Circuit:
    found = netlist.read(Source.of(path)).circuit
    assert found is not None
    return found


def partition(found: Circuit) -> set[frozenset[tuple[str, str]]]:
    return {frozenset((pin.ref, pin.number) for pin in net.pins) for net in found.nets.values()}


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.name)
def test_every_version_says_the_same_of_the_same_board(path: Path) -> None:
    found, first = sample(path), sample(ALL[0])
    assert len(ALL) == 3
    assert partition(found) == partition(first)
    assert len(found.parts) == 15
    assert len(found.nets) == 13
    for mine, its in zip(found.parts, first.parts, strict=True):
        for said in ("ref", "value", "footprint", "symbol", "description", "fields", "sheet"):
            assert getattr(mine, said) == getattr(its, said)
        assert [(p.number, p.name, p.kind) for p in mine.pins] == [
            (p.number, p.name, p.kind) for p in its.pins
        ]


def test_a_part_has_all_the_file_says_of_it() -> None:
    regulator = sample(SAMPLES / "fp1_v6.net").part("U2")
    assert regulator is not None
    assert (regulator.value, regulator.footprint, regulator.symbol) == (
        "LDO33",
        "SOT-23-5",
        "LDO33",
    )
    assert regulator.description == "3.3 V low drop-out regulator"
    assert dict(regulator.fields) == {"MPN": "LD33-5"}
    assert regulator.pin("3") == Pin("U2", "3", "VBAT", "EN", PinKind.INPUT)
    assert regulator.pin("4") == Pin(
        "U2", "4", "unconnected-(U2-NC-Pad4)", "NC", PinKind.NO_CONNECT, marked_open=True
    )
    assert (regulator.origin and regulator.origin.line) == 24


def test_a_part_not_to_be_fitted_is_bought_but_not_fitted() -> None:
    header = sample(SAMPLES / "fp1_v8.net").part("J2")
    assert header is not None
    assert (header.fitted, header.bought) == (False, True)


OLD = """(export (version D)
 (components
  (comp (ref U1) (value ~) (footprint Own:SOT-23)
   (libsource (lib own) (part TWIN_A))
   (sheetpath (names /radio/) (tstamps /1/))
   (tstamp 5E123456))
  (comp (ref R1) (value 6u8)))
 (libparts
  (libpart (lib own) (part TWIN)
   (aliases (alias TWIN_A) (alias TWIN_B))
   (description "two of a kind")
   (pins (pin (num 2) (name ~RST) (type BiDi)) (pin (num 1) (name ~) (type openCol))
    (pin (num 3) (name NC) (type NotConnected)))))
 (nets
  (net (code 1) (name 9) (node (ref U1) (pin 1)) (node (ref R1) (pin 1)))
  (net (code 2) (name "Net-(U1-Pad9)") (node (ref U1) (pin 9)))))
"""


def test_the_old_form_with_an_alias_and_types_from_the_library() -> None:
    assert part(OLD).pins == (
        Pin("U1", "2", None, "RST", PinKind.BIDIRECTIONAL),
        Pin("U1", "1", "9", "", PinKind.OPEN_COLLECTOR),
        Pin("U1", "3", None, "NC", PinKind.NO_CONNECT, marked_open=True),
        Pin("U1", "9", "Net-(U1-Pad9)"),
    )
    assert (part(OLD).value, part(OLD).symbol, part(OLD).sheet) == ("", "TWIN_A", "/radio/")
    assert part(OLD).description == "two of a kind"
    assert part(OLD, "R1").value == "6u8"


NEW = """(export (version "E")
 (components
  (comp (ref "U1") (value "X")
   (description "said by the part")
   (fields (field (name "MPN") "AB{slash}C") (field (name "Footprint") "F") (field (name "Note")))
   (property (name "MPN") (value "again")) (property (name "Tol") (value "1%"))
   (property (name "Sheetname") (value "root")) (property (name "ki_keywords") (value "k"))
   (property (name "exclude_from_bom")) (property (name "dnp"))))
 (nets
  (net (code "1") (name "/radio/TX{slash}IO") (class "Default")
   (node (ref "U1") (pin "1") (pinfunction "~{CS{slash}EN}") (pintype "input+no_connect")))
  (net (code "2") (name "A") (node (ref "U1") (pin "2") (pintype "power_out")))
  (net (code "3") (name "B") (node (ref "U1") (pin "2")) (node (ref "Q9") (pin "1")))))
"""


def test_the_new_form_with_flags_escapes_and_fields_listed_twice() -> None:
    found = part(NEW)
    assert dict(found.fields) == {"MPN": "AB{slash}C", "Tol": "1%"}
    assert (found.fitted, found.bought) == (False, False)
    assert found.description == "said by the part"
    assert found.pin("1") == Pin(
        "U1", "1", "/radio/TX/IO", "CS/EN", PinKind.INPUT, marked_open=True
    )


def test_a_pin_on_two_nets_and_a_part_not_listed_are_noted() -> None:
    assert part(NEW).pin("2") == Pin("U1", "2", "A", "", PinKind.POWER_OUT)
    assert part(NEW, "Q9").pins == (Pin("Q9", "1", "B"),)
    assert read(NEW).notes == (
        "x.net:13: U1 pin 2 is on two nets, A and B; the first is kept",
        "x.net:13: Q9 is on a net but not among the components",
    )


def test_two_parts_of_one_ref_are_kept_and_the_first_has_the_pins() -> None:
    text = """(export (version "E")
     (components (comp (ref "R1") (value "1k")) (comp (ref "R1") (value "2k")))
     (nets (net (code "1") (name "A") (node (ref "R1") (pin "1")))))"""
    assert [(p.value, len(p.pins)) for p in circuit(text).parts] == [("1k", 1), ("2k", 0)]


def test_groups_may_come_in_any_order() -> None:
    text = OLD.replace("(components", "(x (a))\n (components")
    body, nets = text.split("(nets")
    turned = "(export (version D) (nets" + nets.rstrip()[:-1] + body.removeprefix("(export") + ")"
    assert circuit(turned).parts[0].pins == circuit(OLD).parts[0].pins


def test_a_list_of_parts_alone_does_not_know_the_wiring() -> None:
    assert not circuit("(export (components (comp (ref R1))))").knows_wiring
    assert circuit("(export (nets))").knows_wiring


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "x.net: expected a netlist; the file is empty"),
        ("(kicad_pcb)", "x.net: expected a netlist; this is a board"),
        ("(export\n(components\n(comp (value x))))", "x.net:3: expected (ref …) in this part"),
        ("(export\n(nets\n(net (code 1))))", "x.net:3: expected (name …) in this net"),
        ("(export (nets (net (name A)\n(node (pin 1)))))",
         "x.net:2: expected (ref …) in this node"),
        ("(export (nets (net (name A)\n(node (ref A) (pin)))))",
         "x.net:2: expected (pin …) in this node"),
    ],
)  # fmt: skip
def test_what_is_missing_is_told(text: str, message: str) -> None:
    with pytest.raises(InputError) as caught:
        read(text)
    assert str(caught.value) == message


def test_a_netlist_cut_anywhere_is_refused_in_one_line() -> None:
    whole = (SAMPLES / "fp1_v6.net").read_bytes().rstrip()
    for end in range(0, len(whole), 97):
        with pytest.raises(InputError) as caught:
            netlist.read(Source("cut.net", whole[:end]))
        assert "\n" not in str(caught.value)
