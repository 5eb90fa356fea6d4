"""Crystals: load, capacitors, pads, start-up, and the radio's frequency budget."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._clock_budget import judge_budget, judge_frequency, judge_start
from counterpoise.checks._crystal_capacitors import judge_dielectric, judge_unequal
from counterpoise.checks._crystal_load import judge_load
from counterpoise.checks._crystal_pads import judge_pads
from counterpoise.checks._crystals import (
    Clock,
    clock_of,
    own_load,
    own_load_firm,
    pads_need,
)
from counterpoise.checks._resonators import has_three_pads, judge_three
from counterpoise.model.circuit import Part
from counterpoise.model.verdicts import Fail, Pass, Severity, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.wording import listed, plural, refs


def crystal_load(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the load each crystal sees with the load it was cut for.

    Seen: C1·C2/(C1 + C2) + Cs in farads, and what the chip holds itself. Judged by the frequency
    error in ppm where motional and shunt capacitance are known, else by the difference in farads.
    The stray Cs is a range: a result that straddles the limit cannot be judged until it is stated.
    """
    for crystal in board.parts_as("crystal"):
        clock = clock_of(board, crystal)
        if clock is None:
            yield Unknown(crystal.ref, (pads_need(crystal),))
        else:
            yield judge_load(board, rule, clock)


def crystal_caps_missing(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for a capacitor to ground on both ends of each crystal.

    Stops where the chip's oscillator is known to have none of its own; cautions where that is
    unknown.
    """
    for crystal in board.parts_as("crystal"):
        clock = clock_of(board, crystal)
        if clock is None:
            yield Unknown(crystal.ref, (pads_need(crystal),))
            continue
        bare = [side.net for side in clock.sides if not side.capacitors]
        own = own_load(board, clock)
        if clock.chip is None and bare:
            yield Skip(f"no end of {crystal.ref} leads to a chip, which is another rule's finding")
        elif own or not bare:
            yield Pass(crystal.ref)
        else:
            yield _caps_missing(board, clock, bare, own)


def _caps_missing(board: Board, clock: Clock, bare: list[str], own: bool | None) -> Fail:
    crystal, chip = clock.crystal, clock.chip
    assert chip is not None
    doubts = [] if board.role(crystal.ref).firm else [board.role(crystal.ref).because]
    if own is False and not own_load_firm(board, clock):
        doubts.append(f"that {chip.ref} has none is from memory")
    unfitted = _unfitted_capacitors(board, bare)
    drawn = plural(len(unfitted), "is", "are")
    case = "needed" if own is False else "unsure"
    return Fail(
        subjects=(crystal.ref,),
        case=f"{case}-one" if len(bare) == 1 else case,
        words={
            "chip": chip.ref,
            "nets": listed(f'"{net}"' for net in bare),
            "drawn": f"; {refs(unfitted)} {drawn} drawn but not fitted" if unfitted else "",
        },
        nets=tuple(bare),
        severity=None if own is False else Severity.CAUTION,
        firm=not doubts,
        doubt="; ".join(doubts),
    )


def _unfitted_capacitors(board: Board, nets: list[str]) -> list[Part]:
    fitted = {part.ref for part in board.parts}
    return [
        part
        for part in board.circuit.parts
        if part.ref not in fitted
        and board.role(part.ref).name == "capacitor"
        and set(nets) & set(part.nets)
    ]


def crystal_pads(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that the two resonator pads, and not the case pads, carry the oscillator's nets."""
    for part in board.parts_as("crystal", "resonator"):
        if has_three_pads(board, part):
            yield judge_three(board, part)
        elif board.role(part.ref).name == "crystal" or len({p.number for p in part.pins}) == 2:
            yield judge_pads(board, rule, part)


def _clocks(board: Board) -> Iterator[Clock]:
    for crystal in board.parts_as("crystal"):
        clock = clock_of(board, crystal)
        if clock is not None:
            yield clock


def crystal_caps_unequal(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the two ends' capacitances of each crystal by their ratio."""
    for clock in _clocks(board):
        yield judge_unequal(board, rule, clock)


def crystal_dielectric(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for class 2 ceramics among the load capacitors, by value, BOM and order code."""
    for clock in _clocks(board):
        yield judge_dielectric(board, clock)


def crystal_frequency(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare each crystal's marked frequency in hertz with what its chip asks for."""
    for clock in _clocks(board):
        yield judge_frequency(board, rule, clock)


def radio_frequency_error(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Add tolerance, temperature, a year's ageing and the load's error in ppm, worst case, and hold
    the sum against the radio's budget."""
    for clock in _clocks(board):
        yield judge_budget(board, rule, clock)


def crystal_start_margin(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Divide the oscillator's transconductance by the least that starts the crystal.

    gm / (4·(ESR + Rext)·(2·pi·f)²·(C0 + CL)²), judged where all of these are known.
    """
    for clock in _clocks(board):
        yield judge_start(board, rule, clock)
