"""What kind of USB port a connector is, and what stands on its nets."""

from __future__ import annotations

import re
from dataclasses import dataclass

from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.roles.cells import texts_of
from counterpoise.roles.paths import node

_TYPE_C = re.compile(
    r"TYPE[-_ ]?C(?![A-Z])|USB[-_ ]?C(?![A-Z])|USBC|USB_C|USB4(?:085|105|110|125|135)|C-31-M|UJ20-C"
)
_OTHER = re.compile(r"MICRO|MINI|TYPE[-_ ]?[AB](?![A-Z])|USB[-_ ]?[AB](?![A-Z])")
_HOST = re.compile(r"TYPE[-_ ]?A(?![A-Z])|USB[-_ ]?A(?![A-Z])|USB3?_A_")
_PLUG = re.compile(r"PLUG|(?<![A-Z])MALE")
_CC_NET = re.compile(r"(?:^|[^A-Z])CC_?([12])(?![0-9])")

SERIES_OHM = 200.0
"""A resistor up to this many ohms in a signal line is in series with it, not a pull."""

PASSIVE = (
    "resistor",
    "resistor-array",
    "capacitor",
    "inductor",
    "ferrite",
    "link",
    "clamp",
    "diode",
    "zener",
    "test-point",
    "mechanical",
    "fuse",
    "usb-connector",
)


@dataclass(frozen=True, slots=True)
class Port:
    """A connector as the USB rules see it: ``kind`` "c", "a" or "other", socket or plug."""

    part: Part
    kind: str
    plug: bool

    @property
    def host(self) -> bool:
        """A type A socket is a host's: it gives power."""
        return self.kind == "a" and not self.plug


def port_of(board: Board, part: Part) -> Port:
    """The kind of port, by its contacts first, else by what the files call it."""
    text = f"{texts_of(part)} {part.footprint.upper()}"
    plug = bool(_PLUG.search(text)) and "RECEPTACLE" not in text
    if cc_pins(board, part) or _TYPE_C.search(text):
        return Port(part, "c", plug)
    if _HOST.search(text) and not re.search(r"MICRO|MINI", text):
        return Port(part, "a", plug)
    return Port(part, "other", plug)


def told_kind(board: Board, part: Part) -> bool:
    """Whether anything tells what kind of USB connector this is."""
    text = f"{texts_of(part)} {part.footprint.upper()}"
    return port_of(board, part).kind == "c" or bool(_OTHER.search(text))


def cc_pins(board: Board, part: Part) -> tuple[Pin, ...]:
    """The configuration contacts: by function, contact number or net name."""
    return (
        board.pins_for(part, "cc")
        or tuple(pin for pin in part.pins if pin.number.upper() in ("A5", "B5"))
        or tuple(pin for pin in part.pins if _CC_NET.search((pin.net or "").upper()))
    )


def by_net_name(board: Board, pin: Pin) -> bool:
    """Whether only the net's name tells what the contact is for."""
    if board.function_of(pin) == "cc":
        return board.function_evidence(pin) not in ("manifest", "card", "pins")
    return pin.number.upper() not in ("A5", "B5")


def line(board: Board, net: str) -> frozenset[str]:
    """A signal's nets: joined by links and ferrites, by small series resistors and coils, and by
    clamps that carry the line through on two pins of one name."""
    found: set[str] = set()
    todo = [net]
    while todo:
        here = todo.pop()
        if here in found or board.is_ground(here):
            continue
        found.add(here)
        todo += node(board, here)
        for part in board.on_net(here, "resistor", "clamp"):
            todo += _through(board, part, here)
    return frozenset(found)


def _through(board: Board, part: Part, net: str) -> list[str]:
    if board.role(part.ref).name == "clamp":
        return _carried(part, net)
    other = board.across(part, net)
    value = board.value(part)
    if other is None or isinstance(value, Need) or value.value.middle > SERIES_OHM:
        return []
    return [other]


def unread(board: Board, nets: frozenset[str]) -> tuple[Need, ...]:
    """The values of resistors that may be in series with a line and cannot be read."""
    found = {
        part.ref: value
        for net in nets
        for part in board.on_net(net, "resistor")
        if isinstance(value := board.value(part), Need)
        and not board.is_ground(board.across(part, net))
    }
    return tuple(found[ref] for ref in sorted(found))


def _carried(part: Part, net: str) -> list[str]:
    """A clamp carries a line through where just two of its pins have one numbered name ("IO1"): pins
    all called "IO" may as well be different lines."""
    names = {p.name.upper() for p in part.pins if p.net == net and p.name[-1:].isdigit()}
    pairs = {n for n in names if sum(p.name.upper() == n for p in part.pins) == 2}
    return [p.net for p in part.pins if p.net and p.name.upper() in pairs]


def chips_on(board: Board, nets: frozenset[str]) -> tuple[Pin, ...]:
    """Pins of parts that are more than passive on these nets, sorted."""
    pins = {
        pin
        for net in nets
        for pin in board.circuit.pins_on(net)
        if board.role(pin.ref).name not in PASSIVE and _fitted(board, pin.ref)
    }
    return tuple(sorted(pins, key=lambda p: (p.ref, p.number)))


def _fitted(board: Board, ref: str) -> bool:
    part = board.circuit.part(ref)
    return part is not None and part.fitted


# -- resistors, single and in arrays -------------------------------------------------------------
def far_ends(board: Board, part: Part, net: str) -> tuple[str, ...] | Need:
    """The nets at the other ends of the resistors of this part that end on ``net``.

    The elements of an array are told by pin names ("R1.1" and "R1.2"), else by the usual order: the
    first pin faces the last. A need where neither tells (an odd number of pins shares one).
    """
    if board.role(part.ref).name == "resistor":
        other = board.across(part, net)
        return () if other is None else (other,)
    ends: list[str] = []
    for pin in part.pins:
        if pin.net == net:
            faced = _faces(part, pin)
            if faced is None:
                return Need(
                    f"which pins of {part.ref} are the ends of one resistor",
                    'pin names in its symbol: "R1.1" and "R1.2" for the first resistor',
                )
            ends += [faced.net] if faced.net is not None else []
    return tuple(ends)


def _faces(part: Part, pin: Pin) -> Pin | None:
    element = re.fullmatch(r"(R\d+)\.([12])", pin.name)
    if element:
        name = f"{element[1]}.{'2' if element[2] == '1' else '1'}"
        return next((p for p in part.pins if p.name == name), None)
    numbers = [p.number for p in part.pins]
    if not pin.number.isdigit() or len(numbers) % 2:
        return None
    return part.pin(str(len(numbers) + 1 - int(pin.number)))
