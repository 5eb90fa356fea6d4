"""Rows of a log made into what each says of two sets of pins."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.model.ringout import Log, LogRow, ReadingKind
from counterpoise.ringout.conductors import Conductor
from counterpoise.ringout.pins import Pins

COPPER_OHMS = 2.0
"""Ohms. Up to this a figure may be copper and the leads: common practice, no source."""

COPPER_VOLTS = 0.05
"""Volts. Up to this a diode range shows a short: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Beep:
    """Two pins that beep together. ``over`` is the part that both belong to, when it conducts.

    ``lifted`` are parts that were off the board; ``copper`` means that no part could be in play.
    """

    a: int
    b: int
    row: int
    lifted: frozenset[str] = frozenset()
    copper: bool = False
    over: Conductor | None = None

    def through(self, conductor: Conductor) -> bool:
        """Whether the beep could have come through that part."""
        return not self.copper and conductor.ref not in self.lifted


@dataclass(frozen=True, slots=True)
class Apart:
    """Every pin of ``a`` is on another net than every pin of ``b``."""

    a: int
    b: int
    row: int
    said: str
    lifted: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class SomeBeep:
    """Some pin of ``a`` beeps with some pin of ``b``; which, the sweep does not say."""

    a: int
    b: int
    row: LogRow


@dataclass(frozen=True, slots=True)
class Evidence:
    """A whole log. ``across`` are beeps over a single part's own pins, ``figures`` readings in ohms
    or volts that a known part should explain."""

    beeps: tuple[Beep, ...]
    across: tuple[Beep, ...]
    aparts: tuple[Apart, ...]
    some: tuple[SomeBeep, ...]
    figures: tuple[LogRow, ...]


@dataclass(frozen=True, slots=True)
class Bench:
    """How the readings were taken, beside what rows say: ``beep_below`` in ohms, parts ``lifted``
    throughout, ``bare`` when the whole board was."""

    beep_below: float = 50.0
    lifted: frozenset[str] = frozenset()
    bare: bool = False


def gather(log: Log, pins: Pins, parts: tuple[Conductor, ...], bench: Bench) -> Evidence:
    """What the rows say, sorted so that their order in the file changes nothing."""
    over = {place: part for part in parts for place in part.pins}
    beeps: list[Beep] = []
    across: list[Beep] = []
    aparts: list[Apart] = []
    some: list[SomeBeep] = []
    figures: list[LogRow] = []
    for row in sorted(log.rows, key=lambda each: each.row):
        a, b = pins.touched(row.first, row.second)
        lifted = row.lifted | bench.lifted
        if not a or not b:  # a part of one pin, swept against that pin
            continue
        if row.kind in (ReadingKind.OHMS, ReadingKind.DROP):
            figures.append(row)
        if parts_nets(row, bench) or _over_one_part(row, a, over):
            aparts.append(Apart(a, b, row.row, said(row), lifted))
        elif not joins(row, bench):
            continue
        elif row.first.swept or row.second.swept:
            some.append(SomeBeep(a, b, row))
        else:
            place, other = a.bit_length() - 1, b.bit_length() - 1
            copper = row.copper or bench.bare
            part = over.get(place)
            own = part if part is not None and other in part.pins else None
            beep = Beep(place, other, row.row, lifted, copper, own)
            (across if own is not None and beep.through(own) else beeps).append(beep)
    return Evidence(tuple(beeps), tuple(across), tuple(aparts), tuple(some), tuple(figures))


def _over_one_part(row: LogRow, a: int, over: dict[int, Conductor]) -> bool:
    """Whether a figure too high for copper was read over the pins of one conducting part."""
    high = row.kind is ReadingKind.OHMS and row.value > COPPER_OHMS
    return high and row.first.ref == row.second.ref and a.bit_length() - 1 in over


def joins(row: LogRow, bench: Bench) -> bool:
    """Whether a row says what copper would: a beep, next to no ohms or no drop."""
    if row.kind is ReadingKind.OHMS:
        return row.value <= min(COPPER_OHMS, bench.beep_below)
    return row.kind is ReadingKind.BEEP or (
        row.kind is ReadingKind.DROP and row.value <= COPPER_VOLTS
    )


def parts_nets(row: LogRow, bench: Bench) -> bool:
    """Whether a row says that no copper joins its pins."""
    if row.kind is ReadingKind.OHMS:
        return row.value > max(COPPER_OHMS, bench.beep_below)
    return row.kind is ReadingKind.OPEN or (
        row.kind is ReadingKind.DROP and row.value > COPPER_VOLTS
    )


def said(row: LogRow) -> str:
    """The reading in words: "open", "4.7 kohm", "0.62 V"."""
    if row.kind is ReadingKind.OHMS:
        for factor, unit in ((1e6, "Mohm"), (1e3, "kohm")):
            if row.value >= factor:
                return f"{row.value / factor:.4g} {unit}"
        return f"{row.value:.4g} ohm"
    return f"{row.value:.3g} V" if row.kind is ReadingKind.DROP else row.kind.value
