"""The report for programs."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from importlib.resources import files

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from syrupy.assertion import SnapshotAssertion

from commands import DEMO, DEMO_BOARDS, run
from counterpoise.model.verdicts import Limit, Measured
from counterpoise.reports.json import dump, number, render, render_all, tree
from goldens import Json
from sample_report import CLEAN, REPORT, STOP

SCHEMA = json.loads((files("counterpoise") / "schemas" / "report-1.json").read_text("utf-8"))


def test_every_field_of_the_contract() -> None:
    told = json.loads(render(REPORT))
    jsonschema.Draft202012Validator(SCHEMA).validate(told)
    assert told["schema"] == "counterpoise/report/1"
    assert told["board"] == {
        "name": "paddle",
        "files": [
            {"path": "board.toml", "kind": "manifest", "sha256": "a" * 64},
            {"path": "a.net", "kind": "netlist", "sha256": "b" * 64},
        ],
        "parts": 2,
        "nets": 1,
    }
    assert told["findings"][0] == {
        "rule": "charge-rate",
        "severity": "stop",
        "subjects": ["U2", "R8"],
        "nets": ["PROG"],
        "place": {"x_mm": 12.5, "y_mm": 34.25, "side": "front"},
        "measured": {"value": 303.03, "unit": "mA"},
        "limit": {"min": None, "max": 150.0, "unit": "mA"},
        "message": "U2 charges with 303 mA Because of it: the cell gets warm",
        "remedy": "Fit 6.8 kΩ.",
        "sources": ["a data sheet", "another"],
        "fingerprint": "0000000000000001",
        "waived": None,
    }
    assert told["summary"] == {"stop": 1, "caution": 1, "unknown": 1, "waived": 1}
    assert told["estimates"]["mass"]["likely_g"] == 6.1
    assert told["estimates"]["area"]["board_mm2"] == 1840.0


def test_nothing_known_is_null() -> None:
    told = json.loads(render(replace(CLEAN, estimates=type(CLEAN.estimates)())))
    jsonschema.Draft202012Validator(SCHEMA).validate(told)
    assert told["estimates"] == {"area": None, "mass": None, "endurance": None}


def test_several_reports_are_a_list() -> None:
    assert render_all([REPORT]) == render(REPORT)
    told = json.loads(render_all([REPORT, CLEAN]))
    assert told["schema"] == "counterpoise/reports/1"
    assert told["reports"] == [tree(REPORT), tree(CLEAN)]


@given(st.floats(allow_nan=False))
def test_a_figure_is_always_a_json_number(value: float) -> None:
    shown = number(value)
    assert math.isfinite(shown)
    assert json.loads(dump(shown)) == shown
    if abs(value) < 1e300:
        assert shown == pytest.approx(value, rel=1e-8)


def test_figures_that_ran_over() -> None:
    over = replace(STOP, measured=Measured(math.inf, "A"), limit=Limit(-math.inf, math.inf, "A"))
    told = json.loads(render(replace(REPORT, findings=(over,))))
    jsonschema.Draft202012Validator(SCHEMA).validate(told)


@given(st.text())
def test_text_comes_back_and_steers_nothing(text: str) -> None:
    told = dump({"text": text})
    assert json.loads(told) == {"text": text}
    assert all(c.isprintable() or c == "\n" for c in told)


@pytest.mark.parametrize("name", DEMO_BOARDS)
def test_demo(name: str, snapshot: SnapshotAssertion) -> None:
    told = run("check", DEMO / name, "--format", "json").out
    assert told == snapshot(extension_class=Json)
