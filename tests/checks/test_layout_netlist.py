"""Netlist and layout against each other: nets, parts and values, and which of them is told."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from boards import circuit, make_board
from counterpoise.model.circuit import Circuit
from counterpoise.model.layout import Layout
from counterpoise.model.verdicts import Fail, Pass, Severity, Unknown, Verdict
from layouts import layout
from rules import outcome, verdicts

FEW = "R1 1k R : A B\nR2 1k R : B C\nU1 X Q : A C D\nU2 X Q : D B A\n"


def judged(
    listed: str | Circuit, drawn: str | Circuit, drawing: str | Layout = "", facts: str = ""
) -> list[Verdict]:
    ends = [circuit(c) if isinstance(c, str) else c for c in (listed, drawn)]
    made = layout(drawing) if isinstance(drawing, str) else drawing
    board = make_board("", facts, layout=made, circuit=ends[0], netlist=ends[0], drawn=ends[1])
    return verdicts("layout-netlist-differs", board)


def told(found: list[Verdict]) -> list[tuple[str, str]]:
    """Case and pin (or refs) of each finding."""
    return [
        (v.case, v.words.get("pin", " ".join(v.subjects))) if isinstance(v, Fail) else (str(v), "")
        for v in found
    ]


FINE = [(str(Pass("the board")), "")]


# -- nets ----------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("drawn", "expected"),
    [
        (FEW, []),
        (FEW.replace("A", "N1").replace("D", "A"), []),  # names do not count
        # One pad moved to another net; what it leaves alone there is told with it.
        (FEW.replace("R2 1k R : B C", "R2 1k R : B A"), [("net", "R2.2")]),
        (FEW.replace("U1 X Q : A C D", "U1 X Q : B C D"), [("net", "U1.1")]),
        (FEW.replace("U1 X Q : A C D", "U1 X Q : ~ C D"), [("net", "U1.1")]),
        (FEW.replace("U1 X Q : A C D", "U1 X Q : LONE C D"), [("net", "U1.1")]),
        (FEW.replace("R1 1k R : A B", "R1 1k R : B A"), [("net", "R1.1"), ("net", "R1.2")]),
        # A net that the layout does not make at all.
        (
            FEW.replace("U1 X Q : A C D", "U1 X Q : A C ~").replace(": D B A", ": ~ B A"),
            [("unmade", "U1.3")],
        ),
        (
            FEW.replace("U1 X Q : A C D", "U1 X Q : A C L1").replace(": D B A", ": L2 B A"),
            [("unmade", "U1.3")],
        ),
    ],
)
def test_the_same_pins_are_joined(drawn: str, expected: list[tuple[str, str]]) -> None:
    found = judged(FEW, drawn)
    assert told(found) == (expected or FINE)


def test_a_net_that_the_layout_leaves_out_stops_and_names_its_pins() -> None:
    drawn = FEW.replace("A C D", "A C ~").replace("D B A", "~ B A")
    (verdict,) = judged(FEW, drawn, "part U1 at 5 5\n  pad 3 rect 1 x 1 at 1 2\n")
    assert isinstance(verdict, Fail)
    assert (verdict.subjects, verdict.nets, verdict.severity) == (("U1", "U2"), ("D",), None)
    assert verdict.words["pins"] == "U1.3 and U2.1"
    assert verdict.place is not None
    assert (verdict.place.x_mm, verdict.place.y_mm) == (6, 7)


def test_pads_that_the_netlist_leaves_open_and_the_layout_joins_are_a_caution() -> None:
    listed = FEW.replace("A C D", "A C ~").replace("D B A", "~ B A")
    board = make_board(
        "", layout=Layout(), circuit=circuit(listed), netlist=circuit(listed), drawn=circuit(FEW)
    )
    (finding,) = outcome("layout-netlist-differs", board).findings
    assert finding.severity.value == "caution"
    assert finding.message == "The layout joins U1.3 and U2.1 (D); the netlist leaves them open"
    # Pads that the netlist does not know of are joined as the layout likes.
    bare = listed.replace("A C ~", "A C").replace("~ B A", "9=~ 2=B 3=A")
    assert told(judged(bare, FEW.replace("D B A", "1=D 2=B 3=A"))) == FINE


def test_an_open_pin_of_the_netlist_on_a_net_of_the_layout_is_told() -> None:
    listed = FEW.replace("U2 X Q : D B A", "U2 X Q : D B ~")
    assert told(judged(listed, FEW)) == [("net", "U2.3")]
    verdict = judged(listed, FEW)[0]
    assert isinstance(verdict, Fail)
    assert (verdict.words["want"], verdict.words["have"], verdict.nets) == ("no net", "A", ("A",))


def test_a_pin_without_a_pad_and_a_part_of_one_side_are_told_as_such() -> None:
    found = told(judged(FEW, FEW.replace("U1 X Q : A C D", "U1 X Q : A C")))
    assert found == [("padless", "U1.3")]
    assert told(judged(FEW, FEW.replace("U2 X Q : D B A", "U2 X Q : D B"))) == [("padless", "U2.3")]
    assert told(judged(FEW + "R9 1k R : A C\n", FEW)) == [("absent", "R9")]


def test_the_net_of_the_same_name_keeps_it_where_pads_are_evenly_split() -> None:
    listed = "".join(f"R{i} 1k R : M X{i}\n" for i in range(1, 5))
    drawn = listed.replace("R3 1k R : M", "R3 1k R : 0").replace("R4 1k R : M", "R4 1k R : 0")
    assert told(judged(listed, drawn)) == [("net", "R3.1"), ("net", "R4.1")]
    other_way = listed.replace("R1 1k R : M", "R1 1k R : 0").replace("R2 1k R : M", "R2 1k R : 0")
    assert told(judged(listed, other_way)) == [("net", "R1.1"), ("net", "R2.1")]
    neither = other_way.replace("M", "Z")
    assert told(judged(listed, neither)) == [("net", "R3.1"), ("net", "R4.1")]


def test_of_two_nets_laid_as_one_the_first_by_name_keeps_it() -> None:
    listed = "R3 1k R : N X3\nR4 1k R : N X4\nR1 1k R : M X1\nR2 1k R : M X2\n"
    drawn = listed.replace("N", "ONE").replace("M", "ONE")
    assert told(judged(listed, drawn)) == [("net", "R3.1"), ("net", "R4.1")]
    # The larger one keeps it whatever it is called.
    larger = listed + "R5 1k R : N X5\n"
    assert told(judged(larger, larger.replace("N", "ONE").replace("M", "ONE"))) == [
        ("net", "R1.1"),
        ("net", "R2.1"),
    ]


def test_findings_stand_in_the_order_of_the_parts_and_at_the_pad() -> None:
    listed = FEW + "R10 1k R : A C\nR9 1k R : A C\n"
    drawn = listed.replace("R10 1k R : A C", "R10 1k R : B C").replace(
        "R9 1k R : A C", "R9 1k R : B C"
    )
    drawing = 'part R9 at 5 5 0 back "R"\n  pad 2 rect 1 x 1 at 1 0\n  pad 1 rect 1 x 1 at -1 0\n'
    drawing += "  pad 1 rect 1 x 1 at 7 7\npart R10 at 9 9\n  pad 2 rect 1 x 1 at 1 0\n"
    first, second = judged(listed, drawn, drawing)
    assert isinstance(first, Fail)
    assert isinstance(second, Fail)
    assert (first.words["pin"], second.words["pin"]) == ("R9.1", "R10.1")
    assert first.place is not None
    assert (first.place.x_mm, first.place.y_mm, first.place.side) == (4, 5, "back")
    assert second.place is None  # the layout draws no such pad


def test_a_net_of_the_layout_alone_hides_no_pad_that_was_moved() -> None:
    listed = FEW + "C1 1u C : A ~\nC2 1u C : B ~\n"
    drawn = FEW.replace("U1 X Q : A", "U1 X Q : B") + "C1 1u C : A NEW\nC2 1u C : B NEW\n"
    assert told(judged(listed, drawn)) == [("net", "U1.1"), ("joined", "C1.2")]


def test_a_ref_that_stands_twice_is_left_to_its_own_rule() -> None:
    twice = FEW + "R7 1k R : A B\nR7 1k R : C D\n"
    assert told(judged(twice, twice.replace("R7 1k R : A B", "R7 1k R : C B"))) == told(
        [Pass("the board")]
    )
    assert told(judged(FEW + "R7 1k R : A B\n", twice)) == FINE


# -- parts ---------------------------------------------------------------------------------------
def test_a_part_that_only_the_netlist_has() -> None:
    assert told(judged(FEW + "R10 1k R : A D\nR9 1k R : A D\n", FEW)) == [
        ("absent", "R9"),
        ("absent", "R10"),
    ]
    assert told(judged(FEW + "H1 - HOLE :\n", FEW)) == FINE
    drawn_without_pads = "part R9 at 5 5\n"
    assert told(judged(FEW + "R9 1k R : A D\n", FEW, drawn_without_pads)) == told(
        [Pass("the board")]
    )


@pytest.mark.parametrize(
    ("part", "expected"),
    [
        ("R9 1k R : A D", ["extra"]),
        ("R9 1k R : A A", ["extra"]),
        ("R9 1k R : A ~", []),
        ("TP9 - P : 1=A 1=A 1=A", []),  # one number, however many pads
        ("'' - P : A D", []),  # a shape without a ref
    ],
)
def test_a_part_that_only_the_layout_has(part: str, expected: list[str]) -> None:
    found = judged(FEW, FEW + part + "\n")
    assert [case for case, _ in told(found) if case == "extra"] == expected
    assert len(found) == 1


def test_a_part_of_the_layout_alone_is_told_at_its_place_unless_marked_so() -> None:
    drawing = layout('part R9 at 5 6 0 back "R"\n')
    drawn = FEW + "R10 1k R : A D\nR9 1k R : A D\n"
    first, second = judged(FEW, drawn, drawing)
    assert isinstance(first, Fail)
    assert isinstance(second, Fail)
    assert (first.subjects, second.subjects) == (("R9",), ("R10",))
    assert first.place is not None
    assert (first.place.x_mm, first.place.y_mm, first.place.side) == (5, 6, "back")
    assert second.place is None
    (part,) = drawing.footprints
    for marked in (replace(part, board_only=True), replace(part, bought=False)):
        again = judged(FEW, drawn, replace(drawing, footprints=(marked,)))
        assert told(again) == [("extra", "R10")]


# -- files ---------------------------------------------------------------------------------------
@pytest.mark.parametrize("which", ["netlist", "drawn"])
def test_without_one_of_the_two_it_cannot_be_told(which: str) -> None:
    for missing in (None, Circuit(knows_wiring=False)):
        ends: dict[str, Any] = {"netlist": circuit(FEW), "drawn": circuit(FEW)}
        ends[which] = missing
        (verdict,) = verdicts("layout-netlist-differs", make_board(FEW, layout=Layout(), **ends))
        assert isinstance(verdict, Unknown)
        key = "netlist" if which == "netlist" else "layout"
        assert f"[board] {key} =" in verdict.needs[0].where


# -- values --------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("listed", "drawn", "differ"),
    [
        ("R1 4.7k R", "R1 47k R", True),
        ("R1 4,7k R", "R1 4.7k R", False),
        ("R1 4k7 R", "R1 4.7kΩ R", False),
        ("C1 2.2u C", "C1 22u C", True),
        ("C1 100n C", "C1 0.1uF C", False),
        ("C1 TBD C", "C1 100n C", True),
        ("C1 100n C", "C1 TBD C", True),
        ("C1 TBD C", "C1 tbd C", False),
        ("R1 10k R", "R1 - R", False),
        ("R1 - R", "R1 10k R", False),
        ("U1 MCP1700-3.3 SOT", "U1 MCP1700-33 SOT", True),
        ("U1 MCP1700-3.3 SOT", "U1 mcp1700_3,3 SOT", False),
        ("U1 TP4054 SOT", "U1 TP4056 SOT", True),
        ("D1 BAT54 D", "D1 BAT54S D", True),
    ],
)
def test_a_value_that_the_two_files_spell_otherwise(listed: str, drawn: str, differ: bool) -> None:
    found = judged(f"{listed} : A B\n", f"{drawn} : A B\n")
    assert [case for case, _ in told(found)] == (["value"] if differ else [FINE[0][0]])


def test_parts_that_differ_alike_are_told_together() -> None:
    listed = "R10 1k R : A B\nR9 1k R : A B\nR3 5k R : A B\nR4 1k R : A B\n"
    drawn = listed.replace("1k", "2k").replace("R3 5k", "R3 6k").replace("R4 2k", "R4 1k")
    board = make_board(
        "", layout=Layout(), circuit=circuit(listed), netlist=circuit(listed), drawn=circuit(drawn)
    )
    messages = sorted(f.message for f in outcome("layout-netlist-differs", board).findings)
    assert messages == [
        'R3 is "5k" in the netlist, but "6k" on the layout',
        'R9 and R10 are "1k" in the netlist, but "2k" on the layout',
    ]
    twice = judged("R1 1k R : A B\nR1 1k R : A B\n", "R1 2k R : A B\n")
    assert told(twice) == FINE


# -- pins without a pad --------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("listed", "drawn", "pins", "severity"),
    [
        # A symbol numbered G, S, D on a footprint numbered 1, 2, 3.
        ("Q1 X Q : G=A S=B D=C", "Q1 X Q : 1=A 2=B 3=C", "Q1.G, Q1.S and Q1.D", None),
        ("Q1 X Q : 1=A 2=B 4=C", "Q1 X Q : 1=A 2=B 3=C", "Q1.4", None),
        # Its ground is joined by another pad; a shield is no signal.
        ("Q1 X Q : 1=A 2=C 4=C", "Q1 X Q : 1=A 2=C 3=~", "Q1.4", Severity.CAUTION),
        ("Q1 X Q : 1=A 2=B S1/SHIELD=C", "Q1 X Q : 1=A 2=B", "Q1.S1 (SHIELD)", Severity.CAUTION),
        (
            "Q1 X Q : 1=A 2=B MP/MountPin=C",
            "Q1 X Q : 1=A 2=B",
            "Q1.MP (MountPin)",
            Severity.CAUTION,
        ),
        # Of several only those are named for which the board does not come about.
        ("Q1 X Q : 1=A 4=A 5=C", "Q1 X Q : 1=A", "Q1.5", None),
    ],
)
def test_a_joined_pin_without_a_pad(
    listed: str, drawn: str, pins: str, severity: Severity | None
) -> None:
    rest = "R1 1k R : A B\nR2 1k R : B C\nR3 1k R : C A\n"
    found = [v for v in judged(rest + listed, rest + drawn) if isinstance(v, Fail)]
    (told,) = (v for v in found if v.case == "padless")
    assert (told.subjects, told.words["pin"], told.severity) == (("Q1",), pins, severity)


def test_a_pin_without_a_pad_that_joins_nothing_is_no_matter() -> None:
    rest = "R1 1k R : A B\nR2 1k R : B A\n"
    assert told(judged(rest + "Q1 X Q : 1=A 2=B 3=LONE 4=~", rest + "Q1 X Q : 1=A 2=B")) == FINE
