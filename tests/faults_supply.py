"""Single faults of supplies, converters and clocks that leave a sibling pin or part as it was."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.model.circuit import Part, Pin
from counterpoise.model.design import Design
from counterpoise.roles.board import Board
from faults import Fault, Kind, fault, rewired, with_part

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


# -- converters ----------------------------------------------------------------------------------
def _coils(board: Board) -> Iterator[tuple[Part, Part]]:
    """Converters by role, with the coil of two pads at their switching node."""
    for part in board.parts_as("boost", "buck", "buck-boost"):
        for net in board.nets_for(part, "switch-node"):
            for coil in board.on_net(net, "inductor"):
                if len(coil.pins) == 2 and len(coil.nets) == 2:
                    yield part, coil


@kind
def coil_left_out(board: Board) -> Iterator[Fault]:
    for part, coil in _coils(board):
        made = with_part(board, coil.ref, None)
        rules = "converter-inductor"
        yield fault(board, "coil_left_out", coil.ref, made, rules, part.ref)


@kind
def coil_open_at_one_end(board: Board) -> Iterator[Fault]:
    for part, coil in _coils(board):
        for pin in coil.pins:
            made = rewired(board, {(coil.ref, pin.number): None})
            rules = "converter-inductor"
            yield fault(board, "coil_open_at_one_end", pin.label, made, rules, coil.ref, part.ref)


@kind
def coil_shorted(board: Board) -> Iterator[Fault]:
    """Both of its ends on the switching node."""
    for part, coil in _coils(board):
        node = next(n for n in coil.nets if n in board.nets_for(part, "switch-node"))
        made = rewired(board, {(coil.ref, pin.number): node for pin in coil.pins})
        rules = "converter-inductor"
        yield fault(board, "coil_shorted", coil.ref, made, rules, coil.ref)


def _makers(board: Board) -> Iterator[tuple[Part, str]]:
    """Regulators and converters by role, with the net at their output pin."""
    for part in board.parts_as("regulator", "boost", "buck", "buck-boost"):
        for net in board.nets_for(part, "output"):
            if not board.is_ground(net):
                yield part, net


def _outputs_on(board: Board, part: Part, net: str) -> Design:
    pins = board.pins_for(part, "output")
    return rewired(board, {(part.ref, pin.number): net for pin in pins})


@kind
def output_on_the_cell(board: Board) -> Iterator[Fault]:
    for part, _ in _makers(board):
        for cell in board.parts_as("cell"):
            plus = [n for n in board.nets_for(cell, "plus") if not board.is_ground(n)]
            if len(plus) == 1:
                made = _outputs_on(board, part, plus[0])
                rules = "rail-shorted"
                yield fault(board, "output_on_the_cell", part.ref, made, rules, part.ref)


@kind
def output_on_the_cable(board: Board) -> Iterator[Fault]:
    """A regulator's or converter's output on the supply of a socket with pull-downs."""
    for part, _ in _makers(board):
        for socket in board.parts_as("usb-connector"):
            vbus = [n for n in board.nets_for(socket, "vbus") if not board.is_ground(n)]
            sinks = any(board.to_ground(n, "resistor") for n in board.nets_for(socket, "cc"))
            if len(vbus) == 1 and sinks:
                made = _outputs_on(board, part, vbus[0])
                rules = "rail-shorted"
                yield fault(board, "output_on_the_cable", part.ref, made, rules, part.ref)


@kind
def regulator_in_and_out_joined(board: Board) -> Iterator[Fault]:
    for part in board.parts_as("regulator"):
        nets = set(board.nets_for(part, "supply"))
        if len(nets) == 1 and board.pins_for(part, "output"):
            made = _outputs_on(board, part, nets.pop())
            rules = "rail-shorted"
            yield fault(board, "regulator_in_and_out_joined", part.ref, made, rules, part.ref)


@kind
def set_and_status_exchanged(board: Board) -> Iterator[Fault]:
    """The nets of a charger's setting pin and of a status pin that is in use."""
    for part in board.parts_as("charger"):
        setting, status = board.pins_for(part, "set"), board.pins_for(part, "status")
        used = [pin for pin in status if len(board.circuit.pins_on(pin.net)) > 1]
        lone = [pin for pin in setting if len(board.circuit.pins_on(pin.net)) == 2]
        if used and lone and board.to_ground(lone[0].net, "resistor"):
            one, two = lone[0], used[0]
            moves = {(part.ref, one.number): two.net, (part.ref, two.number): one.net}
            made = rewired(board, moves)
            rules = "charge-set-resistor"
            yield fault(board, "set_and_status_exchanged", part.ref, made, rules, part.ref)


# -- clock ---------------------------------------------------------------------------------------
@kind
def resonator_end_on_ground(board: Board) -> Iterator[Fault]:
    """One live pad of a resonator or crystal of three pads put on ground."""
    for part in board.parts_as("resonator", "crystal"):
        grounds = [n for n in part.nets if board.is_ground(n)]
        live = [pin for pin in part.pins if pin.net and not board.is_ground(pin.net)]
        if len(part.pins) == 3 and len(live) == 2 and grounds:
            made = rewired(board, {(part.ref, live[1].number): grounds[0]})
            rules = "crystal-pads"
            yield fault(board, "resonator_end_on_ground", live[1].label, made, rules, part.ref)
