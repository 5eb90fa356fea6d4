"""Single faults of supplies, converters and clocks that leave a sibling pin or part as it was."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.model.circuit import Part, Pin
from counterpoise.roles.board import Board
from faults import Fault, Kind, fault, rewired

SUPPLY: dict[str, Kind] = {}
_FIRM = ("manifest", "card", "pins")
_PADS = ("EP", "EPAD", "PAD", "TAB", "EXP")


def kind(function: Kind) -> Kind:
    SUPPLY[function.__name__] = function
    return function


def _sibling_grounds(board: Board) -> Iterator[tuple[Part, Pin]]:
    """The last of several ground pins of a chip, known by name or card, that is no exposed pad."""
    for part in board.parts_as("radio", "controller", "charger", "chip", "boost", "buck-boost"):
        pins = [
            pin
            for pin in board.pins_for(part, "ground")
            if board.function_evidence(pin) in _FIRM and board.is_ground(pin.net)
        ]
        plain = [pin for pin in pins if pin.name.upper() not in _PADS]
        if len({pin.number for pin in pins}) > 1 and plain:
            yield part, plain[-1]


@kind
def one_ground_pin_on_a_supply(board: Board) -> Iterator[Fault]:
    for part, pin in _sibling_grounds(board):
        supplies = [n for n in board.nets_for(part, "supply") if not board.is_ground(n)]
        if supplies:
            made = rewired(board, {(part.ref, pin.number): supplies[0]})
            rules = "supply-pin-open"
            yield fault(board, "one_ground_pin_on_a_supply", pin.label, made, rules, part.ref)


@kind
def one_ground_pin_left_open(board: Board) -> Iterator[Fault]:
    for part, pin in _sibling_grounds(board):
        made = rewired(board, {(part.ref, pin.number): None})
        rules = "supply-pin-open"
        yield fault(board, "one_ground_pin_left_open", pin.label, made, rules, part.ref)


@kind
def radio_part_without_supply(board: Board) -> Iterator[Fault]:
    """The pins that feed the radio's RF part, or an inner regulator's node, on no net."""
    for part in board.parts_as("radio"):
        for pin in board.pins_for(part, "rf-supply", "bypass", "inner-supply"):
            if pin.net is not None and board.function_evidence(pin) in _FIRM:
                made = rewired(board, {(part.ref, pin.number): None})
                rules = "supply-pin-open card-needs"
                yield fault(board, "radio_part_without_supply", pin.label, made, rules, part.ref)
