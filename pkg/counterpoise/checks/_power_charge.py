"""How high a charger charges, and whether it knows how warm the cell is."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import (
    Fail,
    Limit,
    Measured,
    Pass,
    Severity,
    Skip,
    Unknown,
    Verdict,
)
from counterpoise.roles._rail_cells import count_of
from counterpoise.roles.board import Board
from counterpoise.roles.cells import Chemistry, capacity_of, chemistry_of
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import stating
from counterpoise.roles.paths import cell_ends, cell_of, nets_of, node, stated_cell
from counterpoise.roles.wording import amount, listed, span
from counterpoise.values.ranges import Range

_OPTIONS = 0.04
"""A float voltage spread wider than this lists a family's options; a narrower one a tolerance."""


# -- charge-voltage ------------------------------------------------------------------------------
def charge_voltage(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare each charger's float voltage (V) with the charge limit of the cell's chemistry."""
    for charger in board.parts_as("charger"):
        cell = cell_of(board, charger)
        chemistry = chemistry_of(board, cell)
        known = board.known(charger, "charge_voltage")
        needs = tuple(x for x in (chemistry, known) if isinstance(x, Need))
        if isinstance(chemistry, Need) or isinstance(known, Need):
            yield Unknown(charger.ref, needs)
        elif chemistry.primary:
            yield Skip("the cell must not be charged at all")
        else:
            yield _float_verdict(board, rule, charger, cell, chemistry, known)


def _float_verdict(
    board: Board, rule: Rule, charger: Part, cell: Part | None, chemistry: Chemistry, known: Known
) -> Verdict:
    cells = _in_row(board, cell)
    stated = board.manifest.cell.charge_voltage_v if stated_cell(board, cell) else None
    limit = rule.limits.get(chemistry.name)
    if stated is not None:
        most = stated * cells * (1 + rule.limit("tolerance").high)
        memory = False
    elif limit is not None:
        most, memory = limit.range.high * cells, limit.memory
    else:
        return _wrong_kind(board, charger, chemistry, known)
    volts = known.value
    if volts.middle and (volts.high - volts.low) / volts.middle <= _OPTIONS:
        volts = Range.of(volts.middle)
    doubt = _doubt(board, charger, chemistry, known)
    doubt = doubt or ("the limit is from memory" if memory else "")
    inside = volts.at_most(most)
    if inside is None:
        return Unknown(charger.ref, (_voltage_need(charger, known),))
    if inside:
        return _low_float(charger, volts, most, cells) or Pass(charger.ref)
    words = {"volts": span(volts, "V"), "allowed": amount(most, "V"), "chemistry": chemistry.name}
    return Fail(
        (charger.ref,),
        "over" if cells == 1 else "over-row",
        {**words, "cells": str(cells)},
        measured=Measured(round(volts.middle, 3), "V"),
        limit=Limit(None, round(most, 3), "V"),
        firm=not doubt,
        doubt=doubt,
    )


def _voltage_need(charger: Part, known: Known) -> Need:
    return Need(
        f"the float voltage of {charger.ref} ({span(known.value, 'V')} in its family)",
        stating(charger.ref, "charge_voltage", "4.2 V"),
    )


def _low_float(charger: Part, volts: Range, most: float, cells: int) -> Fail | None:
    if cells < 2 or volts.high > most * 0.8:
        return None
    words = {"volts": span(volts, "V"), "cells": str(cells), "allowed": amount(most, "V")}
    return Fail((charger.ref,), "series", words, severity=Severity.CAUTION)


def _wrong_kind(board: Board, charger: Part, chemistry: Chemistry, known: Known) -> Fail:
    words = {"volts": span(known.value, "V"), "chemistry": chemistry.name}
    doubt = _doubt(board, charger, chemistry, known)
    return Fail((charger.ref,), "kind", words, firm=not doubt, doubt=doubt)


def _doubt(board: Board, charger: Part, chemistry: Chemistry, known: Known) -> str:
    """What a judgement of the charger rests on where that is not certain, "" where it is."""
    role = board.role(charger.ref)
    if not role.firm:
        return f"taken for a charger: {role.because}"
    if not chemistry.firm:
        return f"the chemistry is guessed: {chemistry.because}"
    return "" if known.firm else f"its float voltage is from memory: {known.source}"


def _in_row(board: Board, cell: Part | None) -> int:
    """How many cells stand one behind the other, those inside one case counted too."""
    if cell is None:
        return board.manifest.cell.cells
    row = (cell, *_beyond(board, cell, 0), *_beyond(board, cell, 1))
    return sum(count_of(board, one) for one in row)


def _beyond(board: Board, cell: Part, end: int) -> list[Part]:
    """The cells past one end (0: positive) of a cell, one of those that stand side by side."""
    row = [cell]
    while True:
        further = [
            other
            for net in nets_of(cell_ends(board, row[-1])[end])
            for other in board.on_net(net, "cell")
            if other not in row and net in nets_of(cell_ends(board, other)[1 - end])
        ]
        if not further:
            return row[1:]
        row.append(further[0])


# -- charge-temperature --------------------------------------------------------------------------
def charge_temperature(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that a charger with a thermistor input has one, or that the cell is small enough to do
    without (capacity in Ah against the rule's limit)."""
    for charger in board.parts_as("charger"):
        pins = board.pins_for(charger, "thermistor")
        if pins:
            yield _thermistor(board, charger, pins[0])
        else:
            yield _no_thermistor(board, rule, charger)


def _thermistor(board: Board, charger: Part, pin: Pin) -> Verdict:
    words = {"pin": pin.label}
    nets = (pin.net,) if pin.net else ()
    others = [
        part
        for net in (node(board, pin.net) if pin.net else ())
        for part in board.on_net(net)
        if part.ref != charger.ref and board.role(part.ref).name not in ("capacitor", "test-point")
    ]
    if pin.net is not None and _grounded(board, pin.net):
        return Fail((charger.ref,), "grounded", words, nets)
    if not others:
        return Fail((charger.ref,), "open", words, nets)
    kinds = {board.role(part.ref).name for part in others}
    if kinds & {"thermistor", "cell", "connector"}:
        return Pass(charger.ref)
    if kinds <= {"resistor"}:
        fixed = listed(sorted({part.ref for part in others}))
        return Fail((charger.ref,), "fixed", {**words, "parts": fixed}, nets)
    who = listed(sorted({p.ref for p in others if board.role(p.ref).name != "resistor"}))
    need = Need(
        f"whether {who} on {pin.label} is the cell's thermistor",
        stating(who.split(" ")[0].rstrip(","), "role", "thermistor"),
    )
    return Unknown(charger.ref, (need,))


def _grounded(board: Board, net: str) -> bool:
    return any(board.is_ground(n) for n in node(board, net))


def _no_thermistor(board: Board, rule: Rule, charger: Part) -> Verdict:
    capacity = capacity_of(board, cell_of(board, charger))
    if isinstance(capacity, Need):
        return Unknown(charger.ref, (capacity,))
    most = rule.limit("unguarded-capacity").high
    if capacity <= most:
        return Pass(charger.ref)
    return Fail(
        (charger.ref,),
        "none",
        {"capacity": f"{capacity * 1e3:g} mAh", "most": f"{most * 1e3:g} mAh"},
        measured=Measured(round(capacity * 1e3, 3), "mAh"),
        limit=Limit(None, most * 1e3, "mAh"),
    )
