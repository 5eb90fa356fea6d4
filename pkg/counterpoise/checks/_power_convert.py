"""Rules about regulators and converters: what they are fed, set to, and built with."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import (
    Fail,
    Limit,
    Measured,
    Pass,
    Severity,
    Unknown,
    Verdict,
)
from counterpoise.roles._rail_level import Level
from counterpoise.roles._rail_outputs import output_nets, setting
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import stating
from counterpoise.roles.paths import loads_on
from counterpoise.roles.rails import Rail
from counterpoise.roles.wording import amount, listed, span
from counterpoise.values.ranges import Range

_BIPOLAR = 0.8
"""Volts; a dropout of this size is a junction's and does not shrink with the load."""


def input_rail(board: Board, part: Part) -> Rail | Need:
    """The rail that feeds a converter: at its supply pin, else at its coil's far end."""
    nets = list(board.nets_for(part, "supply"))
    for node in board.nets_for(part, "switch-node") if not nets else ():
        nets += [n for coil in board.on_net(node, "inductor") if (n := board.across(coil, node))]
    if not nets:
        return Need(
            f"which pin of {part.ref} is its input",
            "a card for it in cards/*.toml, beside board.toml, with pins.supply",
        )
    return board.volts(nets[0])


def made_by(board: Board, part: Part) -> tuple[str, Level] | Need:
    """The output net of a converter and what it is set to."""
    outputs = output_nets(board, part)
    if not outputs:
        return Need(
            f"which pin of {part.ref} is its output",
            "a card for it in cards/*.toml, beside board.toml, with pins.output",
        )
    level = setting(board, part, outputs[0])
    return level if isinstance(level, Need) else (outputs[0], level)


# -- boost-overfed -------------------------------------------------------------------------------
def boost_overfed(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the highest input (V) of each step-up converter with the output it is set to."""
    for part in board.parts_as("boost"):
        if board.text(part, "overfed") == "regulates":
            yield Pass(part.ref)
            continue
        fed, made = input_rail(board, part), made_by(board, part)
        if isinstance(fed, Need) or isinstance(made, Need):
            yield Unknown(part.ref, tuple(x for x in (fed, made) if isinstance(x, Need)))
        else:
            yield _overfed(board, rule, part, fed, *made)


def _overfed(board: Board, rule: Rule, part: Part, fed: Rail, output: str, made: Level) -> Verdict:
    slack = rule.limit("slack").high
    if fed.volts.high <= made.volts.low + slack:
        return Pass(part.ref)
    if fed.volts.high <= made.volts.high + slack:
        need = Need(
            f"the output voltage of {part.ref} ({span(made.volts, 'V')})",
            stating(part.ref, "output", "3.3 V"),
        )
        return Unknown(part.ref, (need,))
    firm = fed.firm and made.firm and board.role(part.ref).firm
    exposed = [
        load.ref
        for load in loads_on(board, (output,))
        if isinstance(known := board.known(load, "supply"), Known)
        and known.value.high < fed.volts.high
    ]
    words = {
        "net": fed.net,
        "high": amount(fed.volts.high, "V"),
        "made": span(made.volts, "V"),
        "output": output,
        "because": fed.because,
        "loads": f" and {listed(exposed)} with it" if exposed else "",
    }
    return Fail(
        (part.ref,),
        "over",
        words,
        nets=(fed.net, output),
        measured=Measured(round(fed.volts.high, 3), "V"),
        limit=Limit(None, round(made.volts.high, 3), "V"),
        firm=firm,
        doubt="" if firm else "the input or the setting is not certain",
    )


# -- regulator-headroom --------------------------------------------------------------------------
def regulator_headroom(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Hold the lowest input less the dropout (V) against the output, and against what loads need.

    A regulator that follows its input near the end of the cell is sound while every load still
    works. The dropout of a MOS part shrinks in proportion to the stated load current.
    """
    for part in board.parts_as("regulator"):
        fed, made = input_rail(board, part), made_by(board, part)
        drop = _dropout(board, part)
        if isinstance(fed, Need) or isinstance(made, Need) or isinstance(drop, Need):
            needs = tuple(x for x in (fed, made, drop) if isinstance(x, Need))
            yield Unknown(part.ref, needs)
        else:
            yield _headroom(board, part, fed, made, drop)


def _dropout(board: Board, part: Part) -> Known | Need:
    known = board.known(part, "dropout")
    if isinstance(known, Need) or known.value.low >= _BIPOLAR:
        return known
    rated = board.known(part, "dropout_current")
    if isinstance(rated, Need):
        rated = board.known(part, "output_current")
    currents = [mode.peak_a or mode.current_a for mode in board.manifest.modes]
    if isinstance(rated, Need) or not currents or rated.value.low <= 0:
        return Known(Range(0.0, known.value.high), known.source, known.firm)
    share = min(1.0, max(currents) / rated.value.low)
    return Known(Range(0.0, known.value.high * share), known.source, known.firm and rated.firm)


def _headroom(board: Board, part: Part, fed: Rail, made: tuple[str, Level], drop: Known) -> Verdict:
    output, level = made
    worst = fed.volts.low - drop.value.high
    if worst >= level.volts.high - 1e-9:
        return Pass(part.ref)
    loads = loads_on(board, (output,))
    known = {load.ref: board.known(load, "supply") for load in loads}
    firm = fed.firm and level.firm and drop.firm and board.role(part.ref).firm
    least = [(k.value.low, ref) for ref, k in known.items() if isinstance(k, Known)]
    needs = tuple(k for k in known.values() if isinstance(k, Need))
    asked, who = max(least, default=(0.0, ""))
    best = fed.volts.low - drop.value.low
    if asked > best and best < level.volts.low:
        never = fed.volts.high - drop.value.low < asked
        words = {
            "net": fed.net,
            "low": amount(fed.volts.low, "V"),
            "drop": span(drop.value, "V"),
            "left": amount(worst, "V"),
            "made": span(level.volts, "V"),
            "who": who,
            "asked": amount(asked, "V"),
            "high": amount(fed.volts.high, "V"),
        }
        return Fail(
            (part.ref, who),
            "never" if never else "late",
            words,
            nets=(fed.net, output),
            measured=Measured(round(worst, 3), "V"),
            limit=Limit(asked, None, "V"),
            severity=None if never else Severity.CAUTION,
            firm=firm,
        )
    if needs or not loads:
        return Unknown(part.ref, needs or (_load_need(part, output),))
    if asked <= worst:
        return Pass(part.ref)
    if asked > best:
        setting_need = Need(f"the output voltage of {part.ref}", stating(part.ref, "output", "3 V"))
        return Unknown(part.ref, (setting_need,))
    mode = Need("the currents of the board's modes", 'board.toml: [modes.hold] current = "6 mA"')
    exact = Need(f"the dropout of {part.ref}", stating(part.ref, "dropout", "0.15 V"))
    return Unknown(part.ref, (exact if board.manifest.modes else mode,))


def _load_need(part: Part, output: str) -> Need:
    return Need(
        f"the least supply of what {part.ref} feeds on {output}",
        'board.toml: [parts.U7] supply = "1.8 V to 3.6 V" (the part it feeds)',
    )
