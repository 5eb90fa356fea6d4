"""A comparison in words, as Markdown and as JSON."""

from __future__ import annotations

import json
import re
from functools import cache
from importlib.resources import files

import jsonschema
import pytest

from boards import make_board
from commands import DEMO
from counterpoise.cli._work import board_at, examine
from counterpoise.compare.result import Comparison
from counterpoise.compare.run import compare
from counterpoise.reports import compare as report
from counterpoise.reports._compared import runs
from counterpoise.reports.compare_json import render as render_json
from counterpoise.reports.compare_json import tree
from counterpoise.roles.board import Board

EVIL = "\x1b[31m<script>|`*_[x](y)\u202e"


@cache
def validator() -> jsonschema.Draft202012Validator:
    text = (files("counterpoise") / "schemas" / "compare-1.json").read_text("utf-8")
    schema = json.loads(text)
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def compared(old: Board, new: Board, labels: tuple[str, str] = ("old", "new")) -> Comparison:
    return compare(old, new, (examine(old, []), examine(new, [])), labels)


@cache
def demo(name: str) -> Comparison:
    return compared(board_at(DEMO / "donor"), board_at(DEMO / name), ("donor", name))


def small(*, evil: bool = False) -> Comparison:
    net = EVIL if evil else "N"
    old = make_board(
        "U1 X Q : 1=A 2=B 3=C\nR1 1k R_0402 : A B @symbol=R\nR2 2k R_0402 : C B @symbol=R"
    )
    new = make_board(
        f'U1 X Q : 1=A 2=B 3=C\nR1 1k R_0402 : A "{net}" @symbol=R\nR2 2k R_0402 : C B @symbol=R'
        f'\nR3 "{EVIL if evil else "3k"}" R_0402 : "{net}" C @symbol=R'
    )
    return compared(old, new, (EVIL if evil else "old", "new"))


def test_donor_against_revision_b_is_one_screen() -> None:
    text = report.render(demo("rev-b"))
    lines = text.splitlines()
    assert len(lines) <= 40
    assert max(map(len, lines)) <= 80
    for words in (
        "are the same",
        "radio",
        "encoder",
        "boost converter and dry cell replaced by regulator, USB-C socket, charger",
        "lithium",
        '"+3V3", from U1 (boost converter)',
        "Board area",
        "Mass",
    ):
        assert words in text.replace("\n  ", " ") or words in text


def test_donor_against_revision_a_says_what_to_rewire() -> None:
    text = " ".join(report.render(demo("rev-a")).split())
    assert (
        "donor U2.8 joined SW2.2; in rev-a it (U1.8) joins SW1.3, and SW1.2 is left open." in text
    )
    assert "value 15p, now 27p" in text


@pytest.mark.parametrize("name", ["rev-a", "rev-b"])
def test_json_keeps_its_contract(name: str) -> None:
    answer = json.loads(render_json([demo(name)]))
    validator().validate(answer)
    assert answer["wiring"]["verdict"] == ("same" if name == "rev-b" else "different")
    assert answer["area"]["ratio"] == pytest.approx(
        answer["area"]["new_mm2"] / answer["area"]["old_mm2"], rel=1e-6
    )
    assert answer["mass"]["new_g"] < answer["mass"]["old_g"]
    assert ["U2", "U1"] in answer["parts"]["matched"]
    assert "J1" in answer["parts"]["removed"]


def test_json_of_every_kind_keeps_its_contract() -> None:
    answer = tree(small())
    validator().validate(answer)
    assert answer["area"] is None
    assert {d["kind"] for d in answer["wiring"]["differences"]} == {"moved", "added"}


def test_json_of_a_history_is_a_list() -> None:
    answer = json.loads(render_json([demo("rev-a"), demo("rev-b")]))
    assert answer["schema"] == "counterpoise/comparisons/1"
    for each in answer["comparisons"]:
        validator().validate(each)


def test_history_is_one_table() -> None:
    text = report.render_history([demo("rev-a"), demo("rev-b")])
    rows = {line.split("  ")[0]: line for line in text.splitlines()}
    assert "donor" in text.splitlines()[2]
    assert rows["Kept wiring"].split() == ["Kept", "wiring", "different", "same"]
    assert rows["Board area"].count("cm²") == 3


def test_names_cannot_steer_a_terminal_or_a_page() -> None:
    comparison = small(evil=True)
    for text in (report.render(comparison), report.render_history([comparison, comparison])):
        assert "\x1b" not in text
        assert "\u202e" not in text
    page = report.render_markdown([comparison])
    assert "<script>" not in page
    assert "\x1b" not in page
    assert not re.search(r"(?<!\\)[\]`|*](?=\()", page)


def test_markdown_has_the_same_facts() -> None:
    page = report.render_markdown([demo("rev-a")])
    assert page.startswith("# donor to rev-a\n")
    assert "1. donor U2.8 joined SW2.2" in page
    assert "| Board area | 36.86 cm² |" in page
    assert "|---|---|---|---|" in page


def test_same_bytes_again() -> None:
    one = compared(board_at(DEMO / "donor"), board_at(DEMO / "rev-b"), ("donor", "rev-b"))
    assert report.render(one) == report.render(demo("rev-b"))
    assert render_json([one]) == render_json([demo("rev-b")])


def test_colour_only_where_asked() -> None:
    assert "\x1b" not in report.render(demo("rev-a"))
    assert "\x1b[1;31m" in report.render(demo("rev-a"), colour=True)


def test_runs_of_refs() -> None:
    assert runs(["C1", "C2", "C3", "R1", "R2", "U1", "uC_A", "C9"]) == [
        *("C1 to C3", "R1", "R2", "U1", "uC_A", "C9")
    ]
