"""The rule rail-shorted: outputs on ground, sources that fight, parts that do nothing."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._parts import pins_firm
from counterpoise.checks._power_joined import joined_sources
from counterpoise.model.circuit import PinKind
from counterpoise.model.verdicts import Fail, Pass, Severity, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.paths import SOURCES, node
from counterpoise.roles.wording import listed


# -- rail-shorted --------------------------------------------------------------------------------
def rail_shorted(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for outputs on ground, sources of differing voltage on one net, parts across one net."""
    for part in board.parts_as(*SOURCES, "charger"):
        grounded = [
            pin
            for pin in board.pins_for(part, "output", "cell", "system")
            if board.is_ground(pin.net)
        ]
        if grounded:
            typed = all(pin.kind is PinKind.POWER_OUT for pin in grounded)
            sure = typed or board.role(part.ref).firm
            firm = sure and pins_firm(board, tuple(grounded))
            words = {"pin": listed(pin.label for pin in grounded), "net": grounded[0].net or ""}
            yield Fail((part.ref,), "ground", words, nets=(words["net"],), firm=firm)
        else:
            yield Pass(part.ref)
    yield from _usb_grounds(board)
    yield from _idle_regulators(board)
    yield from joined_sources(board)
    yield from _across_one_net(board)


def _usb_grounds(board: Board) -> Iterator[Verdict]:
    """A socket's supply contact on ground, or a ground contact on its supply."""
    for part in board.parts_as("usb-connector"):
        supplies = set(board.nets_for(part, "vbus"))
        wrong = [p for p in board.pins_for(part, "vbus") if board.is_ground(p.net)]
        wrong += [
            p
            for p in board.pins_for(part, "ground")
            if p.net in supplies and not board.is_ground(p.net)
        ]
        if wrong:
            firm = board.role(part.ref).firm and pins_firm(board, tuple(wrong))
            words = {
                "pin": listed(p.label for p in wrong),
                "net": listed(p.net or "" for p in wrong),
            }
            yield Fail((part.ref,), "usb-ground", words, (wrong[0].net or "",), firm=firm)


def _idle_regulators(board: Board) -> Iterator[Verdict]:
    """Regulators whose input and output are one net. A chip that runs itself from its own output has
    its input elsewhere too."""
    for part in board.parts_as("regulator", "buck"):
        inputs = [p for p in board.pins_for(part, "supply") if p.net is not None]
        outputs = [p for p in board.pins_for(part, "output") if p.net is not None]
        nets = {str(pin.net) for pin in outputs if not board.is_ground(pin.net)}
        whole = {n for net in nets for n in node(board, net)}
        if not inputs or not nets or not all(pin.net in whole for pin in inputs):
            continue
        firm = board.role(part.ref).firm and pins_firm(board, (*inputs, *outputs))
        # A link across a regulator is drawn for boards that leave the regulator out.
        linked = not all(pin.net in nets for pin in inputs)
        severity = Severity.CAUTION if linked else None
        words = {
            "net": listed(sorted({str(p.net) for p in (*inputs, *outputs)})),
            "pins": listed(p.label for p in (*inputs, *outputs)),
        }
        yield Fail(
            (part.ref,),
            "through",
            words,
            tuple(sorted(nets)),
            severity=severity,
            firm=firm,
        )


_TWO_PIN = ("resistor", "capacitor", "inductor", "diode", "zener", "led", "crystal", "fuse")


def _across_one_net(board: Board) -> Iterator[Verdict]:
    for part in board.parts_as(*_TWO_PIN):
        match [pin.net for pin in part.pins]:
            case [str(net), other] if net == other:
                words = {"net": net}
                yield Fail((part.ref,), "idle", words, (net,), severity=Severity.CAUTION)
