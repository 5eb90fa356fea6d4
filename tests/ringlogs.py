"""Logs written so that a person can read them, and what comes of them."""

from __future__ import annotations

import boards
from counterpoise.catalog.cards import all_cards
from counterpoise.model.ringout import Log, Recovered
from counterpoise.readers._source import Source
from counterpoise.readers.ringout import read
from counterpoise.ringout.evidence import Bench
from counterpoise.ringout.recover import recover

Partition = frozenset[frozenset[str]]


def log(parts: str, text: str) -> Log:
    """One reading a line: "U1.1 U2.3 beep note"; the first is on row 2."""
    rows = [line.split(None, 3) for line in text.strip().splitlines()]
    table = "\n".join(",".join(row) for row in rows)
    source = Source("log.csv", f"from,to,reading,note\n{table}\n".encode())
    return read(source, boards.circuit(parts))


def ring(parts: str, text: str, bench: Bench | None = None) -> Recovered:
    return recover(log(parts, text), boards.circuit(parts), all_cards(), bench=bench)


def nets(found: Recovered) -> Partition:
    return frozenset(frozenset(str(pin) for pin in net.pins) for net in found.nets)


def partition(*groups: str) -> Partition:
    return frozenset(frozenset(group.split()) for group in groups)
