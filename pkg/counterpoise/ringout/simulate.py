"""A board that answers probes, to try the planner and the inference on known wiring."""

from __future__ import annotations

from dataclasses import dataclass, field

from counterpoise.catalog.cards import Card
from counterpoise.model.circuit import Circuit
from counterpoise.model.ringout import Lead, Log, LogRow, NextProbe, ReadingKind, Recovered
from counterpoise.ringout.evidence import Bench
from counterpoise.ringout.pins import Groups, Pins, bits
from counterpoise.ringout.recover import recover


@dataclass
class Meter:
    """A meter on a board whose wiring is ``truth``; the parts ``conducting`` beep by themselves."""

    truth: Circuit
    conducting: frozenset[str] = frozenset()
    _pins: Pins = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._pins = Pins.of(self.truth)

    def read(self, row: int, first: Lead, second: Lead, lifted: frozenset[str]) -> LogRow:
        """The row that a careful hand would write for a probe."""
        groups = self._joined(self.conducting - lifted)
        a, b = self._pins.touched(first, second)
        beeps = any(groups.same(pin, other) for pin in bits(a) for other in bits(b))
        kind = ReadingKind.BEEP if beeps else ReadingKind.OPEN
        note = f"{', '.join(sorted(lifted))} lifted" if lifted else ""
        return LogRow(row, first, second, kind, note=note, lifted=lifted)

    def _joined(self, conducting: frozenset[str]) -> Groups:
        by_net: dict[str, int] = {}
        groups = Groups(len(self._pins))
        for place, pin in enumerate(self._pins.pins):
            if pin.net is not None:
                groups.join(place, by_net.setdefault(pin.net, place))
        for ref in conducting:
            places = list(bits(self._pins.of_part[ref]))
            for place in places[1:]:
                groups.join(places[0], place)
        return groups


def ring_out(
    meter: Meter,
    cards: tuple[Card, ...] = (),
    *,
    bench: Bench | None = None,
    probes: int = 20,
    limit: int = 5_000,
) -> tuple[Log, Recovered]:
    """Follow the planner page by page until it calls the netlist complete.

    Raises:
        RuntimeError: it offers nothing more, or ``limit`` readings did not suffice.
    """
    rows: list[LogRow] = []
    while True:
        log = Log("simulated", tuple(rows))
        found = recover(log, meter.truth, cards, bench=bench, probes=probes)
        if found.complete:
            return log, found
        if not found.following or len(rows) > limit:
            raise RuntimeError(f"not complete after {len(rows)} readings")
        start = len(rows) + 2  # the head of a file is line 1
        rows += [_answer(meter, start + n, each) for n, each in enumerate(found.following)]


def _answer(meter: Meter, row: int, probe: NextProbe) -> LogRow:
    return meter.read(row, probe.start, probe.end, frozenset(probe.lifted))
