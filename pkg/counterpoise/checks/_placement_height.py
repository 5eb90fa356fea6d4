"""How high the board stands with its tallest parts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import layout_of, mm
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known

BOARD = "the board"
_ROUNDING_MM = 1e-9
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
    known: dict[str, list[tuple[Known, str]]] = defaultdict(list)
    needs: list[Need] = []
    for part in board.parts:
        footprint = layout_of(board).footprint(part.ref)
        if footprint is None or board.flag(part, "leaves_board"):
            continue
        high = board.known(part, "height")
        if isinstance(high, Known):
            known[footprint.side].append((high, part.ref))
        elif board.role(part.ref).name in _TALL:
            needs.append(high)
    tops = [max(known[side], key=lambda k: k[0].value.high) for side in sorted(known)]
    stack = thickness + sum(top.value.high for top, _ in tops)
    if stack > most + _ROUNDING_MM:
        least = thickness + sum(max(k.value.low for k, _ in those) for those in known.values())
        yield _too_high(stack, most, tops, least > most + _ROUNDING_MM)
    elif needs or not tops:
        first = Need("the heights of its parts", 'board.toml: [parts.J1] height = "3.2 mm"')
        yield Unknown(BOARD, tuple(needs[:3]) or (first,))
    else:
        yield Pass(BOARD)


def _too_high(stack: float, most: float, tops: list[tuple[Known, str]], sure: bool) -> Fail:
    named = " and ".join(f"{ref} ({mm(top.value.high)})" for top, ref in tops)
    return Fail(
        tuple(ref for _, ref in tops),
        "over",
        {"measured": mm(stack), "limit": mm(most), "parts": named or "the board"},
        measured=Measured(round(stack, 3), "mm"),
        limit=Limit(None, most, "mm"),
        severity=None if sure else Severity.CAUTION,
        firm=all(top.firm for top, _ in tops),
    )
