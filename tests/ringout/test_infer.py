"""Joins, separations, doubts and contradictions, on logs of a few rows."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

import boards
from counterpoise.catalog.cards import all_cards
from counterpoise.ringout.evidence import Bench
from counterpoise.ringout.recover import recover
from ringlogs import log, nets, partition, ring

CHIPS = """
U1 X QFN : 1=~ 2=~ 3=~
U2 Y QFN : 1=~ 2=~ 3=~
"""
COIL = CHIPS + "L1 4u7 - : ~ ~\nR1 10 - : ~ ~\nR2 10k 0603 : ~ ~\n"


def test_beeps_join_and_opens_hold_apart() -> None:
    found = ring(CHIPS, "U1.1 U2.1 beep\nU2.1 U2.2 beep\nU1.1 U1.* open\nU1.2 U1.3 open")
    assert nets(found) == partition("U1.1 U2.1 U2.2")
    assert not found.complete
    assert found.untested == 3  # U2.3 against the three others
    done = ring(
        CHIPS, "U1.1 U2.1 beep\nU2.1 U2.2 beep\nU1.1 U1.* open\nU1.2 U1.3 open\nU2.3 U1.* open"
    )
    assert done.complete
    assert not done.following
    assert (done.effort.nets, done.effort.floor, done.effort.pairs) == (4, 8, 15)


def test_one_unmeasured_pair_is_enough_to_be_incomplete() -> None:
    rows = [f"U1.{a} U2.{b} open" for a in (1, 2, 3) for b in (1, 2, 3)]
    rows += [f"U{u}.{a} U{u}.{b} open" for u in (1, 2) for a, b in ((1, 2), (1, 3), (2, 3))]
    assert ring(CHIPS, "\n".join(rows)).complete
    for left_out in range(len(rows)):
        found = ring(CHIPS, "\n".join(rows[:left_out] + rows[left_out + 1 :]))
        assert not found.complete
        assert found.untested == 1
        assert len(found.following) == 1


def test_both_readings_of_a_pair_name_their_two_rows() -> None:
    (only,) = ring(CHIPS, "U1.1 U2.1 beep\nU2.1 U1.1 open").contradictions
    assert only.rows == (2, 3)


def test_the_shortest_path_of_beeps_contradicts_an_open() -> None:
    found = ring(
        CHIPS,
        "U1.1 U1.2 beep\nU1.2 U1.3 beep\nU1.3 U2.1 beep\nU1.1 U2.1 beep\nU2.1 U2.2 beep\n"
        "U1.1 U2.2 open",
    )
    (only,) = found.contradictions
    assert only.rows == (5, 6, 7)
    assert [str(pin) for pin in only.pins] == ["U1.1", "U2.1", "U2.2"]


def test_the_row_that_explains_most_is_named_first() -> None:
    found = ring(
        CHIPS,
        "U1.1 U1.2 beep\nU2.1 U2.2 beep\nU1.1 U2.1 beep\nU1.2 U2.2 open\nU1.1 U2.2 open\n"
        "U1.2 U2.1 open",
    )
    assert [len(each.rows) for each in found.contradictions] == [3, 3, 4]
    assert (found.suspects[0].row, found.suspects[0].explains) == (4, 3)
    assert (str(found.following[0].start), str(found.following[0].end)) == ("U1.1", "U2.1")


def test_a_sweep_that_beeps_is_doubtful_until_a_single_pin_is_read() -> None:
    found = ring(CHIPS, "U1.1 U2.* beep")
    assert nets(found) == frozenset()
    assert [(str(d.a), str(d.b)) for d in found.doubtful] == [("U1.1", "U2.*")]
    assert {"U2.1", "U2.2", "U2.3"} <= {str(each.end) for each in found.following}
    assert not ring(CHIPS, "U1.1 U2.* beep\nU1.1 U2.2 beep").doubtful


def test_a_sweep_that_beeps_over_pins_held_apart_contradicts() -> None:
    text = "U1.1 U2.1 open\nU1.1 U2.2 open\nU1.1 U2.3 open\nU1.1 U2.* beep"
    (only,) = ring(CHIPS, text).contradictions
    assert only.rows == (2, 3, 4, 5)


@pytest.mark.parametrize("part", ["L1", "R1"])
def test_a_part_that_beeps_by_itself_joins_nothing(part: str) -> None:
    found = ring(COIL, f"{part}.1 U1.1 beep\n{part}.2 U1.2 beep\n{part}.1 {part}.2 beep")
    assert nets(found) == partition(f"{part}.1 U1.1", f"{part}.2 U1.2")
    assert (f"{part}.1", f"{part}.2") in [(str(d.a), str(d.b)) for d in found.doubtful]
    assert all(part in each.lifted for each in found.following)


def test_a_ring_through_a_coil_is_not_taken() -> None:
    """U1.1 and U1.2 beep through the coil; which of the three beeps did is not known."""
    found = ring(COIL, "L1.1 U1.1 beep\nL1.2 U1.2 beep\nU1.1 U1.2 beep")
    assert nets(found) == frozenset()
    assert not found.contradictions
    settled = ring(
        COIL, "L1.1 U1.1 beep L1 lifted\nL1.2 U1.2 beep L1 lifted\nU1.1 U1.2 beep\nL1.1 L1.2 beep"
    )
    assert nets(settled) == partition("L1.1 U1.1", "L1.2 U1.2")


def test_a_larger_resistor_does_not_beep_so_a_beep_over_it_joins() -> None:
    assert nets(ring(COIL, "R2.1 R2.2 beep")) == partition("R2.1 R2.2")
    beeps_high = ring(COIL, "R2.1 R2.2 beep", Bench(beep_below=20e3))
    assert nets(beeps_high) == frozenset()
    assert nets(ring(COIL, "L1.1 L1.2 beep", Bench(bare=True))) == partition("L1.1 L1.2")


def test_a_closed_contact_is_doubtful() -> None:
    found = ring("SW1 X SW_Push : ~ ~\nU1 X QFN : ~ ~ ~", "SW1.1 SW1.2 beep")
    assert nets(found) == frozenset()
    assert len(found.doubtful) == 1


def test_the_order_of_rows_changes_nothing() -> None:
    text = (
        "L1.1 U1.1 beep\nL1.2 U1.2 beep\nU1.1 U1.2 beep\nU2.* U1.3 beep\nR2.1 U2.1 beep\n"
        "R2.2 U2.2 beep\nU2.1 U2.2 10k\nU2.1 U2.* open\nR2.1 U2.2 beep\nU1.3 U2.3 open"
    )
    whole = log(COIL, text)
    parts = boards.circuit(COIL)
    first = recover(whole, parts, all_cards())
    rows = list(whole.rows)
    rng = random.Random(7)
    for _ in range(20):
        rng.shuffle(rows)
        assert recover(replace(whole, rows=tuple(rows)), parts, all_cards()) == first


DIVIDER = "R1 10k - : ~ ~\nR2 10k - : ~ ~\nR3 4k7 - : ~ ~\nD1 1N4148 - : 1/K=~ 2/A=~\n"
JOINED = "R1.2 R2.1 beep\nR1.1 R3.1 beep\nR2.2 R3.2 beep\n"


@pytest.mark.parametrize(
    ("rows", "good", "word"),
    [
        # Ohm's law by hand: 20 kohm beside 4.7 kohm is 3.806 kohm; 10 k beside 14.7 k is 5.951 k.
        (JOINED + "R3.1 R3.2 3k8", True, "R3"),
        (JOINED + "R1.1 R1.2 5k95", True, "R1"),
        (JOINED + "R1.1 R1.2 10k", False, "no more than"),
        (JOINED + "R3.1 R3.2 1k", False, "in parallel"),
        ("R1.2 R2.1 beep\nR1.1 R2.2 20k", True, "in series"),
        ("R1.1 R2.1 12k", False, "no known part"),
        ("D1.A D1.K 0.62V", True, "anode"),
        ("D1.K D1.A 0.62V", False, "other way round"),
    ],
)
def test_figures_are_held_against_the_parts(rows: str, good: bool, word: str) -> None:
    found = ring(DIVIDER, rows)
    said = found.explained if good else tuple(d.message for d in found.doubtful)
    assert len(said) == 1
    assert word in said[0]
    assert not found.contradictions


def test_a_figure_between_pins_that_beep_contradicts() -> None:
    (only,) = ring(DIVIDER, "R1.1 R2.1 beep\nR1.1 R2.1 4k7").contradictions
    assert only.rows == (2, 3)


def test_a_figure_between_copper_and_the_threshold_settles_nothing() -> None:
    found = ring(CHIPS, "U1.1 U2.1 20")
    assert found.untested == 15
    assert len(found.doubtful) == 1
