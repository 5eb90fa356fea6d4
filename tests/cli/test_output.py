"""Where the answer goes: colour, width, files, pipes, and the same bytes each time."""

from __future__ import annotations

import os
import pty
import re
import signal
import subprocess
import sys
from pathlib import Path

import click
import pytest

from commands import DEMO, SOUND, run
from counterpoise import __version__
from counterpoise.cli.main import COMMANDS, group

REV_A, REV_B = DEMO / "rev-a", DEMO / "rev-b"
SMALL = REV_A / "rev-a.net"
ESCAPE = "\x1b["


def spawned(
    *words: str | Path, env: dict[str, str] | None = None, **more: object
) -> subprocess.CompletedProcess[bytes]:
    """One run in a process of its own."""
    command = [sys.executable, "-m", "counterpoise", *map(str, words)]
    kept = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "COLUMNS")}
    return subprocess.run(  # type: ignore[call-overload,no-any-return]
        command, capture_output=True, env={**kept, **(env or {})}, check=False, **more
    )


# -- colour and width -------------------------------------------------------------------------
def test_colour_on_a_terminal_only() -> None:
    assert ESCAPE in run("check", SMALL, terminal=True).out
    assert ESCAPE not in run("check", SMALL).out


@pytest.mark.parametrize("env", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_colour_refused_by_the_surroundings(env: dict[str, str]) -> None:
    assert ESCAPE not in run("check", SMALL, terminal=True, env=env).out


def test_colour_refused_by_option() -> None:
    assert ESCAPE not in run("check", SMALL, "--no-color", terminal=True).out
    assert ESCAPE not in run("rules", "--no-color", terminal=True).out


def test_no_colour_in_a_file_nor_in_json(tmp_path: Path) -> None:
    run("check", SMALL, "-o", tmp_path / "out.txt", terminal=True)
    assert ESCAPE not in (tmp_path / "out.txt").read_text()
    assert ESCAPE not in run("check", SMALL, "--format", "json", terminal=True).out


def test_colour_changes_no_word() -> None:
    coloured = run("check", SMALL, terminal=True).out
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == run("check", SMALL).out


def test_a_real_terminal_gets_colour() -> None:
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "counterpoise", "rules", "charge-rate"]
    env = {**os.environ, "TERM": "xterm", "NO_COLOR": ""}
    process = subprocess.Popen(command, stdout=theirs, env=env)
    os.close(theirs)
    seen = b""
    try:
        while piece := os.read(ours, 4096):
            seen += piece
    except OSError:  # the terminal's other end is gone: all was read
        pass
    os.close(ours)
    assert process.wait() == 0
    assert ESCAPE.encode() in seen


@pytest.mark.parametrize("words", [("check", REV_A, "--all"), ("parts", REV_A), ("rules",)])
def test_eighty_columns(words: tuple[str | Path, ...]) -> None:
    lines = run(*words).out.splitlines()
    long = [line for line in lines if len(line) > 80 and " " in line.strip()]
    assert not long


def test_narrow_and_wide_terminals() -> None:
    assert max(map(len, run("check", SMALL, env={"COLUMNS": "50"}).out.splitlines())) <= 50
    wide = max(map(len, run("check", SMALL, env={"COLUMNS": "400"}).out.splitlines()))
    assert 80 < wide <= 100


# -- the same bytes ---------------------------------------------------------------------------
@pytest.mark.parametrize(("path", "form"), [(SMALL, "text"), (REV_A, "json")])
def test_same_bytes_whatever_the_hash_seed_place_and_locale(
    path: Path, form: str, tmp_path: Path
) -> None:
    words = ("check", path, "--format", form)
    here = run(*words).raw
    assert here
    env = {"PYTHONHASHSEED": "4711", "LC_ALL": "C", "COLUMNS": "80", "TZ": "Asia/Tokyo"}
    assert spawned(*words, env=env, cwd=tmp_path).stdout == here
    assert run(*words).raw == here


def test_same_bytes_for_a_board_that_lies_elsewhere(tmp_path: Path) -> None:
    for name in ("board.toml", "rev-a.net", "bom.csv"):
        text = (REV_A / name).read_text()
        keep = [
            row for row in text.splitlines() if "rev-a.kicad" not in row and "placem" not in row
        ]
        for folder in ("a", "b/c"):
            (tmp_path / folder).mkdir(parents=True, exist_ok=True)
            (tmp_path / folder / name).write_text("\n".join(keep))
    first = run("check", tmp_path / "a", "--format", "json")
    assert first.raw == run("check", tmp_path / "b" / "c", "--format", "json").raw
    assert str(tmp_path) not in first.out


# -- files ------------------------------------------------------------------------------------
def test_output_holds_what_the_screen_would(tmp_path: Path) -> None:
    target = tmp_path / "report.txt"
    target.write_text("an older report, longer or not")
    ran = run("check", SMALL, "--output", target)
    assert (ran.status, ran.raw, ran.err) == (1, b"", "")
    assert target.read_bytes() == run("check", SMALL).raw
    assert [p.name for p in tmp_path.iterdir()] == ["report.txt"]
    mask = os.umask(0)
    os.umask(mask)
    assert target.stat().st_mode & 0o777 == 0o666 & ~mask


def test_output_into_no_folder(tmp_path: Path) -> None:
    said = run("check", SMALL, "-o", tmp_path / "gone" / "report.txt").refused()
    assert said == "report.txt: cannot be written: No such file or directory"


def test_output_onto_a_folder(tmp_path: Path) -> None:
    (tmp_path / "report.txt").mkdir()
    said = run("check", SMALL, "-o", tmp_path / "report.txt").refused()
    assert said.startswith("report.txt: cannot be written: ")
    assert [p.name for p in tmp_path.iterdir()] == ["report.txt"]


def test_output_that_breaks_off_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "report.txt"
    target.write_text("the old report")

    def full(self: Path, _: Path) -> None:
        raise OSError(28, "No space left on device", str(self))

    monkeypatch.setattr(Path, "replace", full)
    said = run("check", SMALL, "-o", target).refused()
    assert said == "report.txt: cannot be written: No space left on device"
    assert target.read_text() == "the old report"
    assert [p.name for p in tmp_path.iterdir()] == ["report.txt"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_output_into_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    said = run("check", SMALL, "-o", tmp_path / "report.txt").refused()
    assert said == "report.txt: cannot be written: Permission denied"


def test_an_input_that_cannot_be_used_leaves_the_old_file(tmp_path: Path) -> None:
    target = tmp_path / "report.txt"
    target.write_text("the old report")
    run("check", tmp_path / "gone.net", "-o", target).refused()
    assert target.read_text() == "the old report"


# -- the process ------------------------------------------------------------------------------
def test_version() -> None:
    ran = spawned("--version")
    assert (ran.returncode, ran.stdout, ran.stderr) == (
        0,
        f"counterpoise {__version__}\n".encode(),
        b"",
    )


def test_help_names_every_command_and_loads_nothing_heavy() -> None:
    code = (
        "import sys; from counterpoise.cli.main import group; from counterpoise.cli.errors "
        "import guarded; sys.argv = ['counterpoise', '--help']; status = guarded(group); "
        "heavy = {'shapely', 'networkx', 'pint', 'jinja2', 'numpy', 'tabulate'} & set(sys.modules); "
        "sys.exit(', '.join(heavy) or status)"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert (ran.returncode, ran.stderr) == (0, b"")
    for command in COMMANDS:
        assert f"\n  {command} " in ran.stdout.decode()


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help(command: str) -> None:
    ran = run(command, "--help")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith(f"Usage: counterpoise {command} ")
    found = group.get_command(None, command)  # type: ignore[arg-type]
    assert found is not None
    assert [p.name for p in found.params if isinstance(p, click.Option) and not p.help] == []


def test_a_reader_that_goes_away_is_no_error() -> None:
    command = f'"{sys.executable}" -m counterpoise check "{SMALL}" --all | head -n 1'
    ran = subprocess.run(["/bin/sh", "-c", command], capture_output=True, check=False)
    assert (ran.stdout, ran.stderr) == (b"rev-a\n", b"")


@pytest.mark.parametrize(("words", "status"), [(("--help",), 0), (("check", SMALL), 1)])
def test_a_closed_reader_is_no_error_and_hides_no_stop(
    words: tuple[str | Path, ...], status: int
) -> None:
    ours, theirs = os.pipe()
    os.close(ours)
    command = [sys.executable, "-m", "counterpoise", *map(str, words)]
    ran = subprocess.run(command, stdout=theirs, stderr=subprocess.PIPE, check=False)
    os.close(theirs)
    assert (ran.returncode, ran.stderr) == (status, b"")


def test_an_interrupt_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("counterpoise.cli._work.examine", stop)
    ran = run("check", SMALL)
    assert (ran.status, ran.raw) == (130, b"")
    assert ran.err.lstrip("\n") == "counterpoise: interrupted\n"  # after the terminal's own "^C"


def test_an_interrupt_by_signal_leaves_no_traceback(tmp_path: Path) -> None:
    path = tmp_path / "a.net"
    path.write_text(SOUND)
    code = (
        "import os, signal, sys; from counterpoise.cli import _work, errors, main; "
        # A shell's background job is started with the signal ignored.
        "signal.signal(signal.SIGINT, signal.default_int_handler); "
        "_work.examine = lambda *a, **k: os.kill(os.getpid(), signal.SIGINT); "
        f"sys.argv = ['counterpoise', 'check', {str(path)!r}]; sys.exit(errors.guarded(main.group))"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert ran.returncode in (130, -signal.SIGINT)
    assert ran.stderr.lstrip() == b"counterpoise: interrupted\n"


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "slow.net"
    os.mkfifo(pipe)
    assert run("check", pipe).refused() == "slow.net: expected a file, found a pipe or a device"
    assert run("check", "/dev/zero").refused() == "zero: expected a file, found a pipe or a device"


def broken(*_: object, **__: object) -> None:
    raise ZeroDivisionError("division by zero")


def test_a_fault_of_ours_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("counterpoise.cli._work.examine", broken)
    monkeypatch.delenv("COUNTERPOISE_DEBUG", raising=False)
    assert run("check", SMALL).refused() == (
        "a fault inside counterpoise (ZeroDivisionError); COUNTERPOISE_DEBUG=1 shows where, "
        "please report it"
    )


def test_debug_shows_where_a_fault_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("counterpoise.cli._work.examine", broken)
    with pytest.raises(ZeroDivisionError):
        run("check", SMALL, env={"COUNTERPOISE_DEBUG": "1"})


def test_debug_keeps_foreseen_faults_to_one_line(tmp_path: Path) -> None:
    ran = run("check", tmp_path / "gone.net", env={"COUNTERPOISE_DEBUG": "1"})
    assert ran.status == 2
    assert ran.err == "counterpoise: gone.net: no such file\n"


def test_a_rule_that_breaks_down_hides_no_other_rule(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("counterpoise.checks.power.charge_rate", broken)
    ran = run("check", REV_A, "--all")
    assert ran.status == 1
    said = " ".join(ran.out.split())
    assert "charge-rate: cannot judge: a repair of counterpoise: ZeroDivisionError" in said
    assert "usb-cc-pulldowns: fail" in said
