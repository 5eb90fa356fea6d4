"""``counterpoise compare`` as a user meets it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from commands import DEMO, SOUND, run

DONOR, REV_A, REV_B = DEMO / "donor", DEMO / "rev-a", DEMO / "rev-b"


def test_exit_status_says_whether_the_wiring_stayed() -> None:
    assert run("compare", DONOR, REV_B).status == 0
    assert run("compare", DONOR, REV_A).status == 1


def test_boards_are_called_by_their_folders() -> None:
    ran = run("compare", DONOR / "board.toml", REV_B / "board.toml")
    assert ran.out.startswith("donor to rev-b\n")


def test_boards_of_one_name_are_old_and_new(tmp_path: Path) -> None:
    copy = Path(shutil.copytree(DONOR, tmp_path / "donor"))
    assert run("compare", DONOR, copy).out.startswith("old to new\n")


def test_a_board_is_the_same_as_itself() -> None:
    ran = run("compare", DONOR / "donor.net", DONOR / "donor.net", "--format", "json")
    answer = json.loads(ran.out)
    assert ran.status == 0
    assert answer["wiring"]["differences"] == []
    assert answer["parts"]["added"] == answer["parts"]["removed"] == []
    assert all(old == new for old, new in answer["parts"]["matched"])


def test_history_is_judged_by_its_last_board() -> None:
    assert run("compare", DONOR, REV_A, REV_B).status == 0
    ran = run("compare", DONOR, REV_B, REV_A)
    assert ran.status == 1
    assert ran.out.startswith("History of revisions\n")


def test_keep_holds_the_exit_status_to_what_it_names(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(REV_A, tmp_path / "rev-a"))
    manifest = folder / "board.toml"
    plain = manifest.read_text("utf-8")
    old = tmp_path / "donor.net"
    shutil.copy(DONOR / "donor.net", old)
    manifest.write_text(plain + '\n[compare]\nkeep = ["SW3", "SW4"]\n', "utf-8")
    assert run("compare", old, folder).status == 0
    manifest.write_text(plain + '\n[compare]\nkeep = ["SW*"]\n', "utf-8")
    assert run("compare", old, folder).status == 1


def test_output_goes_to_a_file(tmp_path: Path) -> None:
    page = tmp_path / "change.md"
    ran = run("compare", DONOR, REV_B, "--format", "markdown", "--output", page)
    assert (ran.status, ran.raw) == (0, b"")
    assert page.read_text("utf-8").startswith("# donor to rev-b\n")


# -- what cannot be used ----------------------------------------------------------------------------
def test_one_board_is_not_enough() -> None:
    assert "needs two boards" in run("compare", DONOR).refused()


def test_absent_board(tmp_path: Path) -> None:
    assert "nowhere" in run("compare", DONOR, tmp_path / "nowhere").refused()


def test_a_bom_alone_has_no_wiring(tmp_path: Path) -> None:
    bill = tmp_path / "bom.csv"
    bill.write_text("Reference,Value\nR1,10k\n")
    assert "bom.csv" in run("compare", DONOR, bill).refused()


def test_keep_that_fits_nothing(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(REV_B, tmp_path / "next"))
    text = (folder / "board.toml").read_text("utf-8")
    (folder / "board.toml").write_text(text.replace('keep = ["U1"', 'keep = ["U77"'), "utf-8")
    assert 'fits "U77"' in run("compare", DONOR, folder).refused()


@pytest.mark.parametrize("seconds", ["0", "-1", "soon"])
def test_seconds_must_be_a_time(seconds: str) -> None:
    assert "--seconds" in run("compare", DONOR, REV_B, "--seconds", seconds).refused()


def test_broken_netlist_is_one_line(tmp_path: Path) -> None:
    path = tmp_path / "cut.net"
    path.write_text(SOUND[: len(SOUND) // 2])
    assert "cut.net" in run("compare", path, DONOR).refused()
