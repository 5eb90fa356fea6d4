"""Which test runs which line of the package, and how long each test takes: noted in one run."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from places import TESTS, environment, options

MODULE_SECONDS = 5.0
"""A fault that outlives its line's tests meets the quickest tests of its module, up to this long."""

LINE_SECONDS = 20.0

NOTER = """
import coverage, json, os, pytest, time
TIMES, FAILED = {}, set()
def pytest_runtest_logreport(report):
    if not report.passed:
        FAILED.add(report.nodeid)
@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_protocol(item):
    coverage.Coverage.current().switch_context(item.nodeid)
    start = time.perf_counter()
    yield
    if item.nodeid not in FAILED:
        TIMES[item.nodeid] = time.perf_counter() - start
    coverage.Coverage.current().switch_context("")
def pytest_sessionfinish():
    with open(os.environ["NOTED_TIMES"], "w") as file:
        json.dump([TIMES, sorted(FAILED)], file)
"""


class Cover:
    """Tests by line and their times; those that fail without a fault are left out."""

    def __init__(self, copy: Path, noted: dict[str, Any]) -> None:
        self.copy = copy
        names: list[str] = noted["names"]
        self.lines = {
            module: {line: [names[k] for k in those] for line, those in by_line.items()}
            for module, by_line in noted["lines"].items()
        }
        self.times: dict[str, float] = noted["times"]
        self.marks: dict[str, str] = noted["marks"]
        self.failing = set(noted["failing"])
        self.fresh: list[str] = []
        """Tests written since the noting: each may find any fault."""

    @classmethod
    def noted(cls, copy: Path, bench: Path, kept: Path | None) -> Cover:
        """Runs the tests once, or takes what an earlier run kept in the file ``kept``."""
        if kept and kept.exists():
            return cls(copy, json.loads(kept.read_text()))
        noted = _note(copy, bench)
        if kept:
            kept.write_text(json.dumps(noted))
        return cls(copy, noted)

    def since(self, collected: list[str]) -> None:
        """Takes note of the tests that exist now."""
        now = [name for name in collected if name not in self.failing]
        self.fresh = [name for name in now if name not in self.times]
        self.times = {name: self.times.get(name, 0.05) for name in now}

    def of_line(self, module: str, line: int) -> list[str]:
        """Tests that run the line, quickest first; all of the module's where the file changed."""
        by_line = self.lines.get(module, {})
        names = set(by_line.get(str(line), ()))
        if _mark(self.copy / module) != self.marks.get(module):
            names = set().union(*by_line.values())
        own = self._quickest(names, LINE_SECONDS)
        return own + self._quickest(set(self.fresh) - set(own), LINE_SECONDS)

    def of_module(self, module: str, line: int) -> list[str]:
        """Further tests that run the module or import it: a table's figure is no line that runs."""
        names: set[str] = set().union(*self.lines.get(module, {"1": set()}).values())
        names |= self._importers(module)
        return self._quickest(names - set(self.of_line(module, line)), MODULE_SECONDS)

    def _importers(self, module: str) -> set[str]:
        dotted = module.removeprefix("pkg/").removesuffix(".py").replace("/", ".")
        files = {name.partition("::")[0] for name in self.times}
        users = {file for file in files if dotted in (self.copy / file).read_text(encoding="utf-8")}
        return {name for name in self.times if name.partition("::")[0] in users}

    def _quickest(self, names: set[str], most: float) -> list[str]:
        chosen: list[str] = []
        spent = 0.0
        known = [name for name in names if name in self.times]
        for name in sorted(known, key=lambda name: (self.times[name], name)):
            spent += self.times[name]
            if spent > most and chosen:
                break
            chosen.append(name)
        return chosen


def _mark(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _note(copy: Path, bench: Path) -> dict[str, object]:
    from coverage import CoverageData

    (bench / "noter.py").write_text(NOTER)
    data, times = bench / "noted.data", bench / "times.json"
    command = [sys.executable, "-m", "coverage", "run", f"--data-file={data}"]
    command += [f"--rcfile={os.devnull}", f"--include={copy}/pkg/*"]
    command += ["-m", "pytest", "-p", "noter", *options(), *TESTS]
    env = environment(copy) | {"NOTED_TIMES": str(times)}
    env["PYTHONPATH"] += f":{bench}"
    subprocess.run(command, cwd=copy, env=env, check=False, stdout=subprocess.DEVNULL)
    noted = CoverageData(str(data))
    noted.read()
    seconds, failing = json.loads(times.read_text())
    names = sorted(seconds)
    numbers = {name: number for number, name in enumerate(names)}
    lines: dict[str, object] = {}
    marks: dict[str, object] = {}
    for path in noted.measured_files():
        module = str(Path(path).relative_to(copy))
        marks[module] = _mark(Path(path))
        lines[module] = {
            str(line): [numbers[name] for name in sorted(those) if name in seconds]
            for line, those in noted.contexts_by_lineno(path).items()
        }
    return {"names": names, "lines": lines, "times": seconds, "marks": marks, "failing": failing}
