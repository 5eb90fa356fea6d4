"""A pytest plugin that stays up with every test collected and judges one fault after another.

Starting Python and collecting the tests costs more than most judgements. So each fault is judged
in a fork of this process: there the functions of the faulty text are put in place of the sound
ones (their code only, so whoever imported them meets the fault), and the tests named run until one
fails. A fault outside any function body cannot be put in place this way; the answer is then
``cold``, and whoever asked starts a new process for it.

Without a text nothing is put in place: the tests of a sound tree.
Asked and answered on the two pipes ``SERVER_ASKS`` and ``SERVER_SAYS``, a line of JSON each.
"""

from __future__ import annotations

import ast
import gc
import importlib
import json
import os
import pkgutil
import signal
import time
from types import CodeType, FunctionType
from typing import Any

import pytest
from mutants import line_starts


class Server:
    """Holds the collected tests and every function of the packages under judgement."""

    def __init__(self, session: pytest.Session, package: str) -> None:
        self.items = {item.nodeid: item for item in session.items}
        self.failed = False
        root = importlib.import_module(package)
        for found in pkgutil.walk_packages(root.__path__, f"{package}."):
            if not found.name.endswith("__main__"):
                importlib.import_module(found.name)
        self.functions: dict[tuple[str, str], list[FunctionType]] = {}
        for one in gc.get_objects():
            if isinstance(one, FunctionType):
                key = (one.__code__.co_filename, one.__code__.co_qualname)
                self.functions.setdefault(key, []).append(one)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.failed = self.failed or report.failed

    def serve(self) -> None:
        asks = os.fdopen(int(os.environ["SERVER_ASKS"]), "r")
        says = os.fdopen(int(os.environ["SERVER_SAYS"]), "w", buffering=1)
        gc.freeze()
        says.write(json.dumps(sorted(self.items)) + "\n")
        for line in asks:
            says.write(json.dumps(self._answer(json.loads(line))) + "\n")

    def _answer(self, ask: dict[str, Any]) -> str:
        if ask["text"] and not runs_in_function(ask["text"], ask["start"]):
            return "cold"
        child = os.fork()
        if not child:
            os.setsid()
            try:
                self._child(ask)
            finally:
                os._exit(2)  # only what went wrong outside the tests comes here
        return self._waited(child, ask["seconds"])

    def _child(self, ask: dict[str, Any]) -> None:
        if ask["text"] and not self._put(ask["path"], ask["text"]):
            os._exit(2)
        items = [self.items[name] for name in ask["names"]]
        for item, after in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            if self.failed:
                os._exit(1)
        os._exit(0)

    def _put(self, path: str, text: str) -> bool:
        """Gives each function of that file the code of the same name in ``text``."""
        done = False
        for name, code in function_codes(compile(text, path, "exec")):
            for function in self.functions.get((path, name), ()):
                if function.__code__.co_freevars != code.co_freevars:
                    return False
                function.__code__ = code
                done = True
        return done

    @staticmethod
    def _waited(child: int, seconds: float) -> str:
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            ended, status = os.waitpid(child, os.WNOHANG)
            if ended:
                said = {0: "survived", 1: "killed", 2: "cold"}
                return said.get(os.waitstatus_to_exitcode(status), "killed")
            time.sleep(0.005)
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return "killed"


def function_codes(code: CodeType) -> list[tuple[str, CodeType]]:
    """Functions of a module and of its classes, by qualified name; inner ones ride along."""
    found = []
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            if inner.co_flags & 0x02:  # CO_NEWLOCALS: a function; a class body has it not
                found.append((inner.co_qualname, inner))
            else:
                found += function_codes(inner)
    return found


def runs_in_function(text: str, start: int) -> bool:
    """Whether the byte at ``start`` lies in the body of a function, not in its head."""
    starts = line_starts(text.encode())
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            first, last = node.body[0], node.body[-1]
            low = starts[first.lineno - 1] + first.col_offset
            high = starts[(last.end_lineno or last.lineno) - 1] + (last.end_col_offset or 0)
            if low <= start < high:
                return True
    return False


def pytest_runtestloop(session: pytest.Session) -> bool:
    server = Server(session, "counterpoise")
    session.config.pluginmanager.register(server)
    server.serve()
    return True
