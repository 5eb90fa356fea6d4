"""Which inputs hang on a switch, and what pulls them when it is open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from counterpoise.catalog.rules import Rule
from counterpoise.checks._contacts import SWITCHES, terminals
from counterpoise.checks._parts import distinct, fact_firm, supply
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import manifest_line
from counterpoise.roles.wording import amount, listed

_READERS = ("radio", "radio-module", "controller", "chip", "logic")
_STEPS = ("resistor", "link", "ferrite")
_NOT_READ = ("reset", "enable", "supply", "output", "ground", "status")


@dataclass(frozen=True, slots=True)
class Input:
    """A chip's pin that a switch moves, and the resistors from its nets to ground or a supply:
    ``pulls`` against the switch, ``idle`` to the side that the switch leads to as well."""

    switch: Part
    pin: Pin
    nets: tuple[str, ...]
    pulls: tuple[Part, ...]
    idle: tuple[Part, ...]


def level(board: Board, net: str) -> bool:
    """Whether the net is ground or a supply."""
    return board.is_ground(net) or supply(board, net) is not None


def inputs(board: Board) -> Iterator[Input]:
    """One for each chip pin that a switch or encoder phase brings to ground or to a supply."""
    for switch in board.parts_as(*SWITCHES, "encoder"):
        nets = [net for side in terminals(board, switch) for n in side.nodes for net in sorted(n)]
        sides = {board.is_ground(net) for net in nets if level(board, net)}
        if not sides:
            continue
        for net in dict.fromkeys(nets):
            if not level(board, net):
                yield from _on(board, switch, net, sides)


def _on(board: Board, switch: Part, net: str, sides: set[bool]) -> Iterator[Input]:
    """The pins that read one net, through at most two series parts; ``sides`` tells whether the
    switch brings it to ground (True), to a supply (False)."""
    nets, pulls, idle = [net], list[Part](), list[Part]()
    depth = {net: 0}
    for here in nets:
        for part in board.on_net(here, *_STEPS):
            other = board.across(part, here)
            if other is None or other in depth:
                continue
            if level(board, other):
                (idle if sides == {board.is_ground(other)} else pulls).append(part)
            elif depth[here] < 2:
                depth[other] = depth[here] + 1
                nets.append(other)
    for here in nets:
        for pin in board.circuit.pins_on(here):
            if board.role(pin.ref).name in _READERS and board.function_of(pin) not in _NOT_READ:
                yield Input(switch, pin, tuple(nets), distinct(pulls), distinct(idle))


def judge_pulls(board: Board, rule: Rule) -> Iterator[Verdict]:
    """The verdicts of ``input-pull``: pulls by their value, missing ones grouped by chip."""
    bare: dict[str, list[Input]] = {}
    seen: set[tuple[str, str]] = set()
    for found in inputs(board):
        if (found.pin.ref, found.pin.number) in seen:
            continue
        seen.add((found.pin.ref, found.pin.number))
        if found.pulls:
            yield _judge_value(board, rule, found)
        elif any(_holds(board, rule, part) for part in found.idle):
            yield _judge_idle(found)
        else:
            bare.setdefault(found.pin.ref, []).append(found)
    for ref, items in bare.items():
        yield _judge_bare(board, ref, items)


def _holds(board: Board, rule: Rule, part: Part) -> bool:
    """Whether a resistor is known to be strong enough for a pull."""
    ohms = board.value(part)
    return isinstance(ohms, Known) and ohms.value.high <= rule.limit("pull").high


def _judge_idle(found: Input) -> Verdict:
    """Closed or open, the input is at one level: a pull inside the chip can hardly overcome it."""
    refs = tuple(part.ref for part in found.idle)
    words = {"pull": listed(refs), "pin": found.pin.label, "switch": found.switch.ref}
    return Fail((found.switch.ref, *refs), "idle", words, (found.nets[0],))


def _judge_bare(board: Board, ref: str, items: list[Input]) -> Verdict:
    chip = board.circuit.part(ref)
    said = (board.text(chip, "input_pulls") or "") if chip else ""
    switches = listed(dict.fromkeys(item.switch.ref for item in items))
    if said.startswith("internal"):
        return Pass(ref)
    if not said or chip is None:
        need = Need(
            f"whether {ref} pulls the inputs of {switches} itself",
            manifest_line(ref, 'input_pulls = "internal"'),
        )
        return Unknown(items[0].switch.ref, (need,))
    words = {"pins": listed(item.pin.label for item in items), "chip": ref, "switches": switches}
    subjects = tuple(dict.fromkeys(item.switch.ref for item in items))
    nets = tuple(item.nets[0] for item in items)
    return Fail(subjects, "none", words, nets, firm=fact_firm(board, chip, "input_pulls"))


def _judge_value(board: Board, rule: Rule, found: Input) -> Verdict:
    values = [board.value(part) for part in found.pulls]
    needs = tuple(value for value in values if isinstance(value, Need))
    if needs:
        return Unknown(found.switch.ref, needs)
    known = [value.value.low for value in values if isinstance(value, Known)]
    ohms, limit = min(known), rule.limit("pull")
    pull = found.pulls[known.index(ohms)]  # every value is known here
    ends = (*pull.nets, *found.switch.nets)
    volts = [rail.volts.high for net in ends if (rail := supply(board, net)) is not None]
    drawn = volts[0] / ohms if volts and ohms > 0 else None
    current = f", {amount(drawn, 'A')} while it is closed" if drawn is not None else ""
    words = {
        "pull": pull.ref,
        "value": amount(ohms, "Ω"),
        "pin": found.pin.label,
        "current": current,
        "low": amount(limit.low, "Ω"),
        "high": amount(limit.high, "Ω"),
    }
    case = "strong" if ohms < limit.low else "weak" if ohms > limit.high else ""
    if not case:
        return Pass(found.switch.ref)
    return Fail(
        (found.switch.ref, pull.ref),
        case,
        words,
        (found.nets[0],),
        measured=Measured(ohms, "Ω"),
        limit=Limit(limit.low, limit.high, "Ω"),
    )
