"""Which nets a switch's contacts lead to, and which of its pins are joined inside."""

from __future__ import annotations

import re
from dataclasses import dataclass

from counterpoise.checks._parts import fact_firm, pins_firm
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.roles.facts import manifest_line

PUSH = "push-switch"
CHANGE_OVER = "change-over-switch"
SLIDE = "slide-switch"
SWITCHES = (PUSH, CHANGE_OVER, SLIDE)
_IDLE = ("mount", "shield", "none")
_INERT = frozenset(("capacitor", "test-point", "mechanical"))
_WORD = re.compile(r"[^\s,;/+-]+")


@dataclass(frozen=True, slots=True)
class Terminal:
    """Pins that are one piece of metal, and the nodes they stand on (nets that links make one)."""

    pins: tuple[Pin, ...]
    nodes: frozenset[frozenset[str]]

    @property
    def label(self) -> str:
        """Its pin numbers: "1" or "1 and 2"."""
        return " and ".join(dict.fromkeys(pin.number for pin in self.pins))


def node(board: Board, net: str) -> frozenset[str]:
    """The net with those that links make one with it."""
    return board.same_node(net)


def contact_pins(board: Board, switch: Part) -> tuple[Pin, ...]:
    """Its pins that carry a contact: shells, fixings and dummies are left out."""
    pins = [pin for pin in switch.pins if pin.number and board.function_of(pin) not in _IDLE]
    return tuple(pin for pin in pins if not _fixing(pin)) or tuple(pins)


def _fixing(pin: Pin) -> bool:
    return bool(re.fullmatch(r"(?:MP|SH|S|HOLE|MNT|EP|PAD)\d*", pin.number, re.I)) and (
        not pin.name or pin.name == pin.number
    )


def joined_pads(board: Board, switch: Part) -> tuple[tuple[tuple[str, ...], ...], bool]:
    """Groups of pads that are one terminal, and whether that is told (not a convention)."""
    stated = board.text(switch, "joined_pads")
    if stated:
        groups = tuple(tuple(_WORD.findall(group)) for group in _groups(stated))
        return ((), False) if _numbered_otherwise(board, switch, groups) else (groups, True)
    sides = [
        tuple(dict.fromkeys(p.number for p in board.pins_for(switch, side)))
        for side in ("contact-a", "contact-b")
    ]
    pins = board.pins_for(switch, "contact-a", "contact-b")
    if all(sides) and all(board.function_evidence(p) in ("card", "pins", "manifest") for p in pins):
        return tuple(sides), True
    return (), False


def _numbered_otherwise(board: Board, switch: Part, groups: tuple[tuple[str, ...], ...]) -> bool:
    """Whether the part has fewer pin numbers than its card: a footprint that gives joined pads one
    number. What the manifest states is always of this part's own numbers."""
    told = board.manifest.parts.get(switch.ref)
    if told is not None and "joined_pads" in told.facts:
        return False
    return not {pad for group in groups for pad in group} <= {p.number for p in switch.pins}


def joints_firm(board: Board, switch: Part) -> bool:
    """Whether a stop may rest on the joints inside."""
    if board.text(switch, "joined_pads"):
        return fact_firm(board, switch, "joined_pads")
    return pins_firm(board, board.pins_for(switch, "contact-a", "contact-b"))


def _groups(stated: str) -> list[str]:
    """ "1 2, 3 4" and "1-2 3-4" are both two groups."""
    if "," in stated or ";" in stated:
        return re.split(r"[,;]", stated)
    pairs = stated.split()
    return pairs if any("-" in pair or "+" in pair for pair in pairs) else [stated]


def terminals(board: Board, switch: Part) -> tuple[Terminal, ...]:
    """The switch's terminals with the nodes each is on, in pin order."""
    groups, _ = joined_pads(board, switch)
    owner = {pad: index for index, group in enumerate(groups) for pad in group}
    found: dict[object, list[Pin]] = {}
    for pin in contact_pins(board, switch):
        found.setdefault(owner.get(pin.number, pin.number), []).append(pin)
    return tuple(
        Terminal(
            tuple(pins), frozenset(node(board, pin.net) for pin in pins if pin.net is not None)
        )
        for pins in found.values()
    )


def leads_on(board: Board, switch: Part, nets: frozenset[str]) -> bool:
    """Whether current can go on from there: ground, or a part that is more than a capacitor."""
    if any(board.is_ground(net) for net in nets):
        return True
    return any(
        part.ref != switch.ref and board.role(part.ref).name not in _INERT
        for net in nets
        for part in board.on_net(net)
        # A link inside the node leads nowhere by itself.
        if not (board.role(part.ref).name in ("link", "ferrite") and set(part.nets) <= nets)
    )


def pads_need(switch: Part) -> Need:
    """The need for the pads that are joined inside."""
    return Need(
        f"which pads of {switch.ref} are joined inside",
        manifest_line(switch.ref, 'joined_pads = "1 2, 3 4"'),
    )


def terminals_need(switch: Part) -> Need:
    """The need for the meaning of the three contacts."""
    return Need(
        f"which contact of {switch.ref} is common, open and closed at rest",
        manifest_line(switch.ref, 'terminals = { common = "1", open = "2", closed = "3" }'),
    )


def contact(board: Board, switch: Part, pin: Pin) -> str:
    """The pin's contact: common, open, closed, or "" where its name tells nothing.

    In a symbol whose pins are merely lettered A, B and C, C is the last letter, not "common".
    """
    function = board.function_of(pin)
    if function not in ("common", "open", "closed"):
        return ""
    lettered = {p.name.strip().upper() for p in switch.pins} >= {"A", "B", "C"}
    return "" if lettered and board.function_evidence(pin) == "pins" else function


def pins_as(board: Board, switch: Part, *contacts: str) -> tuple[Pin, ...]:
    """The switch's pins with one of the contacts."""
    return tuple(pin for pin in switch.pins if contact(board, switch, pin) in contacts)
