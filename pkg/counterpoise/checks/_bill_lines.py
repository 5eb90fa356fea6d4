"""The judgements of a BOM's lines: quantities, packages, order codes, fitted marks."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from counterpoise.checks._bill import (
    bill,
    bought_parts,
    column_need,
    is_fitted,
    key,
    line_fitted,
    lines_by_ref,
    needs_no_line,
    shown,
)
from counterpoise.model.bom import BomLine
from counterpoise.model.circuit import Circuit, Part
from counterpoise.model.verdicts import (
    Fail,
    Limit,
    Measured,
    Pass,
    Severity,
    Skip,
    Unknown,
    Verdict,
)
from counterpoise.roles.board import Board
from counterpoise.roles.wording import listed
from counterpoise.values.partvalue import unfitted_text
from counterpoise.values.sizes import chip_size

_MARKS = re.compile(r"dn[pifs]\b|fit|popul|stuff|mount|assembl|variant|config", re.I)
"""Names of fields that may say whether a part is fitted."""

_CASE = re.compile(
    r"(?<![A-Z0-9])((?:T?S?)SOT-?\d{2,3}(?:-\d)?|SC-?70(?:-\d)?|SOD-?\d{3}F?|[TMV]?SSOP-?\d+"
    r"|SOI?C-?\d+|[UVWXT]*[QD]FN-?\d+|[LT]?QFP-?\d+|SM[ABC])(?![A-Z0-9])",
    re.I,
)
_ALIASES = {"SOT23-3": "SOT23", "SC70": "SOT323", "SC70-5": "SOT353", "SC70-6": "SOT363"}
_ALIASES |= {"SOT25": "SOT23-5", "SOT26": "SOT23-6", "SOT235": "SOT23-5", "SOT236": "SOT23-6"}


def judge_quantity(board: Board) -> Iterator[Verdict]:
    """The verdicts of ``bom-quantity``: for one board, or one multiple of it."""
    counted = [
        (line, line.quantity, len({key(ref) for ref in line.refs}))
        for line in bill(board).lines
        if line.quantity is not None and line.refs and line_fitted(line) is not False
    ]
    if not counted:
        yield Unknown("", (column_need("quantity"),))
        return
    boards = _boards([(quantity, refs) for _, quantity, refs in counted])
    for line, quantity, refs in counted:
        if quantity == refs * boards:
            yield Pass(line.refs[0])
            continue
        parts = [p for ref in line.refs if (p := board.circuit.part(ref)) is not None]
        idle = bool(parts) and all(needs_no_line(board, part) for part in parts)
        spare = boards > 1 and quantity > refs * boards
        words = {
            "refs": listed(line.refs),
            "value": shown(line.value),
            "quantity": str(quantity),
            "count": f"{refs} refs" if refs > 1 else "1 ref",
            "boards": f" for {boards} boards" if boards > 1 else "",
            "wanted": str(refs * boards),
        }
        yield Fail(
            tuple(line.refs),
            "differs",
            words,
            measured=Measured(quantity, ""),
            limit=Limit(refs * boards, refs * boards, ""),
            severity=Severity.CAUTION if idle or spare else None,
        )


def _boards(counted: list[tuple[int, int]]) -> int:
    """How many boards the quantities are for: the multiple that most lines have."""
    ratios = Counter(
        quantity // refs for quantity, refs in counted if quantity and quantity % refs == 0
    )
    return next((boards for boards, count in ratios.items() if count * 2 > len(counted)), 1)


def case_of(text: str) -> str | None:
    """A package as two files may be compared: chip size, or a case name without its spelling."""
    size = chip_size(text)
    if size:
        return size
    found = _CASE.search(text.upper().replace("_", " "))
    if not found:
        return None
    spelt = re.sub(r"^([A-Z]+)-?(\d)", r"\1\2", found[1].upper())
    return _ALIASES.get(spelt, spelt)


def judge_packages(board: Board) -> Iterator[Verdict]:
    """The verdicts of ``bom-package-differs``: parts that differ alike are one finding."""
    if not any(line.footprint for line in bill(board).lines):
        yield Unknown("", (column_need("footprint"),))
        return
    lines = lines_by_ref(board)
    found: dict[tuple[str, str, str, str], list[Part]] = {}
    for part in bought_parts(board):
        for line in lines.get(key(part.ref), ()):
            ours, theirs = case_of(part.footprint), case_of(line.footprint)
            if ours is None or theirs is None or line_fitted(line) is False:
                continue
            if ours == theirs:
                yield Pass(part.ref)
            else:
                sides = (ours, theirs, part.footprint, line.footprint)
                found.setdefault(sides, []).append(part)
    for (ours, theirs, drawn, bought), parts in found.items():
        refs = tuple(part.ref for part in parts)
        words = {
            "refs": listed(refs),
            "are": "are" if len(refs) > 1 else "is",
            "ours": f'{ours} ("{drawn}")',
            "theirs": f'{theirs} ("{bought}")',
        }
        chips = ours.isdigit() and theirs.isdigit()
        same = ours.split("-")[0] == theirs.split("-")[0]
        # Case names have too many aliases for a stop, unless the family is the same.
        yield Fail(refs, "differs", words, severity=None if chips or same else Severity.CAUTION)


def judge_codes(board: Board) -> Iterator[Verdict]:
    """The verdict of ``bom-no-order-code``: one finding for all lines without one."""
    if not any(line.order_code for line in bill(board).lines):
        yield Unknown("", (column_need("order_code"),))
        return
    buyable = {key(part.ref) for part in bought_parts(board)}
    bare: list[str] = []
    for line in bill(board).lines:
        refs = [ref for ref in line.refs if key(ref) in buyable]
        if not refs or line_fitted(line) is False:
            continue
        if line.order_code:
            yield Pass(refs[0])
        else:
            bare += refs
    if bare:
        words = {"refs": listed(bare), "have": "have" if len(bare) > 1 else "has"}
        yield Fail(tuple(bare), "none", words)


def judge_fitted(board: Board) -> Iterator[Verdict]:
    """The verdicts of ``bom-fitted-conflict``: circuit against BOM, circuit against layout."""
    lines = lines_by_ref(board)
    silent: list[str] = []
    for part in board.all_parts:
        if needs_no_line(board, part):
            continue
        fitted = is_fitted(board, part)
        layout = board.layout.footprint(part.ref) if board.layout is not None else None
        if layout is not None and part.fitted and not layout.fitted:
            yield Fail((part.ref,), "layout", {})
            continue
        named = lines.get(key(part.ref), [])
        said = [line_fitted(line) for line in named]
        if not named:
            continue
        off = all(mark is False for mark in said)
        if off and (fitted or _drawn_fitted(board, part)):
            # A drawing that marks no part at all leaves that to the BOM.
            severity = None if fitted or _drawing_marks(board) else Severity.CAUTION
            words = {"where": _where(named[0])}
            yield Fail((part.ref,), "unfitted-in-bom", words, severity=severity)
        elif not fitted and any(mark is True for mark in said):
            yield Fail((part.ref,), "fitted-in-bom", {"where": _where(named[0])})
        elif not fitted and any(mark is None for mark in said):
            silent.append(part.ref)
        else:
            yield Pass(part.ref)
    if silent:
        are, them = ("are", "them") if len(silent) > 1 else ("is", "it")
        words = {"refs": listed(silent), "are": are, "them": them}
        yield Fail(tuple(silent), "unmarked", words, severity=Severity.CAUTION)
    if not lines:
        yield Skip("the BOM has no lines")


def _drawings(board: Board) -> tuple[Circuit, ...]:
    """Netlist and layout as they came, before the BOM's marks settled what is fitted."""
    return tuple(c for c in (board.design.netlist, board.design.drawn) if c is not None)


def _marked_off(part: Part) -> bool:
    return not part.fitted or unfitted_text(part.value)


def _drawn_fitted(board: Board, part: Part) -> bool:
    """Whether every drawing fits a part that the BOM leaves off; what the manifest states settles
    it."""
    stated = board.manifest.parts.get(part.ref)
    if part.fitted or (stated is not None and stated.fitted is not None):
        return False
    seen = [found for c in _drawings(board) if (found := c.part(part.ref)) is not None]
    fields = [pair for found in seen for pair in found.fields.items()]
    told = any(unfitted_text(text) or (text and _MARKS.search(name)) for name, text in fields)
    return bool(seen) and not told and not any(_marked_off(found) for found in seen)


def _drawing_marks(board: Board) -> bool:
    return any(_marked_off(part) for c in _drawings(board) for part in c.parts)


def _where(line: BomLine) -> str:
    return f" (line {line.origin.line})" if line.origin else ""
