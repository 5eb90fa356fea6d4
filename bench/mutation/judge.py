"""One copy of the tree and the process that judges faults in it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

from cover import Cover
from mutants import Mutant
from places import TESTS, environment, options


class Judge:
    """Owns a copy, and a server (server.py) that has its tests collected."""

    def __init__(self, copy: Path) -> None:
        self.copy = copy
        asks_there, asks_here = os.pipe()
        says_here, says_there = os.pipe()
        env = environment(copy) | {"SERVER_ASKS": str(asks_there), "SERVER_SAYS": str(says_there)}
        env["PYTHONPATH"] += f":{Path(__file__).parent}"
        base = f"--basetemp={copy.with_suffix('.tmp')}"
        self.process = subprocess.Popen(
            [sys.executable, "-m", "pytest", "-p", "server", base, *options(), *TESTS],
            cwd=copy,
            env=env,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            pass_fds=(asks_there, says_there),
        )
        os.close(asks_there)
        os.close(says_there)
        self.asks = os.fdopen(asks_here, "w", buffering=1)
        self.says = os.fdopen(says_here, "r")
        self.collected: list[str] = json.loads(self.says.readline())

    def end(self) -> None:
        self.asks.close()
        self.process.wait()

    def judged(self, one: Mutant, cover: Cover) -> str:
        """``killed`` or ``survived``: first the tests of its line, then others of its module."""
        for named in (cover.of_line, cover.of_module):
            names = named(one.module, one.line)
            if names and self._says(one, names, cover) == "killed":
                return "killed"
        return "survived"

    def sound(self, names: list[str], cover: Cover) -> bool:
        """Whether these tests pass without a fault."""
        ask = {"text": "", "names": names, "seconds": self._seconds(names, cover)}
        return not names or self._asked(ask) == "survived"

    def _says(self, one: Mutant, names: list[str], cover: Cover) -> str:
        path = self.copy / one.module
        ask = {
            "path": str(path),
            "text": one.text(path.read_bytes()).decode(),
            "start": one.start,
            "names": names,
            "seconds": self._seconds(names, cover),
        }
        said = self._asked(ask)
        return self._cold(one, names, self._seconds(names, cover)) if said == "cold" else said

    def _asked(self, ask: dict[str, object]) -> str:
        self.asks.write(json.dumps(ask) + "\n")
        said: str = json.loads(self.says.readline())
        return said

    @staticmethod
    def _seconds(names: list[str], cover: Cover) -> float:
        return 20 + 6 * sum(cover.times[name] for name in names)

    def _cold(self, one: Mutant, names: list[str], seconds: float) -> str:
        """In a process of its own, with the faulty file on disk."""
        path = self.copy / one.module
        sound = path.read_bytes()
        path.write_bytes(one.text(sound))
        try:
            return "survived" if self.passes(names, seconds) else "killed"
        finally:
            path.write_bytes(sound)

    def passes(self, names: list[str], seconds: float) -> bool:
        """Whether the tests pass; a run that ends in no time allowed has found the fault."""
        listed = self.copy.with_suffix(".names")
        listed.write_text("\n".join(names))
        running = subprocess.Popen(
            [sys.executable, "-m", "pytest", "-x", *options(), f"@{listed}"],
            cwd=self.copy,
            env=environment(self.copy),
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
