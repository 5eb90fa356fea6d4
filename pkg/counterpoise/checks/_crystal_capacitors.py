"""A crystal's two capacitors beside each other, and what they are made of."""

from __future__ import annotations

import re

from counterpoise.catalog.rules import Rule
from counterpoise.checks._crystals import Clock
from counterpoise.checks._parts import distinct
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.wording import amount, figure, refs
from counterpoise.values.partvalue import read_value

_CLASS_1 = re.compile(r"C[0O]G|NP[0O]")
_CLASS_2 = re.compile(r"(?<![A-Z0-9])[XYZ][5-8][PRSTUV](?![A-Z])|X[57]R|Y5V")


def judge_unequal(board: Board, rule: Rule, clock: Clock) -> Verdict:
    """The verdict of ``crystal-caps-unequal`` for one crystal."""
    sums = []
    for side in clock.sides:
        if not side.capacitors:
            return Skip(f"{clock.crystal.ref} has not a capacitor on both ends")
        values = [board.value(capacitor) for capacitor in side.capacitors]
        needs = tuple(value for value in values if isinstance(value, Need))
        if needs:
            return Unknown(clock.crystal.ref, needs)
        sums.append(sum(value.value.middle for value in values if isinstance(value, Known)))
    low, high = min(sums), max(sums)
    most = rule.limit("ratio").high
    if high <= low * most * (1 + 1e-9):
        return Pass(clock.crystal.ref)
    first, second = clock.sides
    ratio = high / low if low > 0 else None
    return Fail(
        (clock.crystal.ref, *(c.ref for c in (*first.capacitors, *second.capacitors))),
        "unequal",
        {
            "first": f"{amount(sums[0], 'F')} ({refs(first.capacitors)})",
            "second": f"{amount(sums[1], 'F')} ({refs(second.capacitors)})",
            "ratio": "many" if ratio is None else figure(ratio),
        },
        clock.nets,
        measured=None if ratio is None else Measured(round(ratio, 3), ""),
        limit=Limit(None, most, ""),
    )


def dielectric_of(board: Board, capacitor: Part) -> str | None:
    """Its dielectric as any of its texts or its BOM line's states it; None where none does."""
    texts = [capacitor.value, capacitor.description, *capacitor.fields.values()]
    bom = board.design.bom
    for line in bom.lines if bom else ():
        if capacitor.ref in line.refs:
            texts += [line.value, line.description, line.order_code, *line.fields.values()]
    for text in texts:
        found = read_value(text, "capacitor")
        if found is not None and found.dielectric is not None:
            return found.dielectric
        if _CLASS_1.search(text.upper()):
            return "C0G"
        second = _CLASS_2.search(text.upper())
        if second:
            return second[0]
    return None


def judge_dielectric(board: Board, clock: Clock) -> Verdict:
    """The verdict of ``crystal-dielectric``: one for all capacitors of a crystal."""
    capacitors = distinct((*clock.sides[0].capacitors, *clock.sides[1].capacitors))
    if not capacitors:
        return Skip(f"{clock.crystal.ref} has no load capacitors")
    found = {c.ref: dielectric_of(board, c) for c in capacitors}
    second = [c for c in capacitors if found[c.ref] not in (None, "C0G", "U2J")]
    if second:
        return Fail(
            (*(c.ref for c in second), clock.crystal.ref),
            "class-2",
            {
                "caps": refs(second),
                "crystal": clock.crystal.ref,
                "kind": str(found[second[0].ref]),
                "are": "are" if len(second) > 1 else "is",
            },
        )
    silent = [c for c in capacitors if found[c.ref] is None]
    if silent:
        need = Need(
            f"the dielectric of {refs(silent)}",
            'the value or the BOM: write "12pF C0G" or its code',
        )
        return Unknown(silent[0].ref, (need,))
    return Pass(capacitors[0].ref)
