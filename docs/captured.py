"""Runs a command of the pages and gives its output as a Markdown block; cog calls it.

``./dev docs`` renews the pages, ``./dev lint`` fails while one is stale.
"""

from __future__ import annotations

import shlex
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def shown(command: str, *, lines: int | None = None) -> str:
    """A block with the command and what it prints at 80 columns; at most ``lines`` of it."""
    words = shlex.split(command)
    program = Path(sys.executable).parent / words[0]
    environment = {"PATH": "/usr/bin:/bin", "COLUMNS": "80", "NO_COLOR": "1", "LC_ALL": "C.UTF-8"}
    done = subprocess.run(
        [str(program), *words[1:]],
        cwd=ROOT,
        env=environment,
        text=True,
        encoding="utf-8",
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        check=False,
    )
    kept = done.stdout.rstrip("\n").split("\n")
    if lines is not None and len(kept) > lines:
        kept = [*kept[:lines], "…"]
    body = "\n".join(kept)
    return f"\n```console\n$ {command}\n{body}\n```\n\nIt ends with {done.returncode}.\n\n"
