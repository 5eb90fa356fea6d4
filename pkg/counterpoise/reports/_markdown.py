"""Markdown that a board's text cannot break out of."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from counterpoise.reports._plain import plain

_SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|~!&])")


def cell(text: str) -> str:
    """Text for a table cell or a line: control characters spelt out, markup escaped."""
    return _SPECIAL.sub(r"\\\1", plain(text))


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Lines of a table; every cell is escaped."""
    lines = [f"| {' | '.join(heads)} |", f"|{'---|' * len(heads)}"]
    lines += [f"| {' | '.join(cell(text) for text in row)} |" for row in rows]
    return lines
