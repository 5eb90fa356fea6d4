"""Fabrication profiles of one's own, beside the manifest."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commands import layout, run

LIMITS = ("track", "gap", "hole", "bare-hole", "ring", "edge", "web")


def profile(track: str) -> str:
    lines = ['title = "the house round the corner"', "layers = 2"]
    for key in LIMITS:
        least = track if key == "track" else "0.05 mm"
        lines.append(f'limits.{key} = {{ min = "{least}", source = "its price list, 2024" }}')
    return "\n".join(lines)


TRACK = '(segment (start 5 5) (end 9 5) (width 0.22) (layer "F.Cu") (net 0))'


def folder(tmp_path: Path, fab: str, files: dict[str, str]) -> Path:
    (tmp_path / "fab").mkdir()
    for name, text in files.items():
        (tmp_path / "fab" / name).write_text(text)
    (tmp_path / "a.kicad_pcb").write_text(layout(TRACK))
    (tmp_path / "board.toml").write_text(f'[board]\nlayout = "a.kicad_pcb"\nfab = "{fab}"\n')
    return tmp_path


@pytest.mark.parametrize(("least", "stops"), [("0.2 mm", False), ("0.25 mm", True)])
def test_own_profile_is_used(tmp_path: Path, least: str, stops: bool) -> None:
    where = folder(tmp_path, "corner", {"corner.toml": profile(least)})
    ran = run("check", where, "--only", "track-too-thin", "--format", "json")
    found = json.loads(ran.out)["findings"]
    assert [f["rule"] for f in found if f["severity"] == "stop"] == ["track-too-thin"] * stops
    assert ran.status == int(stops)
    if stops:
        assert "profile corner: 0.25 mm" in found[0]["message"]


def test_own_profile_wins_over_one_that_ships(tmp_path: Path) -> None:
    where = folder(tmp_path, "prototype-2-layer", {"prototype-2-layer.toml": profile("0.5 mm")})
    assert run("check", where, "--only", "track-too-thin").status == 1


def test_unknown_profile_names_the_nearest(tmp_path: Path) -> None:
    where = folder(tmp_path, "cornr", {"corner.toml": profile("0.2 mm")})
    line = run("check", where).refused()
    assert line.startswith(
        'board.toml:3: [board] fab: there is no profile "cornr" (did you mean "corner"?)'
    )
    assert '"prototype-2-layer"' in line


def test_faulty_profile_is_one_line(tmp_path: Path) -> None:
    where = folder(tmp_path, "corner", {"corner.toml": profile("0.2")})
    assert run("check", where).refused().startswith("corner.toml: [limits.track] min:")
