"""The report for a person."""

from __future__ import annotations

from dataclasses import replace

import pytest
from syrupy.assertion import SnapshotAssertion

from commands import DEMO, DEMO_BOARDS, run
from counterpoise.reports.text import render
from goldens import Text
from sample_report import CAUTION, CLEAN, LOAD, REPORT, STOP


def words(text: str) -> str:
    return " ".join(text.split())


def test_the_first_lines_are_the_answer() -> None:
    lines = render(REPORT).splitlines()
    assert lines[0] == "paddle"
    assert lines[1] == "2 parts, 1 net; read from board.toml, a.net"
    assert lines[3].startswith("Do not order this board yet: 1 stop and 1 caution; 1 rule could")
    assert "Nothing was found that speaks against ordering it." in render(CLEAN)
    mild = replace(REPORT, findings=(CAUTION,))
    assert "Nothing here stops the order; 1 caution to look at; " in render(mild)


def test_a_finding_has_figure_limit_place_remedy_and_source() -> None:
    told = words(render(REPORT))
    assert (
        "1. U2 charges with 303 mA 303 mA (at most 150 mA); at 12.5, 34.25 mm, front "
        "so: the cell gets warm Do: Fit 6.8 kΩ. charge-rate (a data sheet)"
    ) in told


def test_a_waived_finding_is_told_last_and_not_counted() -> None:
    told = words(render(REPORT))
    assert told.index("Waived 3. Y1 is off Waived: agreed") > told.index("Cautions 2.")
    assert "1 stop and" in told


def test_needs_alike_are_told_once() -> None:
    told = words(render(REPORT))
    assert f"- {LOAD.where} (likewise for Y2) for crystal-load" in told
    assert told.count("load = ") == 1


def test_coverage_is_counted_and_told_when_asked() -> None:
    counts = "Of 4 rules, 1 hold, 1 do not hold, 1 could not be judged, 1 do not apply here."
    assert counts in words(render(REPORT))
    assert "usb-shield: not applicable: there is no USB socket" not in words(render(REPORT))
    told = words(render(REPORT, every=True))
    assert "usb-shield: not applicable: there is no USB socket" in told
    assert "crystal-load: cannot judge: needs the load of Y1" in told


def test_quiet_leaves_headline_and_findings() -> None:
    told = render(REPORT, quiet=True)
    assert "Do: Fit" in told
    for text in ("read from", "Note:", "Board area", "Of 4 rules", "mind the cell", "load ="):
        assert text not in told


def test_a_known_finding_says_so() -> None:
    told = render(REPORT, known=frozenset({STOP.fingerprint}))
    assert told.count("Known before: ") == 1
    assert "Known before: U2 charges" in told


@pytest.mark.parametrize("width", [40, 60, 80, 100])
def test_lines_keep_the_width(width: int) -> None:
    assert max(map(len, render(REPORT, width=width, every=True).splitlines())) <= width


def test_a_name_cannot_break_out() -> None:
    nasty = replace(STOP, message="\x1b[2J{x}\u202e<b>", subjects=("\x1b",))
    told = render(replace(REPORT, board="a\nb\x07", findings=(nasty,)), colour=False)
    assert told.startswith("a b\\x07\n")
    assert "\\x1b[2J{x}\\u202e<b>" in told
    assert "\x1b" not in told


@pytest.mark.parametrize("name", DEMO_BOARDS)
def test_demo(name: str, snapshot: SnapshotAssertion) -> None:
    told = run("check", DEMO / name, "--all").out
    assert told == snapshot(extension_class=Text)
