"""Lines for board.toml taken out of the needs that rules report."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from counterpoise.model.facts import Need
from counterpoise.readers._source import InputError
from counterpoise.readers.manifest import parse

_STRING = r'"(?:[^"\\]|\\.)*"'
_PLACE = re.compile(rf"board\.toml: (\[(?:[^\]\"\n]|{_STRING})+\]) ")
_PAIR = re.compile(rf"(?:, )?([a-z_]+) = ({_STRING}|true|false|[0-9.]+|\{{[^{{}}\n]*\}})")


@dataclass(frozen=True, slots=True)
class Line:
    """One key with an example value as TOML; ``table`` is board, cell, limits, parts …, ``ref`` the
    part of a [parts] table, ``where`` the need's own words."""

    key: str
    value: str
    remark: str = ""
    table: str = ""
    ref: str = ""
    where: str = ""

    @property
    def toml(self) -> str:
        """The line as it stands in the manifest."""
        return f"{self.key} = {self.value}"


def quoted(text: str) -> str:
    """A text as a TOML basic string on one line, whatever characters it holds."""
    return '"' + "".join(_escaped(c) for c in text) + '"'


def _escaped(character: str) -> str:
    if character in '"\\':
        return "\\" + character
    code = ord(character)
    if character.isprintable():
        return character
    if 0xD800 <= code <= 0xDFFF:  # TOML holds no lone surrogate
        return "?"
    return f"\\u{code:04X}" if code < 0x10000 else f"\\U{code:08X}"


def ready_lines(needs: Iterable[Need]) -> Iterator[Line]:
    """Every line that a need holds ready and that the manifest's reader accepts as it stands."""
    for need in needs:
        place = _PLACE.match(need.where)
        if place is None:
            continue
        at = place.end()
        while pair := _PAIR.match(need.where, at):
            at = pair.end()
            line = _accepted(place[1], pair[1], pair[2], need.where)
            if line is not None:
                yield line


def _accepted(header: str, key: str, value: str, where: str) -> Line | None:
    """The line, None when it is an outline of one only ("…") or would be refused."""
    if "…" in value:
        return None
    try:
        told = parse(f"{header}\n{key} = {value}\n")
    except InputError:
        return None
    table = header.strip("[]").partition(".")[0].strip()
    ref = next(iter(told.parts), "")
    return Line(key, value, table=table, ref=ref, where=where)
