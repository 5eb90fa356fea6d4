"""How long a whole check takes as the board grows: the demo once, ten and a hundred times over.

    python bench/check.py [FOLDER] [SCALE ...]

In this process (imports done, best of two up to 10x) and as a process of its own. Growth is the
slope between the logarithms of seconds and of size: 1 is linear.
"""

from __future__ import annotations

import contextlib
import math
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import _scaled
import click

from counterpoise.cli.main import group

HERE = Path(__file__).resolve().parent.parent
SCALES = (1, 10, 100)


def main() -> None:
    """Measure and print."""
    demo = Path(sys.argv[1]) if len(sys.argv) > 1 else HERE / "fixtures/focus-paddle/rev-b"
    scales = tuple(map(int, sys.argv[2:])) or SCALES
    print(f"{demo.name}: {'parts':>11}{'MB':>8}{'inside s':>10}{'process s':>11}{'vs 1x':>8}")
    sizes, inside, outside = [], [], []
    with tempfile.TemporaryDirectory() as scratch:
        for scale in scales:
            folder = Path(scratch) / f"x{scale}"
            size = _scaled.write(demo, folder, scale)
            parts = (folder / "all.net").read_text().count("(comp ")
            times = 2 if scale <= 10 else 1
            check(folder)  # warms the imports and tables that every check shares
            inside.append(best(lambda folder=folder: check(folder), times))
            outside.append(best(lambda folder=folder: process(folder), times))
            sizes.append(size)
            print(
                f"{scale:6}x{'':4}{parts:8}{size / 1e6:8.1f}{inside[-1]:10.2f}{outside[-1]:11.2f}"
                f"{outside[-1] / outside[0]:8.1f}"
            )
    for i in range(1, len(scales)):
        span = math.log(sizes[i] / sizes[i - 1])
        slopes = (math.log(t[i] / t[i - 1]) / span for t in (inside, outside))
        print(
            f"growth {scales[i - 1]}x to {scales[i]}x: inside {{:.2f}}, process {{:.2f}}".format(
                *slopes
            )
        )


def check(folder: Path) -> None:
    """One check in this process, its report thrown away."""
    with (
        Path(os.devnull).open("w", encoding="utf-8") as nowhere,
        contextlib.redirect_stdout(nowhere),
        contextlib.suppress(click.exceptions.Exit),
    ):
        group.main(["check", str(folder)], prog_name="counterpoise", standalone_mode=False)


def process(folder: Path) -> None:
    """One check as a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "counterpoise", "check", str(folder)],
        stdout=subprocess.DEVNULL,
        check=False,
    )
    assert done.returncode in (0, 1), done.returncode


def best(run: Callable[[], object], times: int) -> float:
    """Seconds of the fastest of a few runs."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        taken.append(time.perf_counter() - start)
    return min(taken)


if __name__ == "__main__":
    main()
