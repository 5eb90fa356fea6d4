"""An LED's two ends: what each leads to, through which resistors."""

from __future__ import annotations

import re
from dataclasses import dataclass

from counterpoise.checks._parts import manifest_line, pins_firm, supply
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.values.ranges import Range

STEPS = ("resistor", "link", "ferrite", "fuse")
ZERO_V = Range(0.0, 0.0)
_PASSIVE = frozenset((*STEPS, "capacitor", "test-point", "mechanical", "led", "inductor"))


@dataclass(frozen=True, slots=True)
class End:
    """Where one end of an LED leads.

    ``volts`` is the range of a ground or supply reached, None where a pin drives it; ``net`` that
    net, ``firm`` whether the range is sure, ``driven`` whether parts (not a name alone) give it;
    ``pins`` the pins of further parts met; ``resistors`` the parts gone through.
    """

    volts: Range | None
    net: str
    firm: bool
    driven: bool
    pins: tuple[Pin, ...]
    resistors: tuple[Part, ...]

    @property
    def grounded(self) -> bool:
        """Whether it leads to ground."""
        return self.volts is not None and self.volts.high == 0.0


def end_of(board: Board, part: Part, net: str) -> End:
    """Follow one end through resistors to ground, a supply, or the pins that drive it."""
    nets, resistors = [net], list[Part]()
    seen = {net}
    pins: list[Pin] = []
    for here in nets:
        settled = _level(board, here)
        if settled is not None:
            return End(settled[0], here, *settled[1:], tuple(pins), tuple(resistors))
        pins += [
            pin
            for pin in board.circuit.pins_on(here)
            if pin.ref != part.ref and board.role(pin.ref).name not in _PASSIVE
        ]
        if any(board.function_of(pin) == "supply" for pin in pins):
            break  # a rail, though of unknown voltage: its other resistors are not the LED's
        for step in board.on_net(here, *STEPS):
            other = board.across(step, here)
            # A pull resistor beside a driving pin is not the way of the LED's current.
            if other is not None and other not in seen and not (pins and len(nets) > 1):
                seen.add(other)
                nets.append(other)
                resistors.append(step)
    return End(None, net, True, True, tuple(pins), tuple(resistors))


def _level(board: Board, net: str) -> tuple[Range, bool, bool] | None:
    if board.is_ground(net):
        return ZERO_V, True, True
    rail = supply(board, net)
    return (rail.volts, rail.firm, bool(rail.drivers)) if rail is not None else None


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
