"""How many seeded small faults the quick tests find: ``./dev mutation [--sample 400] [--seed 1]``.

Works on copies of the tree in a temporary folder and never on the tree itself. First one run of
the tests notes which test runs which line; then each fault of a random sample (in proportion to
each module's number of faults) is judged by the tests that run its line and, if it lives, by the
quickest tests that run its module. Prints the score with its 95 % interval (Wilson) and each
survivor. ``--only checks/_crystal`` judges all faults of those files; ``--noted FILE`` keeps the
notes of the first run for the next, and ``--again FILE`` judges only the survivors that an earlier
output of the command names.
"""

from __future__ import annotations

import argparse
import compileall
import math
import py_compile
import random
import shutil
import sys
import tempfile
import time
from collections import defaultdict
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import Queue

from cover import Cover
from judge import Judge
from mutants import Mutant, mutants
from places import ROOT

LEFT_OUT = shutil.ignore_patterns(".*", "__pycache__", "docs", "bench")


def main() -> None:
    asked = _arguments()
    with tempfile.TemporaryDirectory(prefix="mutation-") as folder:
        bench = Path(folder)
        first = _copy(bench / "copy0")
        everything = _faults(first, asked.package)
        chosen = _sample(everything, asked.sample, asked.seed)
        if asked.only:
            chosen = [o for o in everything if any(name in o.module for name in asked.only)]
        if asked.again:
            told = asked.again.read_text()
            chosen = [one for one in chosen if f" {one}\n" in told]
        cover = Cover.noted(first, bench, asked.noted)
        others = [_copy(bench / f"copy{number}") for number in range(1, asked.jobs)]
        judges = [Judge(copy) for copy in (first, *others)]
        cover.since(judges[0].collected)
        if not judges[0].sound(sorted(cover.fresh if asked.only else cover.times), cover):
            raise SystemExit("the tests fail without a fault: each fault would count as killed")
        results = _all_judged(chosen, judges, cover)
        for judge in judges:
            judge.end()
        _report(results, len(everything), asked)


def _all_judged(
    chosen: list[Mutant], judges: list[Judge], cover: Cover
) -> list[tuple[Mutant, str]]:
    free: Queue[Judge] = Queue()
    for judge in judges:
        free.put(judge)

    def judged(one: Mutant) -> tuple[Mutant, str]:
        judge = free.get()
        try:
            return one, judge.judged(one, cover)
        finally:
            free.put(judge)

    results = []
    with ThreadPoolExecutor(len(judges)) as pool:
        for one, what in pool.map(judged, chosen):
            results.append((one, what))
            if what != "killed":
                print(f"{len(results):4} {what:9} {one}", flush=True)
    return results


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sample", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--only", nargs="*", help="all faults of the files of these names")
    parser.add_argument("--again", type=Path, help="only those that this earlier output names")
    parser.add_argument("--noted", type=Path, help="a file to keep or take the first run's notes")
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
