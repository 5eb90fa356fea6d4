"""Where current can go: from a cell through switches and guards to chargers, loads and sources."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board

ICS = (
    "radio",
    "radio-module",
    "controller",
    "sensor",
    "memory",
    "logic",
    "oscillator",
    "regulator",
    "boost",
    "buck",
    "buck-boost",
    "charger",
    "power-path",
    "chip",
)
"""Roles of parts that are fed by a supply pin."""

CONVERTERS = ("boost", "buck", "buck-boost")
SOURCES = ("regulator", *CONVERTERS)
"""Roles of parts that make a rail at their output pin."""

PLAIN = ("link", "ferrite", "fuse", "inductor", "slide-switch", "change-over-switch")
"""Parts that carry a supply current either way and drop next to nothing."""

_SENSE_OHM = 1.0
"""A resistor up to this many ohms in a supply line measures current; it does not limit it."""


@dataclass(frozen=True, slots=True)
class Reached:
    """A net that a walk came to: the refs passed on the way, and whether each step is certain."""

    net: str
    through: tuple[str, ...] = ()
    sure: bool = True


_FIRM = ("manifest", "card", "pins")
_STATED = re.compile(r"(?:pin )?(\S+) is (?:plus|positive|\+)", re.I)


def cell_ends(board: Board, cell: Part) -> tuple[tuple[Pin, ...], tuple[Pin, ...]]:
    """The cell's positive and negative pins where that is certain: stated, by card or by pin name.

    Which pad number is positive is no standard, so a number alone tells nothing.
    """
    stated = _STATED.fullmatch((board.text(cell, "polarity") or "").strip())
    if stated:
        plus = tuple(pin for pin in cell.pins if pin.number == stated[1])
        others = tuple(p for p in cell.pins if p not in plus and board.function_of(p) != "mount")
        return plus, others if len(others) == 1 else ()
    sure = [pin for pin in cell.pins if board.function_evidence(pin) in _FIRM]
    return (
        tuple(pin for pin in sure if board.function_of(pin) in ("plus", "cell")),
        tuple(pin for pin in sure if board.function_of(pin) in ("minus", "cell-negative")),
    )


def nets_of(pins: Iterable[Pin]) -> tuple[str, ...]:
    """The nets of some pins, each once."""
    return tuple(dict.fromkeys(pin.net for pin in pins if pin.net is not None))


def plus_nets(board: Board, cell: Part) -> tuple[str, ...]:
    """The nets of the cell's positive end; where no pin is known for it, every net but ground."""
    plus, minus = cell_ends(board, cell)
    if plus:
        return nets_of(plus)
    known = [n for n in board.nets_for(cell, "plus", "cell") if not board.is_ground(n)]
    if known:
        return tuple(known)
    negative = set(nets_of(minus))
    return tuple(n for n in cell.nets if not board.is_ground(n) and n not in negative)


def walk(board: Board, start: Iterable[str], *, transistors: bool = True) -> dict[str, Reached]:
    """Nets that current can reach either way from ``start`` without a diode in between: through
    switches, fuses, links, ferrites, coils, sense resistors, other cells in series and, if asked,
    the channels of transistors. Ground is never entered."""
    found: dict[str, Reached] = {}
    todo = [Reached(net) for net in start if not board.is_ground(net)]
    while todo:
        here = todo.pop(0)
        if here.net in found:
            continue
        found[here.net] = here
        for part in board.on_net(here.net):
            for net, sure in _onward(board, part, here.net, transistors):
                if net not in found and not board.is_ground(net):
                    todo.append(Reached(net, (*here.through, part.ref), here.sure and sure))
    return found


def _onward(board: Board, part: Part, net: str, transistors: bool) -> Iterator[tuple[str, bool]]:
    role = board.role(part.ref).name
    if role in PLAIN or role == "cell" or (role == "resistor" and _is_sense(board, part)):
        if len(part.nets) <= 4:
            yield from ((other, True) for other in part.nets if other != net)
    elif role == "transistor" and transistors:
        yield from _channel(board, part, net)


def _is_sense(board: Board, part: Part) -> bool:
    value = board.value(part)
    return not isinstance(value, Need) and value.value.high <= _SENSE_OHM


def _channel(board: Board, part: Part, net: str) -> Iterator[tuple[str, bool]]:
    channel = set(board.nets_for(part, "source", "drain"))
    if channel:
        if net in channel:
            yield from ((other, True) for other in sorted(channel - {net}))
    else:
        yield from ((other, False) for other in part.nets if other != net)


# -- chargers ------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Charging:
    """A charger whose cell pin reaches a cell, the parts in between, and how certain that is."""

    charger: Part
    through: tuple[str, ...]
    firm: bool


def chargers_of(board: Board, cell: Part) -> tuple[Charging, ...]:
    """The chargers whose output reaches the cell's positive end."""
    return board.once(f"chargers of {cell.ref}, {id(cell)}", lambda: _chargers_of(board, cell))


def _chargers_of(board: Board, cell: Part) -> tuple[Charging, ...]:
    found: dict[str, Charging] = {}
    for reached in walk(board, plus_nets(board, cell)).values():
        for charger in board.on_net(reached.net, "charger"):
            outputs = board.nets_for(charger, "cell")
            # Without a known output any pin but ground may be it: a charger, but not a firm one.
            if reached.net in outputs or not board.pins_for(charger, "cell"):
                firm = bool(outputs) and reached.sure and board.role(charger.ref).firm
                found.setdefault(charger.ref, Charging(charger, reached.through, firm))
    return tuple(found[ref] for ref in sorted(found))


def cell_of(board: Board, charger: Part) -> Part | None:
    """The cell that a charger's output reaches; the board's main cell before others."""
    reaching = [
        cell
        for cell in board.parts_as("cell")
        if any(c.charger.ref == charger.ref for c in chargers_of(board, cell))
    ]
    if board.cell in reaching:
        return board.cell
    return reaching[0] if reaching else None


def maybe_chargers(board: Board) -> tuple[Part, ...]:
    """Chips of unknown purpose that join ground, a cell without a known charger and a supply from
    outside: each may be its charger, or a switch between the two."""
    return board.once("maybe chargers", lambda: tuple(_maybe_chargers(board)))


def _maybe_chargers(board: Board) -> Iterator[Part]:
    outside: set[str] = set()
    for socket in board.parts_as("usb-connector"):
        for net in board.nets_for(socket, "vbus"):
            outside |= board.reach(net, "diode", *PLAIN)
    outside -= board.grounds
    seen: set[str] = set()
    for cell in board.parts_as("cell"):
        near = set() if chargers_of(board, cell) else set(walk(board, plus_nets(board, cell)))
        for part in (p for net in sorted(near - outside) for p in board.on_net(net)):
            if part.ref in seen or board.role(part.ref).name not in ("chip", "unknown"):
                continue
            if outside & set(part.nets) and board.grounds & set(part.nets):
                seen.add(part.ref)
                yield part


def stated_cell(board: Board, cell: Part | None) -> bool:
    """Whether the manifest's [cell] table speaks of this cell (None: a cell off the board)."""
    ref = board.manifest.cell.ref
    return ref is None or cell is None or ref == cell.ref


# -- capacitors ----------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Bypass:
    """Capacitors between nets: their nominal sum in farads, who they are, whose value is unread."""

    farads: float
    parts: tuple[Part, ...]
    unread: Mapping[str, Need]

    @property
    def firm(self) -> bool:
        """Whether every value was read."""
        return not self.unread


def bypass(board: Board, nets: Iterable[str], ends: Iterable[str] | None = None) -> Bypass:
    """The capacitors from ``nets`` to ground, or to the nets ``ends``, each counted once."""
    wanted = frozenset(ends) if ends is not None else None
    parts: dict[str, Part] = {}
    for net in nets:
        if wanted is None:
            found: Iterable[Part] = board.to_ground(net, "capacitor")
        else:
            found = (p for end in wanted for p in board.between(net, end, "capacitor"))
        parts.update((part.ref, part) for part in found)
    total, unread = 0.0, {}
    for ref, part in parts.items():
        value = board.value(part)
        if isinstance(value, Need):
            unread[ref] = value
        else:
            total += value.value.middle
    return Bypass(total, tuple(parts[ref] for ref in sorted(parts)), unread)


def node(board: Board, net: str) -> frozenset[str]:
    """A net with all that links and ferrites make one node with it."""
    return board.same_node(net) | {net}


# -- loads ---------------------------------------------------------------------------------------
_NAMED = re.compile(
    r"(?:^|[^0-9A-Za-z])\+?(\d{1,2})(?:V(\d{1,3})|\.(\d{1,3})\s?V|V)(?![0-9])", re.I
)


def marked_volts(net: str) -> float | None:
    """The voltage that a rail's name speaks of: "+3V3" and "VDD_3.3V" 3.3, "+5V" 5; else None."""
    match = _NAMED.search(net)
    if not match:
        return None
    return float(f"{match[1]}.{match[2] or match[3] or '0'}")


def loads_on(board: Board, nets: Iterable[str]) -> tuple[Part, ...]:
    """Parts that take their supply from one of the nets."""
    wanted = frozenset(nets)
    found: dict[str, Part] = {}
    for net in sorted(wanted):
        for part in board.on_net(net, *ICS, "addressable-led"):
            if wanted & set(board.nets_for(part, "supply")):
                found[part.ref] = part
    return tuple(found[ref] for ref in sorted(found))
