"""``counterpoise parts``: what each part was taken for, and how to correct it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from commands import DEMO, netlist, run

REV_B = DEMO / "rev-b"


def test_every_part_once() -> None:
    tree = json.loads(run("parts", REV_B, "--format", "json").out)
    assert tree["schema"] == "counterpoise/parts/1"
    refs = [part["ref"] for part in tree["parts"]]
    assert len(refs) == len(set(refs)) == 52
    assert refs.index("C2") < refs.index("C10")
    roles = {part["ref"]: part["role"] for part in tree["parts"]}
    assert (roles["U1"], roles["Y1"], roles["BT1"]) == ("radio", "crystal", "cell")
    assert all(part["role"] and part["evidence"] for part in tree["parts"] if part["firm"])


def test_text_shows_the_same_roles() -> None:
    out = run("parts", REV_B).out
    assert out.startswith("FP focus paddle, rev-b\n")
    for part in json.loads(run("parts", REV_B, "--format", "json").out)["parts"]:
        shown = part["role"] + ("" if part["firm"] else "?")
        assert any(line.split()[:2] == [part["ref"], shown] for line in out.splitlines())


def test_unsure_leaves_only_those() -> None:
    tree = json.loads(run("parts", REV_B, "--unsure", "--format", "json").out)
    assert all(not part["firm"] for part in tree["parts"])


def test_the_line_that_is_told_corrects_the_role(tmp_path: Path) -> None:
    (tmp_path / "a.net").write_text(netlist([("X9", "thing", {"1": "A", "2": "B", "3": "C"})]))
    ran = run("parts", tmp_path)
    assert "?" in ran.out
    assert 'board.toml: [parts.X9] role = "' in " ".join(ran.out.split())
    (tmp_path / "board.toml").write_text('[parts.X9]\nrole = "radio"\n')
    (part,) = json.loads(run("parts", tmp_path, "--format", "json").out)["parts"]
    assert (part["role"], part["firm"]) == ("radio", True)


def test_the_same_bytes_wherever_it_lies(tmp_path: Path) -> None:
    copy = shutil.copytree(REV_B, tmp_path / "copy")
    for form in ("text", "json"):
        assert run("parts", copy, "--format", form).raw == run("parts", REV_B, "--format", form).raw
