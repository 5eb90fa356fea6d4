"""The rule primary-cell-charged: every way by which a source can push current into a cell."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from counterpoise.catalog.rules import Rule
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.cells import Chemistry, chemistry_of, texts_of
from counterpoise.roles.facts import need_role
from counterpoise.roles.paths import PLAIN, SOURCES, maybe_chargers, plus_nets
from counterpoise.roles.wording import listed

_P_CHANNEL = re.compile(
    r"P-?(?:MOS|CH|FET)|PMOS|AO34(?:01|07|15|13)|(?:SI|DMG|CJ|WPM|NTR|BSH)-?(?:2301|2305|2015|4101)"
    r"|IRLML(?:6402|2244|6401)|FDN3[0-9]{2}P|BSS84|DMP\d+|NTR4101P"
)
_N_CHANNEL = re.compile(r"N-?(?:MOS|CH|FET)|NMOS|2N7002|AO3400|SI2302|BSS138|BSN20|DMN\d+|DMG2302")


_FEEDING = ("cell", "output", "system", "vbus")


@dataclass(frozen=True, slots=True)
class _Way:
    """A net from which current can flow on into the cell, the parts passed, whether that is sure.

    ``gated`` are nets that shut a transistor on the way off while they are live.
    """

    net: str
    through: tuple[str, ...] = ()
    sure: bool = True
    gated: frozenset[str] = frozenset()


def primary_cell_charged(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Follow current backwards from each cell that must not be charged to chargers and sources."""
    for cell in board.parts_as("cell"):
        chemistry = chemistry_of(board, cell)
        if not isinstance(chemistry, Need) and chemistry.rechargeable:
            yield Skip(f"{cell.ref} is rechargeable ({chemistry.because})")
            continue
        found = _pushed(board, cell)
        strangers = maybe_chargers(board)
        if found is None and strangers:
            yield Unknown(cell.ref, tuple(need_role(part.ref, "charger") for part in strangers))
        elif found is None:
            yield Pass(cell.ref)
        elif isinstance(chemistry, Need):
            yield Unknown(cell.ref, (chemistry,))
        else:
            yield _charged(board, cell, chemistry, *found)


def _charged(board: Board, cell: Part, chemistry: Chemistry, source: Part, way: _Way) -> Verdict:
    charger = board.role(source.ref).name == "charger"
    firm = way.sure and chemistry.firm and board.role(cell.ref).firm
    firm = firm and board.role(source.ref).firm
    firm = firm and way.net in board.nets_for(source, *_FEEDING)
    words = {
        "because": chemistry.because,
        "source": source.ref,
        "through": f" through {listed(way.through)}" if way.through else "",
    }
    doubt = "" if firm else "the way was reasoned from parts whose kind is not certain"
    case = "charger" if charger else "back-path"
    return Fail((cell.ref, source.ref), case, words, nets=(way.net,), firm=firm, doubt=doubt)


def _pushed(board: Board, cell: Part) -> tuple[Part, _Way] | None:
    """The first source that can push current into the cell; sure ways before doubtful ones."""
    found = [
        (source, way)
        for way in _ways_in(board, cell).values()
        for source in _sources_on(board, way.net)
        if source.ref != cell.ref and not (_live_with(board, source) & way.gated)
    ]
    found.sort(key=lambda f: (board.role(f[0].ref).name != "charger", not f[1].sure, f[0].ref))
    return found[0] if found else None


def _sources_on(board: Board, net: str) -> Iterator[Part]:
    for charger in board.on_net(net, "charger"):
        # Without a known cell pin any pin may be it: a charger, but not a firm one.
        known = board.nets_for(charger, "cell", "output", "system")
        if net in known or not board.pins_for(charger, "cell"):
            yield charger
    for usb in board.on_net(net, "usb-connector"):
        if net in board.nets_for(usb, "vbus"):
            yield usb
    for part in board.on_net(net, *SOURCES):
        if net in board.nets_for(part, "output"):
            yield part


def _live_with(board: Board, source: Part) -> frozenset[str]:
    """Nets that are live whenever the source is."""
    nets = set(board.nets_for(source, "vbus", "supply", "output"))
    return frozenset(nets).union(*(board.reach(n, "resistor", *PLAIN[:3]) for n in nets), nets)


def _ways_in(board: Board, cell: Part) -> dict[str, _Way]:
    found: dict[str, _Way] = {}
    todo = [_Way(net) for net in plus_nets(board, cell) if not board.is_ground(net)]
    while todo:
        here = todo.pop(0)
        if here.net in found:
            continue
        found[here.net] = here
        for part in board.on_net(here.net):
            if part.ref not in here.through and part.ref != cell.ref:
                todo += [w for w in _before(board, part, here) if not board.is_ground(w.net)]
    return found


def _before(board: Board, part: Part, here: _Way) -> Iterator[_Way]:
    """The nets on the far side of the part from which current can come to ``here``."""
    role = board.role(part.ref).name
    through = (*here.through, part.ref)
    if role in PLAIN and len(part.nets) <= 4:
        for net in part.nets:
            if net != here.net:
                yield _Way(net, through, here.sure, here.gated)
    elif role == "diode":
        if here.net in board.nets_for(part, "cathode"):
            for net in board.nets_for(part, "anode"):
                yield _Way(net, through, here.sure, here.gated)
    elif role == "transistor":
        yield from _through_transistor(board, part, here, through)


def _through_transistor(
    board: Board, part: Part, here: _Way, through: tuple[str, ...]
) -> Iterator[_Way]:
    source, drain = board.nets_for(part, "source"), board.nets_for(part, "drain")
    gate = frozenset(board.nets_for(part, "gate"))
    p_channel = _is_p_channel(board, part)
    if not source or not drain or p_channel is None:
        return
    # The body diode conducts drain to source in a P-channel part, the other way in an N-channel.
    diode_in, diode_out = (drain, source) if p_channel else (source, drain)
    if here.net in diode_out:
        for net in diode_in:
            yield _Way(net, through, here.sure, here.gated)
    elif here.net in diode_in:
        # Against the diode only the channel conducts: shut while a P-channel gate is live.
        shut = here.gated | _tied(board, gate) if p_channel else here.gated
        sure = here.sure and any(board.is_ground(net) for net in _tied(board, gate))
        for net in diode_out:
            yield _Way(net, through, sure, shut)


def _tied(board: Board, gate: frozenset[str]) -> frozenset[str]:
    """The gate's nets, and those a resistor or link ties it to."""
    found = set(gate)
    for net in gate:
        found |= board.same_node(net)
        for part in board.on_net(net, "resistor"):
            other = board.across(part, net)
            if other is not None:
                found.add(other)
    return frozenset(found)


def _is_p_channel(board: Board, part: Part) -> bool | None:
    said = f"{board.text(part, 'polarity') or ''} {texts_of(part)}".upper().replace("_", " ")
    if _P_CHANNEL.search(said) or "PNP" in said:
        return True
    if _N_CHANNEL.search(said) or "NPN" in said:
        return False
    return None
