"""An LED's two ends: what each leads to, through which resistors."""

from __future__ import annotations

import re
from dataclasses import dataclass

from counterpoise.checks._parts import pins_firm, supply
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.roles.facts import manifest_line
from counterpoise.values.ranges import Range

STEPS = ("resistor", "link", "ferrite", "fuse")
_PASSIVE = frozenset((*STEPS, "capacitor", "test-point", "mechanical", "led", "inductor"))


@dataclass(frozen=True, slots=True)
class Level:
    """A ground or supply reached: its range, whether that is sure, whether parts (not a name
    alone) give it."""

    volts: Range
    firm: bool
    driven: bool


@dataclass(frozen=True, slots=True)
class End:
    """Where one end of an LED leads.

    ``level`` is the ground or supply reached, None where a pin drives it or nothing does; ``net``
    that net, else the end's own; ``pins`` the pins of further parts met on any of its ways;
    ``resistors`` the parts gone through on the way that counts.
    """

    level: Level | None
    net: str
    pins: tuple[Pin, ...]
    resistors: tuple[Part, ...]

    @property
    def grounded(self) -> bool:
        """Whether it leads to ground."""
        return self.level == _GROUND


_GROUND = Level(Range(0.0, 0.0), firm=True, driven=True)


def end_of(board: Board, part: Part, net: str, *, anode: bool) -> End:
    """Follow one end through resistors to ground, a supply, or the pins that drive it.

    Of several ways the one counts by which the LED may light: from an anode to the highest supply,
    else to a pin, and to ground last; from a cathode to ground, else to a pin, and to the lowest
    supply last.
    """
    ways: dict[str, tuple[Part, ...]] = {net: ()}
    levels: dict[str, Level] = {}
    driven: list[str] = []
    pins: list[Pin] = []
    todo = [net]
    for here in todo:
        level = _level(board, here)
        if level is not None:
            levels[here] = level
            continue
        met = _driving(board, part, here)
        pins += met
        driven += [here] if met else []
        if _ends_here(board, met, here, net):
            continue
        for step in board.on_net(here, *STEPS):
            other = board.across(step, here)
            # What lies beside the LED itself carries none of its current.
            if other is not None and other not in ways and other not in part.nets:
                ways[other] = (*ways[here], step)
                todo.append(other)
    ranked = sorted(levels, key=lambda name: levels[name].volts.high, reverse=anode)
    best = next(iter(ranked), None)
    if best is not None and (not driven or (levels[best] == _GROUND) is not anode):
        return End(levels[best], best, tuple(pins), ways[best])
    return End(None, net, tuple(pins), ways[driven[0]] if driven else ())


def _driving(board: Board, led: Part, net: str) -> list[Pin]:
    return [
        pin
        for pin in board.circuit.pins_on(net)
        if pin.ref != led.ref and board.role(pin.ref).name not in _PASSIVE
    ]


def _ends_here(board: Board, met: list[Pin], here: str, start: str) -> bool:
    """A pull resistor at a driving pin is not the way of the LED's current, nor is any other one on
    a rail, though its voltage is unknown."""
    supplied = any(board.function_of(pin) == "supply" for pin in met)
    return supplied or (bool(met) and here != start)


def _level(board: Board, net: str) -> Level | None:
    if board.is_ground(net):
        return _GROUND
    rail = supply(board, net)
    return Level(rail.volts, rail.firm, bool(rail.drivers)) if rail is not None else None


def poles(board: Board, part: Part) -> tuple[tuple[Pin, ...], tuple[Pin, ...], bool]:
    """Its anodes, its cathodes, and whether that is firm; both empty where unknown."""
    stated = board.text(part, "polarity") or ""
    match = re.search(r"cathode\W+([A-Za-z0-9]+)", stated, re.I)
    if match:
        cathodes = tuple(p for p in part.pins if p.number == match[1])
        anodes = tuple(p for p in part.pins if p.number != match[1])
        return anodes, cathodes, True
    anodes = board.pins_for(part, "anode", "plus")
    cathodes = board.pins_for(part, "cathode", "minus")
    firm = pins_firm(board, (*anodes, *cathodes))
    return anodes, cathodes, firm


def polarity_need(part: Part) -> Need:
    """The need for the pad that is the cathode."""
    return Need(
        f"which pad of {part.ref} is the cathode", manifest_line(part.ref, 'polarity = "cathode 1"')
    )
