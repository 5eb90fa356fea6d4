"""How a crystal is wired: its two ends, what hangs on each, and the chip that makes it swing."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from counterpoise.checks._parts import distinct, fact_firm, supply
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import manifest_line
from counterpoise.roles.wording import listed, plural

SLOW_BELOW_HZ = 1e6
"""Tuning forks swing at tens of kilohertz, AT-cut crystals above about one megahertz."""

PASSIVE = frozenset(
    (
        *("resistor", "resistor-array", "thermistor", "capacitor", "inductor", "ferrite", "fuse"),
        *("link", "test-point", "mechanical", "crystal", "resonator", "diode", "zener", "clamp"),
    )
)
SERIES = ("resistor", "inductor", "ferrite", "link")

USUAL_ORDER = "the usual pad order"
_NUMBERS = re.compile(r"[A-Za-z0-9]+")
_GROUND_PADS = re.compile(r"GND_?(\d{1,4})(?!\d)", re.I)
_CASE_NAMES = re.compile(r"(?:A|D)?GND|VSS|CASE|LID|COVER|SHIELD|NC|N\.C\.", re.I)


@dataclass(frozen=True, slots=True)
class Side:
    """One end of a crystal: ``net`` at its pad, ``beyond`` behind series parts, up to the chip.

    ``near`` are the capacitors from ``net`` to ground, ``far`` those behind the series parts,
    ``pins`` the chip's pins that the end leads to.
    """

    net: str
    beyond: tuple[str, ...]
    series: tuple[Part, ...]
    near: tuple[Part, ...]
    far: tuple[Part, ...]
    pins: tuple[Pin, ...]

    @property
    def capacitors(self) -> tuple[Part, ...]:
        """All load capacitors of this end."""
        return distinct((*self.near, *self.far))


@dataclass(frozen=True, slots=True)
class Clock:
    """A crystal in its circuit. ``chip`` is None where no end leads to one."""

    crystal: Part
    sides: tuple[Side, Side]
    chip: Part | None
    slow: bool

    @property
    def nets(self) -> tuple[str, str]:
        """The nets at both ends."""
        return self.sides[0].net, self.sides[1].net


def pads_need(crystal: Part) -> Need:
    """The need for the pads that carry the resonator."""
    return Need(
        f"the pads of {crystal.ref} that carry the resonator",
        manifest_line(crystal.ref, 'oscillator_pads = "1 3"'),
    )


def named_pads(pins: Iterable[Pin]) -> str:
    """ "pad 1", "pads 1 and 3"; "" for none."""
    numbers = dict.fromkeys(pin.number for pin in pins)
    return f"{plural(len(numbers), 'pad', 'pads')} {listed(numbers)}" if numbers else ""


def resonator_pads(board: Board, crystal: Part) -> tuple[frozenset[str], bool, str] | None:
    """The numbers of the two resonator pads, whether that is firm, and what says so.

    None where nothing tells them (five pads, odd names).
    """
    stated = board.text(crystal, "oscillator_pads")
    if stated:
        by_card = "oscillator_pads" not in _facts_stated(board, crystal)
        firm = fact_firm(board, crystal, "oscillator_pads")
        source = "its card" if by_card else "the manifest"
        return frozenset(_NUMBERS.findall(stated)), firm, source
    numbers = {pin.number for pin in crystal.pins}
    if len(numbers) == 2:
        return frozenset(numbers), True, "there being no others"
    ends = frozenset(numbers) - {p.number for p in crystal.pins if _CASE_NAMES.fullmatch(p.name)}
    if len(ends) == 2:
        return ends, True, "its pin names"
    symbol = _GROUND_PADS.search(crystal.symbol) or _GROUND_PADS.search(crystal.value)
    if symbol and len(numbers - set(symbol[1])) == 2:
        return frozenset(numbers - set(symbol[1])), True, "its symbol"
    if numbers == {"1", "2", "3", "4"} and not is_slow(board, crystal, ()):
        return frozenset({"1", "3"}), False, USUAL_ORDER
    return None


def _facts_stated(board: Board, part: Part) -> frozenset[str]:
    stated = board.manifest.parts.get(part.ref)
    return frozenset(stated.facts) if stated else frozenset()


def is_slow(board: Board, crystal: Part, pins: tuple[Pin, ...]) -> bool:
    """Whether it is a 32 kHz tuning fork: by its frequency, else by the chip's pins."""
    frequency = board.known(crystal, "frequency")
    if isinstance(frequency, Known):
        return frequency.value.high < SLOW_BELOW_HZ
    if any(board.function_of(pin).startswith("slow-oscillator") for pin in pins):
        return True
    return re.search(r"32[.,]?7\d\d|32\s*k", f"{crystal.value} {crystal.symbol}", re.I) is not None


def live_nets(board: Board, crystal: Part) -> tuple[str, ...]:
    """Its nets that are not ground and that another part is on."""
    return tuple(
        net
        for net in crystal.nets
        if not board.is_ground(net)
        and any(pin.ref != crystal.ref for pin in board.circuit.pins_on(net))
    )


def clock_of(board: Board, crystal: Part) -> Clock | None:
    """The crystal's circuit; None where its two ends cannot be told apart from its other pads."""
    ends = live_nets(board, crystal)
    if len(ends) != 2:
        known = resonator_pads(board, crystal)
        pads = known[0] if known else frozenset[str]()
        ends = tuple(dict.fromkeys(p.net for p in crystal.pins if p.number in pads and p.net))
        ends = tuple(net for net in ends if not board.is_ground(net))
    if len(ends) != 2:
        return None
    first = _side(board, crystal, ends[0], ends[1])
    second = _side(board, crystal, ends[1], ends[0])
    pins = (*first.pins, *second.pins)
    both = {p.ref for p in first.pins} & {p.ref for p in second.pins}
    refs = [p.ref for p in pins if p.ref in both] or [p.ref for p in pins]
    chip = board.circuit.part(refs[0]) if refs else None
    return Clock(crystal, (first, second), chip, is_slow(board, crystal, pins))


def chip_pins(board: Board, net: str, *without: str) -> tuple[Pin, ...]:
    """Pins on the net of fitted parts that are more than a passive."""
    fitted = {part.ref for part in board.on_net(net)}
    return tuple(
        pin
        for pin in board.circuit.pins_on(net)
        if pin.ref in fitted and pin.ref not in without and board.role(pin.ref).name not in PASSIVE
    )


def _side(board: Board, crystal: Part, end: str, other: str) -> Side:
    nets, series, pins = [end], list[Part](), chip_pins(board, end, crystal.ref)
    step = [end]
    # A resistor in series with the oscillator's output is common; one step more covers an inductor
    # beside it. A net with a chip pin is never left again: a feedback resistor starts there.
    for _ in range(2):
        if pins:
            break
        step, used = _onward(board, step, {*nets, other}, crystal.ref)
        nets += step
        series += used
        pins = tuple(pin for net in step for pin in chip_pins(board, net, crystal.ref))
    beyond = tuple(net for net in nets[1:] if not pins or chip_pins(board, net, crystal.ref))
    return Side(
        net=end,
        beyond=beyond,
        series=tuple(series),
        near=load_capacitors(board, end),
        far=tuple(c for net in beyond for c in load_capacitors(board, net)),
        pins=pins,
    )


def _onward(
    board: Board, nets: list[str], seen: set[str], crystal: str
) -> tuple[list[str], list[Part]]:
    found: list[str] = []
    used: list[Part] = []
    for net in nets:
        for part in board.on_net(net, *SERIES):
            onward = board.across(part, net)
            if onward is None or onward in seen or board.is_ground(onward) or part.ref == crystal:
                continue
            found.append(onward)
            used.append(part)
    return list(dict.fromkeys(found)), used


def load_capacitors(board: Board, net: str) -> tuple[Part, ...]:
    """Capacitors from the net to ground or to a supply, which is ground for the signal."""
    found = []
    for capacitor in board.on_net(net, "capacitor"):
        other = board.across(capacitor, net)
        if other is not None and (board.is_ground(other) or supply(board, other)):
            found.append(capacitor)
    return tuple(found)


def own_load(board: Board, clock: Clock) -> bool | None:
    """Whether the oscillator holds load capacitors of its own; None where nobody says."""
    if clock.chip is None:
        return None
    told = board.flag(clock.chip, own_load_key(board, clock))
    if told is None and not clock.slow:
        # Who states how much it holds has said that it holds some.
        inside = board.known(clock.chip, "internal_load_capacitance")
        return inside.value.high > 0 if isinstance(inside, Known) else None
    return told


def own_load_key(board: Board, clock: Clock) -> str:
    """The fact that says so: two oscillators of a chip differ; a clock chip has the slow one."""
    if not clock.slow or clock.chip is None:
        return "internal_load"
    if board.flag(clock.chip, "slow_internal_load") is not None:
        return "slow_internal_load"
    alone = not board.pins_for(clock.chip, "oscillator-in") and board.pins_for(
        clock.chip, "slow-oscillator-in"
    )
    return "internal_load" if alone else "slow_internal_load"


def own_load_firm(board: Board, clock: Clock) -> bool:
    """Whether what is known of that was read rather than recalled."""
    assert clock.chip is not None
    keys = [own_load_key(board, clock), *(() if clock.slow else ("internal_load_capacitance",))]
    return any(fact_firm(board, clock.chip, key) for key in keys)
