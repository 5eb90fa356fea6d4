"""Reference designators: their letters, and the order people expect."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from counterpoise.catalog.tables import section
from counterpoise.catalog.vocabulary import ROLES

_PIECES = re.compile(r"([0-9]+)")


def natural(ref: str) -> tuple[tuple[int, int, str], ...]:
    """A sort key that puts R2 before R10.

    Figures are compared by their count, then as text: a run of thousands of digits is no number.
    """
    return tuple(
        (0, len(figures := piece.lstrip("0")), figures)
        if piece.isdigit() and piece.isascii()
        else (1, 0, piece)
        for piece in _PIECES.split(ref)
        if piece
    )


@cache
def _classes() -> Mapping[str, tuple[str, ...]]:
    table = section("roles", "refdes")
    found: dict[str, tuple[str, ...]] = {}
    for letters in tuple(table.keys()):
        readings = table.texts(letters)
        for role in readings:
            if role not in ROLES:
                raise table.error(letters, f'unknown role "{role}"')
        found[letters] = readings
    return MappingProxyType(found)


def readings(ref: str) -> tuple[str, tuple[str, ...]]:
    """The class letters of a ref and the roles they stand for, the usual first; ("", ()) when the
    letters mean nothing to us. "USB-UART1" is read by its first word, "BT_LEFT1" likewise."""
    letters = re.match(r"[A-Za-z]+", ref)
    if letters is None or not re.search(r"\d|[_-]", ref[letters.end() :][:1] or "1"):
        return "", ()
    found = _classes().get(letters[0].upper())
    return (letters[0].upper(), found) if found else ("", ())
