"""The planner followed to the end on known boards, and logs with readings turned over."""

from __future__ import annotations

import random
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.catalog.cards import all_cards
from counterpoise.model.circuit import Circuit, Part, Pin
from counterpoise.model.ringout import Log, LogRow, ReadingKind, Recovered
from counterpoise.readers._source import Source
from counterpoise.readers.netlist import read
from counterpoise.ringout.pins import Pins
from counterpoise.ringout.recover import recover
from counterpoise.ringout.simulate import Meter, ring_out

DEMO = Path(__file__).resolve().parents[2] / "fixtures/focus-paddle"
COILS = frozenset({"L1", "L2"})
PAGE = 4
PRECISION = 0.6
"""Of the rows read again because they were named first, so many must have been turned over."""


def _donor() -> Circuit:
    found = read(Source.of(DEMO / "donor/donor.net")).circuit
    assert found is not None
    return found


def _truth(circuit: Circuit) -> set[frozenset[str]]:
    return {
        frozenset(f"{pin.ref}.{pin.number}" for pin in net.pins)
        for net in circuit.nets.values()
        if len(net.pins) > 1
    }


def _found(recovered: Recovered) -> set[frozenset[str]]:
    return {frozenset(str(pin) for pin in net.pins) for net in recovered.nets}


@pytest.mark.parametrize("coils", [frozenset[str](), COILS], ids=["coils off", "coils beep"])
def test_the_donor_is_recovered(coils: frozenset[str]) -> None:
    donor = _donor()
    log, found = ring_out(Meter(donor, coils), all_cards())
    effort = found.effort
    sys.stdout.write(f"{effort.readings} readings; floor {effort.floor}, pairs {effort.pairs}\n")
    assert _found(found) == _truth(donor)
    assert found.untested == 0
    assert effort.readings == len(log.rows) < effort.floor < effort.pairs
    first = recover(log, donor, all_cards())
    assert first == found


def test_a_page_is_in_the_order_of_the_hand_and_pages_do_not_repeat() -> None:
    donor = _donor()
    pages = [recover(Log("x"), donor, all_cards(), page=n, probes=15).following for n in (1, 2, 3)]
    taken = [(each.start, each.end) for page in pages for each in page]
    assert len(taken) == len(set(taken)) == 45
    for page in pages:
        refs = [each.start.ref for each in page]
        runs = 1 + sum(a != b for a, b in pairwise(refs))
        assert runs == len(set(refs))


@st.composite
def _circuits(draw: st.DrawFn) -> Circuit:
    sizes = draw(st.lists(st.integers(1, 6), min_size=1, max_size=6))
    count = draw(st.integers(1, 8))
    parts = []
    for number, size in enumerate(sizes, 1):
        nets = draw(st.lists(st.integers(0, count), min_size=size, max_size=size))
        pins = (Pin(f"U{number}", str(n), f"N{net}" if net else None)
                for n, net in enumerate(nets, 1))  # fmt: skip
        parts.append(Part(f"U{number}", pins=tuple(pins)))
    return Circuit(tuple(parts))


@given(_circuits(), st.integers(1, 30))
def test_any_partition_is_recovered(circuit: Circuit, probes: int) -> None:
    _, found = ring_out(Meter(circuit), probes=probes)
    assert _found(found) == _truth(circuit)


@given(_circuits(), st.randoms(use_true_random=False))
def test_never_complete_with_a_pair_unmeasured(circuit: Circuit, rng: random.Random) -> None:
    """An independent count: every pair of pins reached by beeps or held apart by an open."""
    log, _ = ring_out(Meter(circuit), probes=7)
    rows = [row for row in log.rows if rng.random() < 0.9]
    found = recover(Log("x", tuple(rows)), circuit)
    assert found.complete == _every_pair_settled(circuit, rows)


def _every_pair_settled(circuit: Circuit, rows: list[LogRow]) -> bool:
    pins = Pins.of(circuit)
    count = len(pins)
    label = list(range(count))
    opens, sweeps = [], []
    for row in rows:
        a, b = pins.touched(row.first, row.second)
        pairs = [(i, j) for i in range(count) for j in range(count) if a >> i & 1 and b >> j & 1]
        if row.kind is ReadingKind.OPEN:
            opens += pairs
        elif row.first.swept or row.second.swept:
            sweeps.append(pairs)
        else:
            ((i, j),) = pairs
            label = [label[i] if each == label[j] else each for each in label]
    apart = {frozenset((label[i], label[j])) for i, j in opens}
    settled = all(
        label[i] == label[j] or frozenset((label[i], label[j])) in apart
        for i in range(count)
        for j in range(i)
    )
    found = all(any(label[i] == label[j] for i, j in pairs) for pairs in sweeps)
    return settled and found


def test_three_hundred_pins_are_recovered() -> None:
    rng = random.Random(3)
    parts = []
    for number in range(1, 41):
        size = rng.choice((2, 2, 2, 8, 24))
        pins = [Pin(f"U{number}", str(n), f"N{rng.randrange(60)}") for n in range(1, size + 1)]
        parts.append(Part(f"U{number}", pins=tuple(pins)))
    circuit = Circuit(tuple(parts))
    assert sum(len(part.pins) for part in parts) >= 250
    log, found = ring_out(Meter(circuit), probes=200)
    assert _found(found) == _truth(circuit)
    assert len(log.rows) < found.effort.pairs / 8


def _turned(row: LogRow) -> LogRow:
    kind = ReadingKind.OPEN if row.kind is ReadingKind.BEEP else ReadingKind.BEEP
    return replace(row, kind=kind)


@pytest.mark.parametrize("seed", range(3))
def test_contradictions_point_at_the_rows_turned_over(seed: int) -> None:
    """2 % of readings turned over, in a log that also holds pairs read at random.

    Every contradiction must hold such a row, whatever else; of the rows that are read again because
    they are named first, at least ``PRECISION`` must be such rows; and reading them again must lead
    to a log without contradictions.
    """
    rng = random.Random(seed)
    donor = _donor()
    meter = Meter(donor, COILS)
    log, _ = ring_out(meter, all_cards())
    leads = Pins.of(donor).leads
    pairs = [rng.sample(leads, 2) for _ in range(700)]
    extra = [
        meter.read(row, first, second, COILS)
        for row, (first, second) in enumerate(pairs, len(log.rows) + 2)
    ]
    right = {row.row: row for row in (*log.rows, *extra)}
    bad = set(rng.sample(sorted(right), len(right) // 50))
    rows = {row: _turned(each) if row in bad else each for row, each in right.items()}
    hits = misses = 0
    while True:
        found = recover(Log("x", tuple(rows.values())), donor, all_cards())
        if not found.contradictions:
            break
        wrong = {row for row in rows if rows[row].kind is not right[row].kind}
        assert all(wrong & set(each.rows) for each in found.contradictions)
        again = [s.row for s in found.suspects if s.shares > 1 and not _read(rows, s.row)][:PAGE]
        hits, misses = hits + len(wrong & {*again}), misses + len({*again} - wrong)
        # Two wrong beeps side by side hide each other: then the smallest contradiction is read again.
        again = again or [row for c in found.contradictions for row in c.rows
                          if not _read(rows, row)][:PAGE]  # fmt: skip
        rows |= {row: replace(right[row], note="read twice") for row in again}
    sys.stdout.write(f"{hits} of {hits + misses} rows read again were turned over, of {len(bad)}\n")
    assert hits / (hits + misses) >= PRECISION


def _read(rows: dict[int, LogRow], row: int) -> bool:
    return rows[row].note == "read twice"
