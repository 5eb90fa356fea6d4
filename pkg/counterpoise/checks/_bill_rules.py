"""The judgements of the first BOM rules."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from counterpoise.checks._bill import (
    READ_AS,
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
from counterpoise.checks._bill_values import (
    cards_differ,
    code_contradicts,
    is_generic,
    numbers_differ,
    read,
    texts_agree,
)
from counterpoise.model.bom import BomLine
from counterpoise.model.circuit import Part
from counterpoise.model.verdicts import Fail, Pass, Severity, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.refdes import natural
from counterpoise.roles.wording import listed


def judge_missing(board: Board) -> Iterator[Verdict]:
    """The verdicts of ``bom-missing``: parts alike in value and footprint are one missing line."""
    lines = lines_by_ref(board)
    missing: dict[tuple[str, str], list[Part]] = {}
    for part in bought_parts(board):
        if key(part.ref) in lines:
            yield Pass(part.ref)
        else:
            missing.setdefault((part.value, part.footprint), []).append(part)
    for (value, footprint), parts in missing.items():
        refs = tuple(part.ref for part in parts)
        copper = all(_may_be_copper(board, part) for part in parts)
        words = {
            "refs": listed(refs),
            "value": f"{value} {footprint}".strip() or "no value",
            "are": "are" if len(refs) > 1 else "is",
        }
        # An antenna may be copper alone, which nobody buys.
        yield Fail(refs, "missing", words, severity=Severity.CAUTION if copper else None)


def _may_be_copper(board: Board, part: Part) -> bool:
    """Whether the part is an antenna that neither card nor footprint calls a chip; a symbol of that
    name is often drawn for a copper one."""
    chip = re.search("chip|ceramic", part.footprint, re.I)
    known = board.text(part, "antenna_kind") == "chip"
    return board.role(part.ref).name == "antenna" and not chip and not known


def judge_extra(board: Board) -> Iterator[Verdict]:
    """The verdicts of ``bom-extra``, one finding a line."""
    known = {key(part.ref) for part in board.all_parts}
    if board.layout is not None:
        known |= {key(footprint.ref) for footprint in board.layout.footprints}
    for line in bill(board).lines:
        extra = tuple(ref for ref in line.refs if key(ref) not in known)
        if not extra:
            yield Pass(line.refs[0] if line.refs else "")
            continue
        words = {
            "refs": listed(extra),
            "value": shown(line.value),
            "are": "are" if len(extra) > 1 else "is",
            "where": f" (line {line.origin.line})" if line.origin else "",
        }
        yield Fail(extra, "extra", words)


def judge_duplicate(board: Board) -> Iterator[Verdict]:
    """The verdicts of ``bom-duplicate``."""
    held: dict[str, list[BomLine]] = {}
    spelt: dict[str, str] = {}
    for line in bill(board).lines:
        for ref in line.refs:
            held.setdefault(key(ref), []).append(line)
            spelt.setdefault(key(ref), ref.strip())
    copies = Counter(key(part.ref) for part in board.all_parts)
    groups: dict[tuple[int, ...], tuple[list[str], list[BomLine]]] = {}
    for name in sorted(held, key=natural):
        buying = [line for line in held[name] if line_fitted(line) is not False]
        if len(buying) < 2:
            yield Pass(spelt[name])
        elif len(buying) <= copies[name]:
            yield Skip(
                f"{spelt[name]} is on the board more than once, which is another rule's finding"
            )
        else:
            group = groups.setdefault(tuple(id(line) for line in buying), ([], buying))
            group[0].append(spelt[name])
    for refs, lines in groups.values():
        yield _duplicate(board, refs, lines)


def _duplicate(board: Board, refs: list[str], lines: list[BomLine]) -> Fail:
    parts = [part for ref in refs if (part := board.circuit.part(ref)) is not None]
    idle = bool(parts) and all(needs_no_line(board, part) for part in parts)
    distinct = {id(line): line for line in lines}.values()
    times = "twice" if len(lines) == 2 else f"{len(lines)} times"
    words = {
        "refs": listed(refs),
        "are": "are" if len(refs) > 1 else "is",
        "lines": f"{times} on one line"
        if len(distinct) == 1
        else f"on {len(distinct)} lines ({listed(_describe(line) for line in distinct)})",
    }
    return Fail(tuple(refs), "duplicate", words, severity=Severity.CAUTION if idle else None)


def _describe(line: BomLine) -> str:
    where = f"line {line.origin.line}: " if line.origin else ""
    return f"{where}{line.value or line.order_code or 'no value'}"


def judge_values(board: Board) -> Iterator[Verdict]:
    """The verdicts of ``bom-value-differs``: parts that differ alike are one finding."""
    told = any(line.value for line in bill(board).lines)
    if bill(board).lines and not told:
        yield Unknown("", (column_need("value"),))
    found: dict[tuple[str, ...], list[tuple[Part, Fail]]] = {}
    for part, line in _pairs(board):
        verdict = _judge_value(board, part, line)
        if isinstance(verdict, Fail):
            group = (verdict.case, *verdict.words.values(), str(verdict.severity))
            found.setdefault(group, []).append((part, verdict))
        elif told:
            yield verdict
    for entries in found.values():
        first = entries[0][1]
        refs = tuple(part.ref for part, _ in entries)
        words = {**first.words, "refs": listed(refs), "are": "are" if len(refs) > 1 else "is"}
        yield Fail(refs, first.case, words, severity=first.severity, firm=first.firm)


def _pairs(board: Board) -> Iterator[tuple[Part, BomLine]]:
    lines = lines_by_ref(board)
    for part in board.parts:
        if not is_fitted(board, part):
            continue
        for line in lines.get(key(part.ref), ()):
            if line_fitted(line) is not False:
                yield part, line


def _judge_value(board: Board, part: Part, line: BomLine) -> Verdict:
    role = board.role(part.ref)
    kind = READ_AS.get(role.name)
    ours = read(part.value, kind)
    theirs = read(line.value, kind)
    words = {"ours": shown(part.value), "theirs": shown(line.value)}
    if ours is not None and theirs is not None:
        if numbers_differ(ours, theirs):
            return Fail((part.ref,), "differs", words, firm=role.firm)
        return _judge_code(part, line, kind, theirs.nominal)
    if not part.value.strip() or not line.value.strip() or is_generic(part):
        if ours is not None:
            return _judge_code(part, line, kind, ours.nominal)
        return Pass(part.ref)
    if cards_differ(part.value, line):
        return Fail((part.ref,), "differs", words)
    if texts_agree(part.value, line):
        return Pass(part.ref)
    if ours is not None:
        return _one_figure(part, line, kind, ours.nominal, words)
    return Fail((part.ref,), "named", words, severity=Severity.CAUTION)


def _one_figure(
    part: Part, line: BomLine, kind: str | None, value: float, words: dict[str, str]
) -> Verdict:
    """A figure in the circuit, a word or an order code in the BOM."""
    for code in (line.value, line.order_code):
        said = code_contradicts(code, kind, value) if kind in ("resistor", "capacitor") else None
        if said:
            return Fail(
                (part.ref,),
                "code",
                {**words, "code": code, "said": said},
                severity=Severity.CAUTION,
            )
    return Pass(part.ref)


def _judge_code(part: Part, line: BomLine, kind: str | None, value: float) -> Verdict:
    if kind not in ("resistor", "capacitor") or not line.order_code:
        return Pass(part.ref)
    said = code_contradicts(line.order_code, kind, value)
    if said is None:
        return Pass(part.ref)
    words = {
        "ours": shown(part.value),
        "theirs": shown(line.value),
        "code": line.order_code,
        "said": said,
    }
    return Fail((part.ref,), "code", words, severity=Severity.CAUTION)
