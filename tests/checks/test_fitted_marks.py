"""What drawings and BOM say of fitting a part, where the BOM's mark has already settled it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boards import bom, circuit, make_board
from counterpoise.model.bom import Bom, BomLine
from counterpoise.model.facts import Origin
from counterpoise.model.verdicts import Finding
from rules import outcome

OFF = "R1 10k R_0402 : A B @dnp"


def told(drawn: str, facts: str = "", merged: str = OFF) -> list[Finding]:
    """Findings where the netlist draws R1 as given, and the BOM, which fits it not, has had its
    way."""
    rest = "\nR2 1k R_0402 : A B"
    board = make_board(
        merged + rest,
        facts,
        bill=bom(("R1", "10k", "", "fitted=no"), ("R2", "1k")),
        netlist=circuit(drawn + rest),
    )
    return list(outcome("bom-fitted-conflict", board).findings)


def test_a_drawing_that_marks_no_part_leaves_it_to_the_bom() -> None:
    (finding,) = told("R1 10k R_0402 : A B")
    assert finding.subjects == ("R1",)
    assert finding.severity.value == "caution"


@pytest.mark.parametrize("other", ["R9 1k - : A B @dnp", 'R9 "1k DNP" - : A B'])
def test_a_drawing_that_marks_another_part_means_this_one_to_be_fitted(other: str) -> None:
    (finding,) = told(f"R1 10k R_0402 : A B\n{other}")
    assert finding.subjects == ("R1",)
    assert finding.severity.value == "stop"


@pytest.mark.parametrize(
    "drawn",
    [
        "R1 10k R_0402 : A B @dnp",
        'R1 "10k DNP" R_0402 : A B',
        "R1 10k R_0402 : A B @Comment=DNP",
        "R1 10k R_0402 : A B @Variant=B",
        'R1 10k R_0402 : A B "@Fitted=not in the first lot"',
        "R1 10k R_0402 : A B @MPN=RC0402FR-0710KL @Populate=later",
    ],
)
def test_a_drawing_that_leaves_the_part_off_itself_agrees(drawn: str) -> None:
    assert not told(drawn)


@pytest.mark.parametrize(
    "drawn",
    [
        "R1 10k R_0402 : A B @Variant=",  # the field is there and says nothing
        "R1 10k R_0402 : A B @MPN=RC0402FR-0710KL",
    ],
)
def test_other_fields_do_not_leave_it_off(drawn: str) -> None:
    (finding,) = told(drawn)
    assert finding.subjects == ("R1",)


def test_what_no_drawing_has_is_left_off_by_none() -> None:
    assert not told("R3 10k R_0402 : A B")


def test_the_manifest_settles_it() -> None:
    assert not told("R1 10k R_0402 : A B", "[parts.R1]\nfitted = false")
    (finding,) = told("R1 10k R_0402 : A B", "[parts.R1]\nfitted = true")
    assert finding.severity.value == "stop"
    (finding,) = told("R1 10k R_0402 : A B", '[parts.R1]\nrole = "resistor"')
    assert finding.severity.value == "caution"


def test_one_drawing_of_two_that_leaves_it_off_is_enough() -> None:
    board = make_board(
        OFF,
        bill=bom(("R1", "10k", "", "fitted=no")),
        netlist=circuit("R1 10k R_0402 : A B"),
        drawn=circuit(OFF),
    )
    assert not outcome("bom-fitted-conflict", board).findings


def test_the_line_is_named() -> None:
    origin = Origin("bom.csv", 7)
    line = replace(bom(("R1", "10k")).lines[0], origin=origin)

    def message(slug: str, first: BomLine, *more: BomLine, drawn: str = "R1 10k - : A B") -> str:
        board = make_board(drawn, bill=Bom((first, *more), frozenset({"value"})))
        (finding,) = outcome(slug, board).findings
        return finding.message

    assert message("bom-fitted-conflict", replace(line, fitted=False)).endswith("BOM (line 7)")
    assert "line 7" in message("bom-fitted-conflict", replace(line, fitted=True), drawn=OFF)
    assert "(line 7)" in message("bom-extra", replace(line, refs=("R1", "R2")))
    second = replace(line, value="22k", origin=Origin("bom.csv", 9))
    assert "2 lines (line 7: 10k and line 9: 22k)" in message("bom-duplicate", line, second)


def test_the_remedy_of_a_quantity_is_that_of_all_boards() -> None:
    rows = [("R1 R2", "10k", "", "qty=18"), ("C1", "1u", "", "qty=10"), ("U1", "", "", "qty=10")]
    (finding,) = outcome("bom-quantity", make_board(bill=bom(*rows))).findings
    assert "quantity of R1 and R2 to 20" in finding.remedy
