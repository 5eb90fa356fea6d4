"""What is known of a part, and what is not known yet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias, TypeVar

T = TypeVar("T")


@dataclass(frozen=True, slots=True, order=True)
class Need:
    """A fact that is missing, and where a person can state it.

    ``what`` reads after "needs": "the load capacitance of Y1". ``where`` is the line to add or the
    thing to do: 'board.toml: [parts.Y1] load = "9 pF"'. ``file`` marks a whole file that is missing.
    """

    what: str
    where: str
    file: bool = False


Fact: TypeAlias = T | Need
"""A value, or the need for one. Never None, never a quiet default."""


@dataclass(frozen=True, slots=True, order=True)
class Origin:
    """Where something was read: the file's name as the user gave it and a line counted from one."""

    file: str
    line: int


@dataclass(frozen=True, slots=True)
class Place:
    """A spot on the board as drawn: millimetres, y down, seen from the front; ``side`` is front or back."""

    x_mm: float
    y_mm: float
    side: str
