"""How many seeded small faults the quick tests find: ``./dev mutation [--sample 400] [--seed 1]``.

Works on copies of the tree in a temporary folder and never on the tree itself. First one run of
the tests notes which test runs which line; then each fault of a random sample (in proportion to
each module's number of faults) is judged by the tests that run its line and, if it lives, by the
quickest tests that run its module. Prints the score with its 95 % interval (Wilson) and each
survivor.
"""

from __future__ import annotations

import argparse
import compileall
import math
import os
import py_compile
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import Queue

from mutants import Mutant, mutants

ROOT = Path(__file__).resolve().parents[2]
TESTS = [f"tests/{name}" for name in ("checks", "roles", "values", "references", "reports")]
TESTS += ["tests/test_cases.py", "tests/test_told.py"]
LEFT_OUT = shutil.ignore_patterns(".*", "__pycache__", "docs", "bench")
BOARDS = os.environ.get("COUNTERPOISE_BOARDS", str(ROOT.parent / "shared" / "boards"))
MODULE_SECONDS = 10.0
"""A fault that outlives its line's tests meets the quickest tests of its module, up to this long."""

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
        json.dump(TIMES, file)
"""


def main() -> None:
    asked = _arguments()
    with tempfile.TemporaryDirectory(prefix="mutation-") as folder:
        bench = Path(folder)
        copies: Queue[Path] = Queue()
        for number in range(asked.jobs):
            copies.put(_copy(bench / f"copy{number}"))
        first = bench / "copy0"
        everything = _faults(first, asked.package)
        chosen = _sample(everything, asked.sample, asked.seed)
        if asked.only:
            chosen = [one for one in everything if asked.only in str(one)]
        cover = Cover.noted(first, bench)
        if not _passes(sorted(cover.times), first, 600):
            raise SystemExit("the tests fail without a fault: each fault would count as killed")

        def judge(one: Mutant) -> tuple[Mutant, str]:
            copy = copies.get()
            try:
                return one, _judged(one, copy, cover)
            finally:
                copies.put(copy)

        results = []
        with ThreadPoolExecutor(asked.jobs) as pool:
            for one, what in pool.map(judge, chosen):
                results.append((one, what))
                if what != "killed":
                    print(f"{len(results):4} {what:9} {one}", flush=True)
        _report(results, len(everything), asked)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sample", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--only", default="", help="all faults whose line holds this text")
    parser.add_argument("--package", nargs="*", default=["checks", "values"])
    return parser.parse_args()


def _copy(to: Path) -> Path:
    shutil.copytree(ROOT, to, ignore=LEFT_OUT)
    compileall.compile_dir(
        to / "pkg", quiet=2, invalidation_mode=py_compile.PycInvalidationMode.CHECKED_HASH
    )
    return to


def _faults(copy: Path, packages: list[str]) -> list[Mutant]:
    found = []
    for package in packages:
        for path in sorted((copy / "pkg/counterpoise" / package).glob("*.py")):
            found += mutants(str(path.relative_to(copy)), path.read_bytes())
    return found


def _sample(everything: list[Mutant], size: int, seed: int) -> list[Mutant]:
    """A module's share is its part of all faults, by largest remainder."""
    by_module: dict[str, list[Mutant]] = defaultdict(list)
    for one in everything:
        by_module[one.module].append(one)
    size = min(size, len(everything))
    exact = {name: size * len(those) / len(everything) for name, those in by_module.items()}
    share = {name: math.floor(amount) for name, amount in exact.items()}
    by_rest = sorted(exact, key=lambda name: (share[name] - exact[name], name))
    for name in by_rest[: size - sum(share.values())]:
        share[name] += 1
    chance = random.Random(seed)
    chosen = [
        one for name in sorted(by_module) for one in chance.sample(by_module[name], share[name])
    ]
    return sorted(chosen, key=lambda one: (one.module, one.start))


class Cover:
    """Which tests run which line, and how long each takes; without those that fail as it is."""

    def __init__(self, lines: dict[str, dict[int, set[str]]], times: dict[str, float]) -> None:
        self.lines = lines
        self.times = times

    @classmethod
    def noted(cls, copy: Path, bench: Path) -> Cover:
        import json

        from coverage import CoverageData

        (bench / "noter.py").write_text(NOTER)
        data, times = bench / "noted.data", bench / "times.json"
        command = [
            sys.executable,
            "-m",
            "coverage",
            "run",
            f"--data-file={data}",
            f"--rcfile={os.devnull}",
        ]
        command += [f"--include={copy}/pkg/*", "-m", "pytest", "-p", "noter", *_options(), *TESTS]
        env = _environment(copy) | {"NOTED_TIMES": str(times)}
        env["PYTHONPATH"] += f":{bench}"
        subprocess.run(command, cwd=copy, env=env, check=False, stdout=subprocess.DEVNULL)
        noted = CoverageData(str(data))
        noted.read()
        seconds = json.loads(times.read_text())
        passing = set(seconds)
        lines = {}
        for path in noted.measured_files():
            by_line = noted.contexts_by_lineno(path)
            lines[str(Path(path).relative_to(copy))] = {
                line: passing.intersection(names) for line, names in by_line.items()
            }
        return cls(lines, seconds)

    def of_line(self, one: Mutant) -> list[str]:
        return self._quickest(self.lines.get(one.module, {}).get(one.line, set()), 60.0)

    def of_module(self, one: Mutant) -> list[str]:
        names: set[str] = set().union(*self.lines.get(one.module, {1: set()}).values())
        names |= self._reads_only_constants(one)
        return self._quickest(names - set(self.of_line(one)), MODULE_SECONDS)

    def _reads_only_constants(self, one: Mutant) -> set[str]:
        """Tests of files that import the module: a table's figures are no line that runs."""
        dotted = one.module.removeprefix("pkg/").removesuffix(".py").replace("/", ".")
        files = {name.partition("::")[0] for name in self.times}
        users = {file for file in files if dotted in (ROOT / file).read_text(encoding="utf-8")}
        return {name for name in self.times if name.partition("::")[0] in users}

    def _quickest(self, names: set[str], most: float) -> list[str]:
        chosen: list[str] = []
        spent = 0.0
        for name in sorted(names, key=lambda name: (self.times.get(name, 1.0), name)):
            spent += self.times.get(name, 1.0)
            if spent > most and chosen:
                break
            chosen.append(name)
        return chosen


def _options() -> list[str]:
    return ["-q", "-m", "not slow", "-p", "no:cacheprovider"]


def _environment(copy: Path) -> dict[str, str]:
    return os.environ | {
        "PYTHONPATH": str(copy / "pkg"),
        "PYTHONDONTWRITEBYTECODE": "1",
        "COUNTERPOISE_BOARDS": BOARDS,
    }


def _judged(one: Mutant, copy: Path, cover: Cover) -> str:
    path = copy / one.module
    sound = path.read_bytes()
    path.write_bytes(one.text(sound))
    try:
        for names in (cover.of_line(one), cover.of_module(one)):
            if names and not _passes(names, copy, 20 + 6 * sum(cover.times[n] for n in names)):
                return "killed"
    finally:
        path.write_bytes(sound)
    return "survived"


def _passes(names: list[str], copy: Path, seconds: float) -> bool:
    """Whether the tests pass; a run that ends in no time allowed has found the fault."""
    command = [sys.executable, "-m", "pytest", "-x", *_options()]
    listed = copy.with_suffix(".names")
    listed.write_text("\n".join(names))
    running = subprocess.Popen(
        [*command, f"@{listed}"],
        cwd=copy,
        env=_environment(copy),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        return running.wait(seconds) == 0
    except subprocess.TimeoutExpired:
        os.killpg(running.pid, signal.SIGKILL)
        running.wait()
        return False


def _report(results: list[tuple[Mutant, str]], everything: int, asked: argparse.Namespace) -> None:
    count = len(results)
    killed = sum(what == "killed" for _, what in results)
    low, high = _wilson(killed, count)
    by_package: dict[str, list[bool]] = defaultdict(list)
    for one, what in results:
        by_package[Path(one.module).parent.name].append(what == "killed")
    print(f"\n{count} of {everything} faults (seed {asked.seed}): {killed} killed")
    print(f"score {killed / count:.1%}, 95 % interval {low:.1%} to {high:.1%} (Wilson)")
    for package, those in sorted(by_package.items()):
        print(f"  {package}: {sum(those)} of {len(those)}")


def _wilson(hits: int, count: int, z: float = 1.96) -> tuple[float, float]:
    """Score interval for a share (E. B. Wilson, 1927; z of 95 %)."""
    share, z2 = hits / count, z * z
    middle = (share + z2 / (2 * count)) / (1 + z2 / count)
    half = z / (1 + z2 / count) * math.sqrt(share * (1 - share) / count + z2 / (4 * count**2))
    return middle - half, middle + half


if __name__ == "__main__":
    started = time.monotonic()
    main()
    print(f"{time.monotonic() - started:.0f} s", file=sys.stderr)
