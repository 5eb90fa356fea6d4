"""Every case of ``tests/cases/<slug>.toml``: a small board, and what the rule must say of it.

[[case]]
name = "one resistor shared by both CC contacts"
expect = "fail"                 # pass, fail, unknown, not-applicable: the rule's coverage verdict
circuit = '''…'''               # as tests/boards.py reads it
manifest = '''…'''              # board.toml text
drawn = '''…'''                 # circuit as the layout joins it, where it is not that above
placement = [["R1", 5.0, 5.0, 90, "front"]]
bom = [["R1 R2", "10k", "0402"]]
layout = '''…'''                # as tests/layouts.py reads it
subject = "J1"                  # first subject of a finding
severity = "stop"               # of a finding
says = "5.1 kΩ"                 # part of its message; for unknown: part of a need
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from boards import bom, circuit, make_board
from counterpoise.model.bom import Placement
from counterpoise.roles.board import Board
from rules import outcome

CASES = Path(__file__).parent / "cases"


def _all() -> list[Any]:
    found = []
    for path in sorted(CASES.glob("*.toml")):
        for case in tomllib.loads(path.read_text(encoding="utf-8"))["case"]:
            name = f"{path.stem}: {case['name']}"
            found.append(pytest.param(path.stem, case, id=name))
    return found


def further(case: dict[str, Any]) -> dict[str, object]:
    """What few cases give besides circuit, manifest, BOM and layout."""
    more: dict[str, object] = {}
    if "drawn" in case:
        more["drawn"] = circuit(case["drawn"])
    if "placement" in case:
        more["placements"] = tuple(Placement(*row) for row in case["placement"])
    return more


def board_of(case: dict[str, Any]) -> Board:
    """The board of one case."""
    layout = None
    if "layout" in case:
        from layouts import layout as read_layout

        layout = read_layout(case["layout"])
    bill = bom(*map(tuple, case["bom"])) if "bom" in case else None
    return make_board(
        case.get("circuit", ""),
        case.get("manifest", ""),
        layout=layout,
        bill=bill,
        **further(case),
    )


@pytest.mark.parametrize(("slug", "case"), _all())
def test_case(slug: str, case: dict[str, Any]) -> None:
    result = outcome(slug, board_of(case))
    (covered,) = result.coverage
    told = [(f.severity.value, f.subjects, f.message) for f in result.findings]
    assert covered.verdict == case["expect"], (told, covered)
    if case["expect"] == "fail":
        assert told, "a failed rule tells a finding"
        if "subject" in case:
            assert case["subject"] in [f.subjects[0] for f in result.findings], told
        if "severity" in case:
            assert case["severity"] in [f.severity.value for f in result.findings], told
        if "says" in case:
            said = case["says"].casefold()  # the engine may have given it a capital
            assert any(said in f.message.casefold() for f in result.findings), told
    if case["expect"] == "unknown":
        assert covered.needs, "cannot judge says what to add"
        assert all(need.where for need in covered.needs)
        if "says" in case:
            assert any(case["says"] in f"{n.what} {n.where}" for n in covered.needs), covered.needs
