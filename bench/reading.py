"""How fast boards are read, beside two yardsticks in the same run.

    python bench/reading.py [BOARD]

The stream of lists and the full board reader are measured against ``sexpdata.loads`` (what most
people would use for such files) and ``json.loads`` of the same tree (about the best that pure
building of such a tree can do, being written in C). The board is scaled by repeating its
footprints, tracks and zones. Seconds per megabyte of board text, best of three.
"""

from __future__ import annotations

import json
import math
import sys
import time
from collections.abc import Callable
from pathlib import Path

import sexpdata

from counterpoise.readers import board, sexpr
from counterpoise.readers._source import Source
from counterpoise.readers.sexpr import Node

HERE = Path(__file__).resolve().parent.parent
REPEATED = ("footprint", "module", "segment", "arc", "via", "zone")
SCALES = (1, 10)


def main() -> None:
    """Measure and print."""
    path = Path(sys.argv[1]) if len(sys.argv) > 1 else demo_board()
    text = path.read_text("utf-8-sig")
    table: dict[str, list[float]] = {}
    sizes = []
    for scale in SCALES:
        source = Source(path.name, scaled(text, scale).encode())
        sizes.append(len(source.data))
        as_json = json.dumps(plain(source))
        for name, run in (
            ("stream of lists", lambda source=source: drain(source)),
            ("whole board", lambda source=source: board.read(Source("x", source.data))),
            ("sexpdata.loads", lambda source=source: sexpdata.loads(source.utf8)),
            ("json.loads, same tree", lambda as_json=as_json: json.loads(as_json)),
        ):
            table.setdefault(name, []).append(best(run))
    report(path.name, sizes, table)


def demo_board() -> Path:
    """The demo's board where it is there, else a sample of the tests."""
    found = sorted(HERE.glob("fixtures/focus-paddle/rev-b/*.kicad_pcb"))
    return found[0] if found else HERE / "tests/readers/samples/fp1_v8.kicad_pcb"


def scaled(text: str, scale: int) -> str:
    """The board with its copper and parts ``scale`` times over."""
    starts = [
        child.offset
        for child in sexpr.children(Source("x", text.encode()))
        if child and child[0] in REPEATED
    ]
    pieces = [text[start : end_of(text, start)] for start in starts]
    more = "\n".join(pieces)
    close = text.rindex(")")
    return text[:close] + ("\n" + more) * (scale - 1) + "\n" + text[close:]


def end_of(text: str, start: int) -> int:
    """One past the bracket that closes the list at ``start``."""
    depth, at = 0, start
    while True:
        char = text[at]
        if char == '"':
            at += 1
            while text[at] != '"':
                at += 2 if text[at] == "\\" else 1
        depth += (char == "(") - (char == ")")
        at += 1
        if depth == 0:
            return at


def plain(source: Source) -> list[object]:
    """The tree as plain lists and texts."""

    def listed(node: Node) -> list[object]:
        return [listed(atom) if isinstance(atom, Node) else str(atom) for atom in node]

    return [listed(child) for child in sexpr.children(source)]


def drain(source: Source) -> None:
    """Read all lists, keep none."""
    for _ in sexpr.children(Source("x", source.data)):
        pass


def best(run: Callable[[], object], times: int = 3) -> float:
    """Seconds of the fastest of a few runs."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        taken.append(time.perf_counter() - start)
    return min(taken)


def report(name: str, sizes: list[int], table: dict[str, list[float]]) -> None:
    """Print one line a reader: s/MB at each scale, how much faster than sexpdata, growth."""
    shown = ", ".join(
        f"x{scale}: {size / 1e6:.2f} MB" for scale, size in zip(SCALES, sizes, strict=True)
    )
    print(f"{name} ({shown})")
    heads = "".join(f"{f's/MB x{scale}':>12}" for scale in SCALES)
    print(f"{'':24}{heads}{'vs sexpdata':>13}{'growth':>9}")
    for reader, taken in table.items():
        rates = "".join(f"{t / size * 1e6:12.3f}" for t, size in zip(taken, sizes, strict=True))
        faster = table["sexpdata.loads"][-1] / taken[-1]
        growth = math.log(taken[-1] / taken[0]) / math.log(sizes[-1] / sizes[0])
        print(f"{reader:24}{rates}{faster:12.1f}x{growth:9.2f}")


if __name__ == "__main__":
    main()
