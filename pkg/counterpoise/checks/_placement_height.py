"""How high the board stands with its tallest parts."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import layout_of, mm
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known

BOARD = "the board"
_TALL = (
    "cell", "connector", "usb-connector", "antenna-connector", "push-switch", "change-over-switch",
    "slide-switch", "encoder", "potentiometer", "radio-module", "motor",
)  # fmt: skip


def height(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Board thickness and the tallest known part on each side against the limit."""
    most = board.manifest.limits.height_mm
    if most is None:
        return
    thickness = board.manifest.board.thickness_mm or layout_of(board).thickness_mm
    if thickness is None:
        need = Need("the thickness of the board", 'board.toml: [board] thickness = "1.0 mm"')
        yield Unknown(BOARD, (need,))
        return
    tallest: dict[str, tuple[float, str, bool]] = {}
    needs: list[Need] = []
    for part in board.parts:
        footprint = layout_of(board).footprint(part.ref)
        if footprint is None or board.flag(part, "leaves_board"):
            continue
        known = board.known(part, "height")
        if isinstance(known, Known):
            top = (known.value.high, part.ref, known.firm)
            tallest[footprint.side] = max(tallest.get(footprint.side, top), top)
        elif board.role(part.ref).name in _TALL:
            needs.append(known)
    stack = thickness + sum(top[0] for top in tallest.values())
    if stack > most + 1e-9:
        yield _too_high(stack, most, tallest)
    elif needs or not tallest:
        first = Need("the heights of its parts", 'board.toml: [parts.J1] height = "3.2 mm"')
        yield Unknown(BOARD, tuple(needs[:3]) or (first,))
    else:
        yield Pass(BOARD)


def _too_high(stack: float, most: float, tallest: dict[str, tuple[float, str, bool]]) -> Fail:
    tops = [tallest[side] for side in sorted(tallest)]
    words = {
        "measured": mm(stack),
        "limit": mm(most),
        "parts": " and ".join(f"{ref} ({mm(high)})" for high, ref, _ in tops) or "the board",
    }
    firm = all(sure for *_, sure in tops)
    return Fail(
        tuple(ref for _, ref, _ in tops),
        "over",
        words,
        measured=Measured(round(stack, 3), "mm"),
        limit=Limit(None, most, "mm"),
        severity=None if firm else Severity.CAUTION,
        firm=firm,
    )
