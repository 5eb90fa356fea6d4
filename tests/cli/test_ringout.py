"""``counterpoise ringout`` from the command line."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
import sexpdata  # type: ignore[import-untyped]

from commands import DEMO, run
from counterpoise.model.circuit import Circuit
from counterpoise.readers._source import Source
from counterpoise.readers.netlist import read
from counterpoise.reports.netlist import render

FOLDER = DEMO / "ringout"
PARTS = FOLDER / "parts.csv"
MISREAD = 356
"""The one row of the demo's log that was turned over."""


def _log(folder: Path, text: str) -> Path:
    (folder / "log.csv").write_text(text, encoding="utf-8")
    return folder / "log.csv"


def _righted() -> str:
    rows = (FOLDER / "donor-log.csv").read_text(encoding="utf-8").splitlines()
    assert ",beep," in rows[MISREAD - 1]
    rows[MISREAD - 1] = rows[MISREAD - 1].replace(",beep,", ",open,")
    return "\n".join(rows) + "\n"


def _circuit(path: Path) -> Circuit:
    found = read(Source.of(path)).circuit
    assert found is not None
    return found


def _partition(circuit: Circuit) -> set[frozenset[str]]:
    return {
        frozenset(f"{pin.ref}.{pin.number}" for pin in net.pins) for net in circuit.nets.values()
    }


def test_the_misread_row_is_named() -> None:
    ran = run("ringout", FOLDER / "donor-log.csv", "--parts", PARTS)
    assert ran.status == 1
    assert f"Read again first: row {MISREAD};" in ran.out
    assert "Complete" not in ran.out


def test_put_right_the_log_gives_the_donor(tmp_path: Path) -> None:
    out = tmp_path / "donor.net"
    ran = run("ringout", _log(tmp_path, _righted()), "--parts", PARTS, "--netlist", out)
    assert ran.status == 0
    assert "Complete" in ran.out
    donor = _circuit(DEMO / "donor/donor.net")
    assert _partition(_circuit(out)) == _partition(donor)
    sexpdata.loads(out.read_text(encoding="utf-8"))
    assert run("parts", out).status == 0
    assert run("check", out).status in (0, 1)


def test_json_holds_to_its_schema(tmp_path: Path) -> None:
    schema = json.loads(files("counterpoise").joinpath("schemas/ringout-1.json").read_text())
    logs = [FOLDER / "donor-log.csv", _log(tmp_path, "from,to,reading\nU2.1,U2.*,beep\n")]
    for log in logs:
        ran = run("ringout", log, "--parts", PARTS, "--format", "json")
        answer = json.loads(ran.out)
        jsonschema.validate(answer, schema)
        assert ran.status == int(bool(answer["contradictions"]))
        assert run("ringout", log, "--parts", PARTS, "--format", "json").raw == ran.raw


def test_markdown_cannot_be_broken_by_the_log(tmp_path: Path) -> None:
    text = "from,to,reading\nU1.a|b<i>,U2.1,beep\n"
    ran = run("ringout", _log(tmp_path, text), "--format", "markdown")
    assert ran.status == 0
    assert "a\\|b&lt;i&gt;" in ran.out


def test_without_parts_nothing_is_complete(tmp_path: Path) -> None:
    ran = run("ringout", _log(tmp_path, "from,to,reading\nU1.1,U2.1,beep\n"))
    assert ran.status == 0
    assert "not complete" in ran.out
    assert "--parts" in ran.out


@pytest.mark.parametrize(
    ("row", "words", "said"),
    [
        ("U2.99,U2.1,beep", (), "log.csv:2: U2 has no pin 99"),
        ("U2.1,U2.4,beep", ("--lifted", "Q9"), "Q9 is not in the parts list"),
    ],
)
def test_what_cannot_be_used(tmp_path: Path, row: str, words: tuple[str, ...], said: str) -> None:
    out = tmp_path / "o.net"
    log = _log(tmp_path, f"from,to,reading\n{row}\n")
    assert said in run("ringout", log, "--parts", PARTS, "--netlist", out, *words).refused()
    assert not out.exists()


def test_pages_follow(tmp_path: Path) -> None:
    log = _log(tmp_path, "from,to,reading\n")
    words = ("ringout", log, "--parts", PARTS, "--format", "json", "--probes", "5")
    first, second = (json.loads(run(*words, "--page", n).out)["next"] for n in ("1", "2"))
    assert len(first) == len(second) == 5
    assert not {(p["from"], p["to"]) for p in first} & {(p["from"], p["to"]) for p in second}


@pytest.mark.parametrize("board", ["donor/donor.net", "rev-a/rev-a.net", "rev-b/rev-b.net"])
def test_a_netlist_written_is_read_back_the_same(tmp_path: Path, board: str) -> None:
    circuit = _circuit(DEMO / board)
    (tmp_path / "x.net").write_text(render(circuit, title='a "b" \\ c'), encoding="utf-8")
    again = _circuit(tmp_path / "x.net")
    assert _partition(again) == _partition(circuit)
    for old, new in zip(circuit.parts, again.parts, strict=True):
        assert (old.ref, old.value, old.footprint, old.symbol) == (
            new.ref,
            new.value,
            new.footprint,
            new.symbol,
        )
        assert (old.fields, old.fitted, old.bought) == (new.fields, new.fitted, new.bought)
        pins = [{(p.number, p.name, p.kind, p.net) for p in part.pins} for part in (old, new)]
        assert pins[0] == pins[1]
