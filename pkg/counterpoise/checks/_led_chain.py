"""Addressable LEDs: each one's data input follows an output, and its supply suffices."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.checks._crystals import PASSIVE
from counterpoise.checks._parts import pins_firm
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.wording import listed, span

_STEPS = ("resistor", "link", "ferrite")


def judge_chain(board: Board, led: Part) -> Verdict:
    """The verdict of ``led-chain`` for one LED."""
    inputs = board.pins_for(led, "data-in")
    outputs = board.pins_for(led, "data-out")
    if not inputs:
        need = Need(f"which pin of {led.ref} is its data input", "the symbol: name it DIN")
        return Unknown(led.ref, (need,))
    firm = board.role(led.ref).firm and pins_firm(board, (*inputs, *outputs))
    for case, words, nets in _faults(board, led, inputs[0], outputs):
        return Fail((led.ref,), case, words, nets, firm=firm)
    return _supply(board, led)


def _faults(
    board: Board, led: Part, data: Pin, outputs: tuple[Pin, ...]
) -> Iterator[tuple[str, dict[str, str], tuple[str, ...]]]:
    for out in outputs:
        if out.net is None:
            continue
        nets = _way(board, out.net)
        against = [p for p in _pins(board, nets, led) if board.function_of(p) == "data-out"]
        if against:
            words = {"pin": out.label, "others": listed(p.label for p in against)}
            yield "out-on-out", words, (out.net,)
        if data.net in nets:
            yield "own", {"pin": data.label, "other": out.label}, (out.net,)
    if data.net is None:
        yield "open", {"pin": data.label}, ()
        return
    drivers = [
        pin
        for pin in _pins(board, _way(board, data.net), led)
        if board.function_of(pin) != "data-in"
    ]
    if not drivers or board.is_ground(data.net):
        yield "open", {"pin": data.label}, (data.net,)


def _way(board: Board, net: str) -> frozenset[str]:
    """The net with those behind one series resistor."""
    found = {net}
    for part in board.on_net(net, *_STEPS):
        other = board.across(part, net)
        if other is not None and not board.is_ground(other):
            found.add(other)
    return frozenset(found)


def _pins(board: Board, nets: frozenset[str], led: Part) -> list[Pin]:
    return [
        pin
        for net in sorted(nets)
        for pin in board.circuit.pins_on(net)
        if pin.ref != led.ref and board.role(pin.ref).name not in PASSIVE
    ]


def _supply(board: Board, led: Part) -> Verdict:
    asked = board.known(led, "supply")
    nets = [net for net in board.nets_for(led, "supply") if not board.is_ground(net)]
    if isinstance(asked, Need):
        return Unknown(led.ref, (asked,))
    for net in nets:
        rail = board.volts(net)
        if isinstance(rail, Need):
            return Unknown(led.ref, (rail,))
        if rail.volts.at_least(asked.value.low) is False:
            words = {
                "net": net,
                "volts": span(rail.volts, "V"),
                "least": span(asked.value, "V"),
            }
            return Fail((led.ref,), "low", words, (net,), firm=rail.firm and asked.firm)
    return Pass(led.ref)
