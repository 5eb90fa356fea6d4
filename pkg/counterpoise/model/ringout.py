"""A log of meter readings between pins, and what it says of the wiring."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

SWEPT = "*"
"""Stands for a pin's number when the probe was drawn along the whole part."""


class ReadingKind(Enum):
    """What the meter said."""

    BEEP = "beep"
    OPEN = "open"
    OHMS = "ohms"
    DROP = "diode drop"


@dataclass(frozen=True, slots=True, order=True)
class Lead:
    """Where a probe was held: a pin, or all pins of a part (number ``SWEPT``)."""

    ref: str
    number: str

    @property
    def swept(self) -> bool:
        """Whether the probe was drawn along the whole part."""
        return self.number == SWEPT

    def __str__(self) -> str:
        return f"{self.ref}.{self.number}"


@dataclass(frozen=True, slots=True)
class LogRow:
    """One reading. ``row`` is the line in the file, its head being line 1.

    ``value`` is in ohms or volts, 0 for beep and open. ``first`` is where the red lead was.
    ``lifted`` are parts that the note says were off the board; ``copper`` means that the note
    says the joint is known to be copper (bare board, track seen).
    """

    row: int
    first: Lead
    second: Lead
    kind: ReadingKind
    value: float = 0.0
    note: str = ""
    lifted: frozenset[str] = frozenset()
    copper: bool = False


@dataclass(frozen=True, slots=True)
class Log:
    """The readings in the order of the file; ``notes`` are doubts of reading it."""

    name: str
    rows: tuple[LogRow, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RingNet:
    """A recovered net of two pins or more, in natural order."""

    name: str
    pins: tuple[Lead, ...]


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Rows that cannot all be right; leaving any one out settles this one."""

    pins: tuple[Lead, ...]
    rows: tuple[int, ...]
    message: str


@dataclass(frozen=True, slots=True)
class Doubt:
    """Two places of which a reading does not say surely whether copper joins them."""

    a: Lead
    b: Lead
    message: str


@dataclass(frozen=True, slots=True)
class NextProbe:
    """A probe to take next, and what it would settle. ``lifted`` must be off the board for it."""

    start: Lead
    end: Lead
    why: str
    lifted: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Suspect:
    """A row that may be misread: ``shares`` of the contradictions run through it, and without it
    ``explains`` of them would be gone."""

    row: int
    shares: int
    explains: int


@dataclass(frozen=True, slots=True)
class Effort:
    """Readings taken against two yardsticks, both without sweeps: every pair of pins once, and the
    fewest that could prove k nets of n pins, k(k-1)/2 + n - k."""

    readings: int
    pins: int
    nets: int
    pairs: int
    floor: int


@dataclass(frozen=True, slots=True)
class Recovered:
    """What a log proves, what contradicts it, and what to probe next.

    ``untested`` counts the pairs of nets (a pin joined to nothing is a net of its own) that no
    reading holds apart. ``alone`` are the pins on no net. ``explained`` says which known part
    accounts for a reading in ohms or volts. ``following`` is one page of probes, ``more`` whether
    another comes after it.
    """

    log: str
    nets: tuple[RingNet, ...]
    alone: tuple[Lead, ...]
    contradictions: tuple[Contradiction, ...]
    suspects: tuple[Suspect, ...]
    doubtful: tuple[Doubt, ...]
    explained: tuple[str, ...]
    untested: int
    following: tuple[NextProbe, ...]
    page: int
    more: bool
    complete: bool
    effort: Effort
    notes: tuple[str, ...] = ()
