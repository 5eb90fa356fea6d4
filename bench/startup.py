"""How long the command line takes to say its help and version, beside an empty click program.

    python bench/startup.py [TIMES]

Whole processes, one after the other in turn, the fastest of each. Bytecode is cached, as it is in an
installed package.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

EMPTY = """
import click


@click.group()
def group():
    \"\"\"Nothing.\"\"\"


group()
"""


def main() -> None:
    """Measure and print."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    with tempfile.TemporaryDirectory() as scratch:
        empty = Path(scratch) / "empty.py"
        empty.write_text(EMPTY, "utf-8")
        environment = {
            **{k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"},
            "PYTHONPYCACHEPREFIX": str(Path(scratch) / "cache"),
        }
        programs = {
            "python alone": ["-c", "pass"],
            "empty click program --help": [str(empty), "--help"],
            "counterpoise --help": ["-m", "counterpoise", "--help"],
            "counterpoise --version": ["-m", "counterpoise", "--version"],
        }
        fastest: dict[str, float] = {}
        for _ in range(times + 1):
            for name, arguments in programs.items():
                start = time.perf_counter()
                subprocess.run(
                    [sys.executable, *arguments],
                    stdout=subprocess.DEVNULL,
                    env=environment,
                    check=True,
                )
                taken = time.perf_counter() - start
                fastest[name] = min(taken, fastest.get(name, taken))
    yardstick = fastest["empty click program --help"]
    for name, taken in fastest.items():
        print(f"{name:28}{taken * 1000:8.1f} ms{taken / yardstick:8.2f}x")


if __name__ == "__main__":
    main()
