"""Values that nobody can order: unreadable, doubtful, off the preferred series."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.checks._bill import bought_parts, key, lines_by_ref, shown
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import manifest_line
from counterpoise.roles.wording import amount, listed
from counterpoise.values.eseries import in_series, nearest, series_for
from counterpoise.values.partvalue import read_value

_KINDS = ("resistor", "capacitor", "inductor")
_UNITS = {"resistor": "Ω", "capacitor": "F", "inductor": "H"}


def _judged(board: Board) -> Iterator[tuple[Part, str]]:
    for part in bought_parts(board):
        role = board.role(part.ref)
        if role.name in _KINDS:
            yield part, role.name


def judge_readable(board: Board) -> Iterator[Verdict]:
    """The verdicts of ``bom-value-unreadable``: parts with the same text are one finding."""
    found: dict[tuple[str, str, str], list[Part]] = {}
    for part, kind in _judged(board):
        if isinstance(board.value(part), Known):
            yield Pass(part.ref)
            continue
        text = board.value_text(part)
        read = read_value(text, kind) if text else None
        meanings = ""
        if read is not None and read.doubtful:
            unit = _UNITS[kind]
            meanings = " or ".join(amount(v, unit) for v in (read.nominal, *read.doubtful))
        found.setdefault((kind if meanings else "", text, meanings), []).append(part)
    for (_, text, meanings), parts in found.items():
        refs = tuple(part.ref for part in parts)
        words = {
            "refs": listed(refs),
            "have": "have" if len(refs) > 1 else "has",
            "text": shown(text),
            "meanings": meanings,
        }
        firm = all(board.role(part.ref).firm for part in parts)
        yield Fail(refs, "doubtful" if meanings else "unreadable", words, firm=firm)


def judge_odd(board: Board) -> Iterator[Verdict]:
    """The verdicts of ``bom-odd-value``: parts with the same value are one finding."""
    found: dict[tuple[str, float, str], list[Part]] = {}
    unread: list[Part] = []
    for part, kind in _judged(board):
        value = board.value(part)
        if isinstance(value, Need):
            unread.append(part)
            continue
        nominal = value.value.middle
        tolerance = _tolerance(board, part, kind)
        if _usual(nominal, kind, tolerance):
            yield Pass(part.ref)
        else:
            series = series_for(tolerance) if tolerance and kind == "resistor" else "E24"
            found.setdefault((kind, nominal, series), []).append(part)
    for (kind, nominal, series), parts in found.items():
        refs = tuple(part.ref for part in parts)
        unit = _UNITS[kind]
        words = {
            "refs": listed(refs),
            "are": "are" if len(refs) > 1 else "is",
            "value": amount(nominal, unit),
            "near": amount(nearest(nominal, series), unit),
            "series": series,
        }
        yield Fail(refs, "odd", words)
    if unread and not found:
        need = Need(
            f"the value of {listed(p.ref for p in unread)}",
            manifest_line(unread[0].ref, 'value = "10k"') + ", or the drawing",
        )
        yield Unknown(unread[0].ref, (need,))


def _tolerance(board: Board, part: Part, kind: str) -> float | None:
    """The tolerance that any text of the part or its BOM line states, as a fraction."""
    texts = [board.value_text(part), *part.fields.values()]
    for line in lines_by_ref(board).get(key(part.ref), ()):
        texts += [line.value, *line.fields.values()]
    for text in texts:
        found = read_value(text, kind)
        if found is not None and found.tolerance is not None:
            return found.tolerance
    return None


def _usual(value: float, kind: str, tolerance: float | None) -> bool:
    """Whether such a part is sold: its series, and for small ones whole figures."""
    if kind == "resistor":
        # With no tolerance stated, 1 % parts are as usual as 5 % ones.
        return in_series(value, tolerance if tolerance is not None else 0.01)
    if in_series(value, 0.05):
        return True
    scale = 1e-12 if kind == "capacitor" else 1e-9
    figures = value / scale
    small = figures < 10 and abs(figures * 10 - round(figures * 10)) < 1e-6
    # Bulk capacitors and inductors are sold in 2.5, 4 and 5 too.
    return small or any(_power_of_ten(value / figure) for figure in (2.5, 4.0, 5.0))


def _power_of_ten(value: float) -> bool:
    from math import isclose, log10

    return isclose(log10(value), round(log10(value)), abs_tol=1e-9)
