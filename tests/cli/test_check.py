"""``counterpoise check`` as a user meets it."""

from __future__ import annotations

import json
import shutil
from functools import cache
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest

from commands import DEMO, DEMO_BOARDS, SOUND, Ran, layout, netlist, outside_boards, run

REV_A, REV_B = DEMO / "rev-a", DEMO / "rev-b"


@cache
def schema() -> jsonschema.Draft202012Validator:
    text = (files("counterpoise") / "schemas" / "report-1.json").read_text("utf-8")
    tree = json.loads(text)
    jsonschema.Draft202012Validator.check_schema(tree)
    return jsonschema.Draft202012Validator(tree)


@cache
def checked(*words: str | Path) -> Ran:
    return run("check", *words)


@pytest.fixture
def paddle(tmp_path: Path) -> Path:
    """A copy of rev-a that a test may change; without its layout, which takes longest to judge."""
    folder = Path(shutil.copytree(REV_A, tmp_path / "paddle"))
    for name, key in (("rev-a.kicad_pcb", "layout"), ("placement.csv", "centroid")):
        (folder / name).unlink()
        text = (folder / "board.toml").read_text()
        (folder / "board.toml").write_text(text.replace(f'{key} = "{name}"\n', ""))
    return folder


# -- what may be given ------------------------------------------------------------------------
def test_exit_status_says_whether_a_stop_stands() -> None:
    assert checked(REV_A).status == 1
    assert checked(REV_B).status == 0


def test_folder_and_manifest_say_the_same() -> None:
    assert checked(REV_A / "board.toml").raw == checked(REV_A).raw


def test_bare_netlist(tmp_path: Path) -> None:
    path = tmp_path / "small.net"
    path.write_text(SOUND)
    ran = run("check", path)
    assert ran.status == 0
    assert "read from small.net" in ran.out
    assert "--layout FILE" in ran.out


def test_bare_board_is_read_without_its_neighbours() -> None:
    ran = checked(REV_B / "rev-b.kicad_pcb")
    assert "read from rev-b.kicad_pcb\n" in ran.out
    assert "rev-b.net lies beside rev-b.kicad_pcb and was not read" in " ".join(ran.out.split())


def test_files_by_option() -> None:
    ran = checked(
        REV_B / "rev-b.kicad_pcb",
        "--netlist",
        REV_B / "rev-b.net",
        "--bom",
        REV_B / "bom.csv",
        "--centroid",
        REV_B / "placement.csv",
        "--format",
        "json",
    )
    kinds = {(f["path"], f["kind"]) for f in json.loads(ran.out)["board"]["files"]}
    assert kinds == {
        ("rev-b.kicad_pcb", "layout"),
        ("rev-b.net", "netlist"),
        ("bom.csv", "bom"),
        ("placement.csv", "placement"),
    }


def test_layout_by_option() -> None:
    ran = checked(REV_B / "rev-b.net", "--layout", REV_B / "rev-b.kicad_pcb", "--format", "json")
    assert {f["kind"] for f in json.loads(ran.out)["board"]["files"]} == {"netlist", "layout"}
    assert json.loads(ran.out)["estimates"]["area"] is not None


def test_an_option_wins_over_the_manifest(paddle: Path) -> None:
    other = paddle / "other.csv"
    other.write_text(
        (paddle / "bom.csv").read_text().replace("5k6", "56k").replace("075K6L", "0756KL")
    )
    before, after = run("check", paddle), run("check", paddle, "--bom", other)
    assert "bom-value-differs (" in before.out
    assert "bom-value-differs (" not in after.out
    assert "other.csv" in after.out


def test_several_paths_give_several_reports() -> None:
    new, old = REV_B / "rev-b.net", REV_A / "rev-a.net"
    ran = checked(new, old)
    assert ran.status == 1
    assert ran.out == checked(new).out + "\n" + checked(old).out
    tree = json.loads(checked(new, old, "--format", "json").out)
    assert tree["schema"] == "counterpoise/reports/1"
    assert [r["board"]["name"] for r in tree["reports"]] == ["rev-b", "rev-a"]


def test_options_that_name_a_file_go_with_one_path() -> None:
    said = checked(REV_A, REV_B, "--bom", REV_A / "bom.csv").refused()
    assert "go with one PATH only" in said


def test_own_cards_beside_the_board_are_read(tmp_path: Path) -> None:
    rows = [("U1", "QX-77", {"1": "VCC", "2": "GND"}), ("C1", "1u", {"1": "VCC", "2": "GND"})]
    (tmp_path / "own.net").write_text(netlist(rows))
    (tmp_path / "cards").mkdir()
    card = '[qx]\ntitle = "own part"\nrole = "radio"\nmatches = ["QX-77"]\n'
    (tmp_path / "cards" / "own.toml").write_text(card)
    for path in (tmp_path, tmp_path / "own.net"):
        assert "own part" in run("parts", path).out


# -- what may be asked ------------------------------------------------------------------------
def test_only() -> None:
    tree = json.loads(checked(REV_A, "--only", "charge-rate", "--format", "json").out)
    assert [c["rule"] for c in tree["coverage"]] == ["charge-rate"]
    assert {f["rule"] for f in tree["findings"]} == {"charge-rate"}


def test_skip() -> None:
    every = json.loads(checked(REV_A, "--format", "json").out)
    some = json.loads(checked(REV_A, "--skip", "charge-rate", "--format", "json").out)
    rules = [c["rule"] for c in every["coverage"]]
    rules.remove("charge-rate")
    assert [c["rule"] for c in some["coverage"]] == rules


@pytest.mark.parametrize("option", ["--only", "--skip"])
def test_a_rule_that_is_none_names_the_nearest(option: str) -> None:
    said = checked(REV_A, option, "charge-rat").refused()
    assert 'there is no rule "charge-rat" (did you mean "charge-rate"?)' in said


def test_strict_fails_on_cautions_and_on_stop_rules_not_judged() -> None:
    donor = DEMO / "donor"
    assert checked(donor, "--only", "reverse-cell-guard").status == 0
    assert checked(donor, "--only", "reverse-cell-guard", "--strict").status == 1
    assert checked(REV_B / "rev-b.net", "--only", "outline-open").status == 0
    assert checked(REV_B / "rev-b.net", "--only", "outline-open", "--strict").status == 1
    assert checked(REV_B, "--only", "charge-rate", "--strict").status == 0


def test_since_lets_only_what_is_new_fail(paddle: Path, tmp_path: Path) -> None:
    report = tmp_path / "before.json"
    assert run("check", paddle, "--format", "json", "--output", report).status == 1
    again = run("check", paddle, "--since", report)
    assert again.status == 0
    known = again.out.count("Known before: ")
    assert known == len(json.loads(report.read_text())["findings"])
    bill = (paddle / "bom.csv").read_text().splitlines(keepends=True)
    kept = [row for row in bill if "SW1" not in row]
    assert len(kept) < len(bill)
    (paddle / "bom.csv").write_text("".join(kept))
    worse = run("check", paddle, "--since", report)
    assert worse.status == 1
    assert worse.out.count("Known before: ") == known


def test_since_takes_the_report_of_several_boards(tmp_path: Path) -> None:
    report = tmp_path / "before.json"
    new, old = REV_B / "rev-b.net", REV_A / "rev-a.net"
    assert run("check", old, new, "--format", "json", "-o", report).status == 1
    assert run("check", old, new, "--since", report).status == 0


def test_on_ends_a_waiver(paddle: Path) -> None:
    text = (paddle / "board.toml").read_text()
    waiver = (
        '\n[[waivers]]\nrule = "charge-rate"\nsubject = "*"\nreason = "agreed"\n'
        "until = 2027-01-31\n"
    )
    (paddle / "board.toml").write_text(text + waiver)
    words = ("check", paddle, "--only", "charge-rate")
    for day in ((), ("--on", "2027-01-31")):
        ran = run(*words, *day)
        assert ran.status == 0
        assert "Waived: agreed (until 2027-01-31)" in ran.out
    assert run(*words, "--on", "2027-02-01").status == 1


@pytest.mark.parametrize("day", ["tomorrow", "2027-13-01", "31.1.2027", ""])
def test_on_wants_a_date(day: str) -> None:
    assert "expected a date such as 2026-11-25" in checked(REV_A, "--on", day).refused()


def test_quiet_keeps_the_findings_only() -> None:
    full, quiet = checked(REV_A).out, checked(REV_A, "--quiet").out
    assert len(quiet) < len(full)
    assert set(quiet.splitlines()) <= set(full.splitlines())
    for word in ("Cannot judge yet", "Board area", "Of 1", "Cautions:", "read from"):
        assert word not in quiet
    assert "charge-rate" in quiet


def test_all_adds_the_verdict_of_every_rule() -> None:
    ran = checked(REV_B, "--all")
    coverage = json.loads(checked(REV_B, "--format", "json").out)["coverage"]
    words = {"unknown": "cannot judge", "not-applicable": "not applicable"}
    for covered in coverage:
        verdict = words.get(covered["verdict"], covered["verdict"])
        assert f"\n  {covered['rule']}: {verdict}" in ran.out


# -- the JSON contract ------------------------------------------------------------------------
def conforms(ran: Ran) -> None:
    tree = json.loads(ran.out)
    schema().validate(tree)
    findings = [f for f in tree["findings"] if f["waived"] is None]
    for severity in ("stop", "caution"):
        found = sum(f["severity"] == severity for f in findings)
        assert tree["summary"][severity] == found
    marks = [f["fingerprint"] for f in tree["findings"]]
    assert len(marks) == len(set(marks))
    assert ran.status == (1 if tree["summary"]["stop"] else 0)
    assert "a repair of counterpoise" not in ran.out, "a rule broke down"


@pytest.mark.parametrize("name", DEMO_BOARDS)
def test_json_of_the_demo_keeps_the_schema(name: str) -> None:
    conforms(checked(DEMO / name, "--format", "json"))


@pytest.mark.parametrize("path", outside_boards())
def test_json_of_real_boards_keeps_the_schema(path: Path) -> None:
    ran = run("check", path, "--format", "json")
    conforms(ran)
    assert str(path.parent) not in ran.out


def test_the_schema_is_not_lax() -> None:
    tree = json.loads(checked(REV_B, "--format", "json").out)
    for path, value in (
        (("tool", "name"), "other"),
        (("board", "files", 0, "path"), "/home/someone/board.toml"),
        (("coverage", 0, "verdict"), "maybe"),
        (("summary", "stop"), -1),
    ):
        spoilt = json.loads(json.dumps(tree))
        inner = spoilt
        for step in path[:-1]:
            inner = inner[step]
        inner[path[-1]] = value
        with pytest.raises(jsonschema.ValidationError):
            schema().validate(spoilt)


def test_a_waived_finding_keeps_the_schema(paddle: Path) -> None:
    text = (paddle / "board.toml").read_text()
    waiver = '\n[[waivers]]\nrule = "charge-rate"\nsubject = "U2"\nreason = "agreed"\n'
    (paddle / "board.toml").write_text(text + waiver)
    ran = run("check", paddle, "--format", "json")
    conforms(ran)
    tree = json.loads(ran.out)
    assert tree["summary"]["waived"] == 1
    assert [f["waived"] for f in tree["findings"] if f["rule"] == "charge-rate"] == ["agreed"]


def test_a_board_without_parts_or_nets(tmp_path: Path) -> None:
    path = tmp_path / "bare.kicad_pcb"
    path.write_text(layout())
    ran = run("check", path, "--format", "json")
    conforms(ran)
    assert json.loads(ran.out)["estimates"]["area"]["board_mm2"] == pytest.approx(200)
