"""Nets that somebody named and that join nothing."""

from __future__ import annotations

import re
from collections.abc import Iterator

from counterpoise.model.circuit import Net, Pin, PinKind
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.wording import listed

_AUTOMATIC = re.compile(
    r"(?:.*/)?(?:Net-\(.*\)|unconnected-\(.*\)|no.?connect.*|NC\d*|N/C|N\$\d+|Net[A-Z]+\d+_\d+"
    r"|\$\d+N\d+|\d+)",
    re.I,
)
_IDLE = ("mechanical", "test-point")


def judge_lone(board: Board) -> Iterator[Verdict]:
    """The verdicts of ``single-node-net``: a part's lone nets are one finding."""
    if not board.circuit.nets:
        need = Need("the nets of the board", "the netlist: it names no net")
        yield Unknown("", (need,))
        return
    lone: dict[str, list[Pin]] = {}
    for name, net in board.circuit.nets.items():
        if _unnamed(board, name, net):
            continue
        pins = {(pin.ref, pin.number): pin for pin in net.pins}
        if len(pins) > 1:
            yield Pass(name)
            continue
        (pin,) = pins.values()
        if pin.marked_open or pin.kind is PinKind.NO_CONNECT or board.role(pin.ref).name in _IDLE:
            continue
        if _copied(name, pin):
            continue
        lone.setdefault(pin.ref, []).append(pin)
    for ref, pins_of in lone.items():
        words = {
            "nets": listed(f'"{pin.net}"' for pin in pins_of),
            "pins": listed(pin.label for pin in pins_of),
            "join": "join" if len(pins_of) > 1 else "joins",
            "nets_word": "nets" if len(pins_of) > 1 else "net",
        }
        yield Fail((ref,), "lone", words, tuple(str(pin.net) for pin in pins_of))


def _unnamed(board: Board, name: str, net: Net) -> bool:
    """Whether nobody named the net. An LED's pad counts though: nobody leaves a colour open unsaid."""
    name = name.strip()
    if not name:
        return True
    if not _AUTOMATIC.fullmatch(name):
        return False
    drawn = re.match(r"(?:.*/)?Net-\(", name, re.I)
    return not (drawn and all(board.role(pin.ref).name == "led" for pin in net.pins))


def _copied(name: str, pin: Pin) -> bool:
    """Whether the net only carries its pin's own name, as a symbol library writes spare pins.

    Strokes part sheets ("/mcu/P04") as well as the names of one pin ("P04/AIN2").
    """
    whole = name.strip("/").upper()
    names = {whole, *re.split(r"[/\\]", whole)}
    return pin.name.strip().upper() in {one.strip() for one in names} - {""}
