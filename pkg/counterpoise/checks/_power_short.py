"""The rule rail-shorted: outputs on ground, sources that fight, parts that do nothing."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._power_feed import firm_pins
from counterpoise.model.circuit import Part, PinKind
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.paths import SOURCES, node
from counterpoise.roles.wording import listed, span

_USB_LEAST = 4.4
"""Volts; the least that a host may offer at a full-power port (USB 2.0, 7.2.2)."""


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
            firm = sure and firm_pins(board, tuple(grounded))
            words = {"pin": listed(pin.label for pin in grounded), "net": grounded[0].net or ""}
            yield Fail((part.ref,), "ground", words, nets=(words["net"],), firm=firm)
        else:
            yield Pass(part.ref)
    yield from _usb_grounds(board)
    yield from _joined_sources(board)
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
            firm = board.role(part.ref).firm and firm_pins(board, tuple(wrong))
            words = {
                "pin": listed(p.label for p in wrong),
                "net": listed(p.net or "" for p in wrong),
            }
            yield Fail((part.ref,), "usb-ground", words, (wrong[0].net or "",), firm=firm)


def _sources(board: Board) -> dict[str, list[tuple[Part, str]]]:
    """Sources by node: USB supplies, cells' positive ends, outputs of regulators and converters."""
    found: dict[str, list[tuple[Part, str]]] = {}
    kinds = (
        (("usb-connector",), ("vbus",), "usb"),
        (("cell",), ("plus",), "cell"),
        (SOURCES, ("output",), "output"),
    )
    for roles, functions, kind in kinds:
        for part in board.parts_as(*roles):
            for net in board.nets_for(part, *functions):
                key = min(node(board, net))
                if not board.is_ground(key) and (part, kind) not in found.setdefault(key, []):
                    found[key].append((part, kind))
    return found


def _joined_sources(board: Board) -> Iterator[Verdict]:
    for net, sources in sorted(_sources(board).items()):
        for i, (a, kind_a) in enumerate(sources):
            for b, kind_b in sources[i + 1 :]:
                if a.ref != b.ref:
                    yield from _clash(board, net, (a, kind_a), (b, kind_b))


def _clash(
    board: Board, net: str, one: tuple[Part, str], other: tuple[Part, str]
) -> Iterator[Verdict]:
    (a, kind_a), (b, kind_b) = one, other
    if kind_a == kind_b and kind_a != "output":
        return
    words = {"net": net, "other": b.ref}
    firm = board.role(a.ref).firm and board.role(b.ref).firm
    if {kind_a, kind_b} == {"usb", "cell"}:
        yield Fail((b.ref, a.ref), "usb-cell", {**words, "other": a.ref}, (net,), firm=firm)
        return
    if "usb" in (kind_a, kind_b):
        yield from _on_usb(board, net, one, other, firm)
        return
    outputs = [board.known(p, "output") for p, kind in (one, other) if kind == "output"]
    missing = tuple(x for x in outputs if isinstance(x, Need))
    if missing:
        yield Unknown(a.ref, missing)
        return
    ranges = [x.value for x in outputs if isinstance(x, Known)]
    if len(ranges) == 2 and ranges[0].low <= ranges[1].high and ranges[1].low <= ranges[0].high:
        return
    given = [span(r, "V") for r in ranges] + ["a cell"] * ("cell" in (kind_a, kind_b))
    words["volts"] = " and ".join(given)
    sure = firm and all(x.firm for x in outputs if isinstance(x, Known))
    yield Fail((b.ref, a.ref), "sources", {**words, "other": a.ref}, (net,), firm=sure)


def _on_usb(
    board: Board, net: str, one: tuple[Part, str], other: tuple[Part, str], firm: bool
) -> Iterator[Verdict]:
    """An output joined to a USB supply: some 5 V feeds a host's socket, less clashes."""
    source = other[0] if one[1] == "usb" else one[0]
    socket = one[0] if one[1] == "usb" else other[0]
    output = board.known(source, "output")
    if isinstance(output, Need):
        yield Unknown(source.ref, (output,))
    elif output.value.high < _USB_LEAST:
        words = {"net": net, "other": socket.ref, "volts": f"{span(output.value, 'V')} and 5 V"}
        refs = (source.ref, socket.ref)
        yield Fail(refs, "sources", words, (net,), firm=firm and output.firm)


_TWO_PIN = ("resistor", "capacitor", "inductor", "diode", "zener", "led", "crystal", "fuse")


def _across_one_net(board: Board) -> Iterator[Verdict]:
    for part in board.parts_as(*_TWO_PIN):
        nets = [pin.net for pin in part.pins]
        if len(nets) == 2 and nets[0] is not None and nets[0] == nets[1]:
            words = {"net": nets[0]}
            yield Fail((part.ref,), "idle", words, (nets[0],), severity=Severity.CAUTION)
