"""Help and version come at once: nothing heavy is loaded for them."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = ("shapely", "numpy", "networkx", "pint", "jinja2", "tabulate")

_PROGRAM = """
import sys
from counterpoise.cli.errors import guarded
from counterpoise.cli.main import group
sys.argv = ["counterpoise", *{arguments!r}]
status = guarded(group)
print(status, *sorted(sys.modules), file=sys.stderr)
"""


def loaded(*arguments: str) -> tuple[str, set[str]]:
    """Exit status, and the modules that a run in a fresh process has loaded at its end."""
    done = subprocess.run(
        [sys.executable, "-c", _PROGRAM.format(arguments=arguments)],
        capture_output=True,
        check=True,
        encoding="utf-8",
    )
    status, *modules = done.stderr.split()
    assert done.stdout
    return status, set(modules)


@pytest.mark.parametrize("arguments", [("--help",), ("-h",), ("--version",)])
def test_help_and_version_load_nothing_heavy(arguments: tuple[str, ...]) -> None:
    status, modules = loaded(*arguments)
    assert status == "0"
    assert "click" in modules
    assert modules.isdisjoint(HEAVY)


def test_help_and_version_read_no_rules_and_no_boards() -> None:
    _, modules = loaded("--version")
    work = {m for m in modules if m.startswith(("counterpoise.checks", "counterpoise.readers"))}
    assert not work
    assert "tomllib" not in modules


@pytest.mark.parametrize("command", ["check", "rules", "parts"])
def test_help_of_a_command_loads_nothing_heavy(command: str) -> None:
    status, modules = loaded(command, "--help")
    assert status == "0"
    assert modules.isdisjoint(HEAVY)
