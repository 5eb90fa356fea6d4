"""USB rules about the data pair: joined on both rows, not crossed, and clamped."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._usb_ports import Port, chips_on, line, port_of, unread
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Severity, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.facts import key_of
from counterpoise.roles.wording import listed

_LINES = ("usb-positive", "usb-negative")
_NAMES = {"usb-positive": "D+", "usb-negative": "D-"}
_UNREAD = ("chip", "unknown")


# -- usb-data-joined -----------------------------------------------------------------------------
def usb_data_joined(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that both contacts of each data line share a net, and that D+ meets D+ at the chip."""
    for part in board.parts_as("usb-connector"):
        pins = {name: board.pins_for(part, name) for name in _LINES}
        if not any(pins.values()):
            yield _no_data_pins(board, part)
            continue
        if not any(_used(board, p) for group in pins.values() for p in group):
            yield Skip(f"{part.ref} gives power only: its data contacts are open")
            continue
        yield _joined(board, port_of(board, part), pins)


def _no_data_pins(board: Board, part: Part) -> Verdict:
    named = any(pin.name and pin.name != pin.number for pin in part.pins)
    if named or len(part.pins) <= 6:
        return Skip(f"{part.ref} has no data contacts in the drawing")
    need = Need(
        f"which pins of {part.ref} are D+ and D-",
        "pin names in its symbol, or a card for it in cards/*.toml with pins.usb-positive",
    )
    return Unknown(part.ref, (need,))


def _used(board: Board, pin: Pin) -> bool:
    """Whether the contact leads to anything but other contacts of connectors."""
    return pin.net is not None and any(
        board.role(p.ref).name != "usb-connector" for p in board.circuit.pins_on(pin.net)
    )


def _joined(board: Board, port: Port, pins: dict[str, tuple[Pin, ...]]) -> Verdict:
    part = port.part
    firm = board.role(part.ref).firm
    lines = {name: [_line(board, pin) for pin in group] for name, group in pins.items()}
    shorted = _shorted(lines)
    if shorted:
        consumers = chips_on(board, shorted)
        gentle = None if consumers else Severity.CAUTION
        nets = tuple(sorted(shorted))
        return Fail((part.ref,), "shorted", {"net": listed(nets)}, nets, severity=gentle, firm=firm)
    crossed = _crossed(board, part, lines)
    if crossed:
        words = {"chip": crossed[0].label, "line": crossed[1]}
        return Fail((part.ref, crossed[0].ref), "crossed", words, firm=firm)
    needs = unread(board, frozenset().union(*(n for found in lines.values() for n in found)))
    if needs:
        return Unknown(part.ref, needs)
    for name, group in pins.items():
        found = lines[name]
        if any(not found[0] & other for other in found[1:]):
            words = {"line": _NAMES[name], "pins": listed(pin.label for pin in group)}
            nets = tuple(pin.net for pin in group if pin.net)
            return Fail((part.ref,), "split", words, nets, severity=Severity.CAUTION, firm=firm)
    return Pass(part.ref)


def _line(board: Board, pin: Pin) -> frozenset[str]:
    return line(board, pin.net) if pin.net is not None else frozenset()


def _shorted(lines: dict[str, list[frozenset[str]]]) -> frozenset[str]:
    plus, minus = (frozenset().union(*lines[name]) for name in _LINES)
    return plus & minus


def _crossed(
    board: Board, part: Part, lines: dict[str, list[frozenset[str]]]
) -> tuple[Pin, str] | None:
    """A chip's data pin of the other sign on a line."""
    for name, other in ((_LINES[0], _LINES[1]), (_LINES[1], _LINES[0])):
        for pin in chips_on(board, frozenset().union(*lines[name])):
            if board.function_of(pin) == other and pin.ref != part.ref:
                return pin, _NAMES[name]
    return None


# -- usb-surge-guard -----------------------------------------------------------------------------
def usb_surge_guard(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for a clamp on each data line that leaves the board and reaches a chip."""
    for part in board.parts_as("usb-connector"):
        pins = [pin for name in _LINES for pin in board.pins_for(part, name)]
        lines = {_line(board, pin) for pin in pins if pin.net is not None}
        used = sorted((nets for nets in lines if chips_on(board, nets)), key=sorted)
        needs = unread(board, frozenset().union(*lines))
        if used:
            yield _clamped(board, part, used)
        elif needs:
            yield Unknown(part.ref, needs)
        else:
            yield Skip(f"{part.ref} has no data line that reaches a chip")


def _clamped(board: Board, part: Part, lines: list[frozenset[str]]) -> Verdict:
    open_lines = [nets for nets in lines if not _has_clamp(board, nets)]
    if not open_lines:
        return Pass(part.ref)
    bare = [nets for nets in open_lines if not _doubts(board, part, nets)]
    if not bare:
        needs = (need for nets in open_lines for need in _doubts(board, part, nets))
        return Unknown(part.ref, tuple(dict.fromkeys(needs)))
    names = tuple(min(nets) for nets in bare)
    consumers = sorted({pin.ref for nets in bare for pin in chips_on(board, nets)})
    words = {"nets": listed(names), "chip": listed(consumers)}
    return Fail((part.ref,), "bare", words, nets=names, firm=board.role(part.ref).firm)


def _doubts(board: Board, part: Part, nets: frozenset[str]) -> tuple[Need, ...]:
    """What must be known before the line is called bare: parts of unknown purpose beside the chip
    that it is for may be clamps, and a resistor without a value may lead to one."""
    refs = sorted({pin.ref for pin in chips_on(board, nets)})
    strangers = [ref for ref in refs if len(refs) > 1 and board.role(ref).name in _UNREAD]
    asked = (
        Need(
            f"whether {ref} clamps the data lines of {part.ref}",
            f'board.toml: [parts.{key_of(ref)}] role = "clamp" (or what it is)',
        )
        for ref in strangers
    )
    return (*asked, *unread(board, nets))


def _has_clamp(board: Board, nets: frozenset[str]) -> bool:
    return any(board.on_net(net, "clamp", "zener", "diode") for net in nets)
