"""Two parts that share a ref."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from counterpoise.checks._bill import needs_no_line
from counterpoise.model.circuit import Part
from counterpoise.model.verdicts import Fail, Pass, Severity, Verdict
from counterpoise.roles.board import Board


def judge_twins(board: Board) -> Iterator[Verdict]:
    """The verdicts of ``duplicate-reference``: by the circuit, and the layout where it has more."""
    groups: dict[str, list[Part]] = {}
    for part in board.all_parts:
        groups.setdefault(part.ref.strip(), []).append(part)
    drawn = _drawn(board)
    for ref, parts in groups.items():
        if not ref or (len(parts) == 1 and drawn[ref] < 2):
            if ref:
                yield Pass(ref)
            continue
        if _decor(board, parts):
            continue
        yield _twins(board, ref, parts, max(len(parts), drawn[ref]))


def _drawn(board: Board) -> Counter[str]:
    footprints = board.layout.footprints if board.layout is not None else ()
    return Counter(f.ref.strip() for f in footprints if not f.board_only or f.pads)


def _decor(board: Board, parts: list[Part]) -> bool:
    """Logos, holes and fiducials are often numbered alike, and nothing is ordered by their refs."""
    return all(
        board.role(part.ref).name == "mechanical" or not any(pin.net for pin in part.pins)
        for part in parts
    )


def _twins(board: Board, ref: str, parts: list[Part], count: int) -> Fail:
    fitted = [p for p in parts if p.fitted and p.bought and not needs_no_line(board, p)]
    bought = (
        fitted if len(parts) == 1 else fitted[1:]
    )  # one part that is drawn twice is fitted twice
    wiring = {tuple(pin.net for pin in part.pins) for part in parts}
    words = {
        "count": "two" if count == 2 else str(count),
        "values": " and ".join(dict.fromkeys(p.value or p.footprint or "no value" for p in parts)),
        "nets": "on different nets" if len(wiring) > 1 else "on the same nets",
    }
    severity = None if bought else Severity.CAUTION
    return Fail((ref,), "shared", words, severity=severity)
