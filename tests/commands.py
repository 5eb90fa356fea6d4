"""Running the command line inside the test's own process, and files for it to read."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

import pytest

from counterpoise.cli.errors import guarded
from counterpoise.cli.main import group

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "fixtures" / "focus-paddle"
DEMO_BOARDS = ("donor", "rev-a", "rev-b")
OUTSIDE = Path(os.environ.get("COUNTERPOISE_BOARDS", ROOT.parent / "shared" / "boards"))


@dataclass(frozen=True)
class Ran:
    """What one run left behind."""

    status: int
    raw: bytes
    err: str

    @property
    def out(self) -> str:
        return self.raw.decode()

    def refused(self) -> str:
        """The one line of a run that could not use its input; fails unless it is just that."""
        assert (self.status, self.raw) == (2, b""), (self.status, self.out[:2000], self.err)
        assert self.err.startswith("counterpoise: "), self.err
        assert self.err.endswith("\n")
        assert self.err.count("\n") == 1, self.err
        assert "Traceback" not in self.err
        return self.err.removeprefix("counterpoise: ").removesuffix("\n")


class _Stream(io.TextIOWrapper):
    def __init__(self, terminal: bool = False) -> None:
        self.kept = io.BytesIO()
        self._terminal = terminal
        super().__init__(self.kept, encoding="utf-8", write_through=True)

    def isatty(self) -> bool:
        return self._terminal


def run(*words: str | Path, env: Mapping[str, str] | None = None, terminal: bool = False) -> Ran:
    """One run of ``counterpoise`` with these words, 80 columns wide."""
    out, err = _Stream(terminal), _Stream()
    settings = {"COLUMNS": "80", "NO_COLOR": "", "TERM": "xterm", **(env or {})}
    with (
        mock.patch.object(sys, "argv", ["counterpoise", *map(str, words)]),
        mock.patch.dict(os.environ, settings),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        status = guarded(group)
        out.flush()
        err.flush()
    return Ran(status, out.kept.getvalue(), err.kept.getvalue().decode())


def atom(text: str) -> str:
    """A text as an s-expression string."""
    for plain, escaped in (("\\", "\\\\"), ('"', '\\"'), ("\n", "\\n"), ("\r", "\\r")):
        text = text.replace(plain, escaped)
    return f'"{text}"'


def netlist(parts: Iterable[tuple[str, str, Mapping[str, str]]]) -> str:
    """A netlist file of (ref, value, {pin number: net}) rows."""
    parts = list(parts)
    comps = [f"(comp (ref {atom(ref)}) (value {atom(value)}))" for ref, value, _ in parts]
    nets: dict[str, list[str]] = {}
    for ref, _, pins in parts:
        for number, net in pins.items():
            nets.setdefault(net, []).append(f"(node (ref {atom(ref)}) (pin {atom(number)}))")
    wired = [
        f'(net (code "{code}") (name {atom(net)}) {" ".join(nodes)})'
        for code, (net, nodes) in enumerate(nets.items(), 1)
    ]
    joined = "\n".join(("(components", *comps, ")", "(nets", *wired, ")"))
    return f'(export (version "E")\n{joined})\n'


def layout(body: str = "", edge: bool = True) -> str:
    """A board file of 20 x 10 mm with ``body`` on it; without its outline unless ``edge``."""
    outline = '(gr_rect (start 0 0) (end 20 10) (layer "Edge.Cuts") (width 0.1))' if edge else ""
    layers = "(layers (0 F.Cu signal) (31 B.Cu signal) (44 Edge.Cuts user))"
    return f'(kicad_pcb (version 20211014) {layers} (net 0 "")\n{body}\n{outline})\n'


SOUND = netlist([("R1", "10k", {"1": "A", "2": "B"}), ("R2", "1k", {"1": "A", "2": "B"})])
"""A netlist on which nothing is wrong."""


def outside_boards() -> list[object]:
    """The real boards that lie beside the checkout, as parameters; one skipped one when absent."""
    found = sorted(OUTSIDE.glob("*/*.kicad_pcb")) if OUTSIDE.is_dir() else []
    if not found:
        reason = "no folder of real boards (COUNTERPOISE_BOARDS names one)"
        return [pytest.param(OUTSIDE, marks=pytest.mark.skip(reason=reason))]
    return [pytest.param(path, id=path.parent.name, marks=_slow(path)) for path in found]


def _slow(path: Path) -> tuple[pytest.MarkDecorator, ...]:
    return (pytest.mark.slow,) if path.stat().st_size > 2_000_000 else ()
