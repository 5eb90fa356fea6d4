"""Small words about parts that many checks share."""

from __future__ import annotations

from collections.abc import Iterable

from counterpoise.model.circuit import Part, Pin, PinKind
from counterpoise.roles.board import Board
from counterpoise.roles.rails import Rail


def distinct(parts: Iterable[Part]) -> tuple[Part, ...]:
    """The parts, each ref once, in order."""
    return tuple({part.ref: part for part in parts}.values())


def pin_firm(board: Board, pin: Pin) -> bool:
    """Whether a stop may rest on what the pin is taken for: stated, named, or on a card's pin table
    that was not recalled from memory."""
    evidence = board.function_evidence(pin)
    if evidence != "card":
        return evidence in ("manifest", "pins")
    card, part = board.card(pin.ref), board.circuit.part(pin.ref)
    assert card is not None
    assert part is not None
    spelt = pin.name.upper()
    if spelt and any(spelt == name.upper() for names in card.names.values() for name in names):
        return True
    tables = [p for p in card.packages if p.matches.search(part.footprint)] or [*card.packages]
    return bool(tables) and not tables[0].memory


def pins_firm(board: Board, pins: Iterable[Pin]) -> bool:
    """Whether that holds for all of them."""
    return all(pin_firm(board, pin) for pin in pins)


def fact_firm(board: Board, part: Part, key: str) -> bool:
    """Whether a text or truth value is stated, or stands on a card that was not recalled."""
    stated = board.manifest.parts.get(part.ref)
    if stated is not None and key in stated.facts:
        return True
    card = board.card(part.ref)
    if card is None:
        return False
    fact = card.facts_for(board.order_code(part.ref)).get(key)
    return fact is not None and not fact.memory


_PLUG_PINS = 12
_FIVE = frozenset({"5V", "+5V", "VSYS", "VUSB", "USB"})
_THREE = frozenset({"3V3", "+3V3", "3.3V", "3V3(OUT)", "3V3_OUT", "3V3_EN"})


def plugs_in(part: Part) -> bool:
    """Whether a part is by its pins a ready controller board on headers, with a regulator and
    capacitors of its own: a raw input, or a 5 V and a 3.3 V pin that its silk names by voltage.

    No chip names its pins so. Common practice, no source.
    """
    if len({pin.number for pin in part.pins}) < _PLUG_PINS:
        return False
    names = {pin.name.upper() for pin in part.pins}
    return "RAW" in names or bool(names & _FIVE and names & _THREE)


LEAST_SUPPLY_V = 0.5
_POWER = ("supply", "output", "plus", "cell", "vbus", "system", "rf-supply", "inner-supply")
_POWER_KINDS = (PinKind.POWER_IN, PinKind.POWER_OUT)


def supply(board: Board, net: str | None) -> Rail | None:
    """The rail of a net that is a supply all the time it is powered; None for ground and signals.

    A net behind a resistor has a range that begins at 0 V, as its load may pull it down; behind a
    small one the range does not tell, and the net is no supply for that either.
    """
    rail = board.volts(net)
    if not isinstance(rail, Rail) or rail.volts.low < LEAST_SUPPLY_V:
        return None
    return None if _behind_resistor(board, rail) else rail


def _powered(board: Board, net: str) -> bool:
    """Whether a pin on the net gives or takes a supply."""
    pins = board.circuit.pins_on(net)
    return any(board.function_of(p) in _POWER or p.kind in _POWER_KINDS for p in pins)


def _behind_resistor(board: Board, rail: Rail) -> bool:
    """Whether a net that is more of a supply feeds it through a resistor, or small ones in a row."""
    if _powered(board, rail.net):
        return False  # a supply of its own, though filtered
    nets = [rail.net]
    for here in nets:
        for resistor in board.on_net(here, "resistor"):
            other = board.across(resistor, here)
            source = board.volts(other) if other and not board.is_ground(other) else None
            if other is None or not isinstance(source, Rail) or source.drivers != rail.drivers:
                continue
            more = len(board.circuit.pins_on(other)) > len(board.circuit.pins_on(rail.net))
            if more or _powered(board, other):
                return True
            if other not in nets and source.volts.low >= LEAST_SUPPLY_V:
                nets.append(other)
    return False
