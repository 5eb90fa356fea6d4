"""The rule primary-cell-charged: every way by which a source can push current into a cell."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from counterpoise.catalog.rules import Rule
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.cells import Chemistry, chemistry_of, texts_of
from counterpoise.roles.facts import key_of, need_role
from counterpoise.roles.links import closed
from counterpoise.roles.paths import PLAIN, SOURCES, maybe_chargers, plus_nets
from counterpoise.roles.refdes import natural
from counterpoise.roles.wording import listed

_P_CHANNEL = re.compile(
    r"(?<![A-Z])P-?(?:MOS|CH|FET)|AO34(?:01|07|15|13)"
    r"|(?:SI|DMG|CJ|WPM|NTR|BSH)-?(?:2301|2305|2015|4101)"
    r"|IRLML(?:6402|2244|6401)|FDN3[0-9]{2}P|BSS84|DMP\d|PNP"
)
_N_CHANNEL = re.compile(
    r"(?<![A-Z])N-?(?:MOS|CH|FET)|2N7002|AO3400|SI2302|BSS138|BSN20|DMN\d|DMG2302|NPN"
)
_FIRM = ("manifest", "card", "pins")
_FEEDING = ("cell", "output", "system", "vbus")
_HOLDS = ("resistor", "capacitor", "test-point", "link", "zener", "clamp")
"""What may stand on a gate without driving it."""


@dataclass(frozen=True, slots=True)
class _Way:
    """A net from which current can flow on into the cell, the parts passed, whether that is sure.

    ``gated`` are nets that shut a transistor on the way off while they are live; ``asks`` are
    transistors on the way whose kind or ends nothing tells, taken as if they conducted.
    """

    net: str
    through: tuple[str, ...] = ()
    sure: bool = True
    gated: frozenset[str] = frozenset()
    asks: frozenset[str] = frozenset()

    def past(self, part: Part, net: str, sure: bool) -> _Way:
        """This way, one part further from the cell."""
        return replace(self, net=net, through=(*self.through, part.ref), sure=self.sure and sure)

    def covers(self, other: _Way) -> bool:
        """Whether nothing can come by the other way that cannot come by this one as surely."""
        eased = self.gated <= other.gated and self.asks <= other.asks
        return self.net == other.net and eased and self.sure >= other.sure


def primary_cell_charged(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Follow current backwards from each cell that must not be charged to chargers and sources."""
    for cell in board.parts_as("cell"):
        chemistry = chemistry_of(board, cell)
        if not isinstance(chemistry, Need) and chemistry.rechargeable:
            yield Skip(f"{cell.ref} is rechargeable ({chemistry.because})")
            continue
        found = _pushed(board, cell)
        needs = _open_questions(board, found)
        if needs:
            yield Unknown(cell.ref, needs)
        elif found is None:
            yield Pass(cell.ref)
        elif isinstance(chemistry, Need):
            yield Unknown(cell.ref, (chemistry,))
        else:
            yield _charged(board, cell, chemistry, *found)


def _open_questions(board: Board, found: tuple[Part, _Way] | None) -> tuple[Need, ...]:
    """What must be known before a way, or that there is none, can be told."""
    if found is None:
        return tuple(need_role(part.ref, "charger") for part in maybe_chargers(board))
    return tuple(
        Need(
            f"whether the transistor {ref} lets current from {found[0].ref} into the cell",
            f'board.toml: [parts.{key_of(ref)}] polarity = "p" (or "n"), and pin names or a card '
            "that tell its source and drain",
        )
        for ref in sorted(found[1].asks)
    )


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
        for way in _ways_in(board, cell)
        for source in _sources_on(board, way.net)
        if not (_live_with(board, source) & way.gated)
    ]

    def order(one: tuple[Part, _Way]) -> tuple[object, ...]:
        source, way = one
        charges = board.role(source.ref).name == "charger"
        return bool(way.asks), not charges, not way.sure, natural(source.ref), len(way.through)

    return min(found, key=order, default=None)


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
    nets = board.nets_for(source, "vbus", "supply", "output")
    return frozenset(nets).union(
        *(board.reach(net, "resistor", "link", "ferrite", "fuse") for net in nets)
    )


def _ways_in(board: Board, cell: Part) -> list[_Way]:
    found: list[_Way] = []
    todo = [_Way(net) for net in plus_nets(board, cell) if not board.is_ground(net)]
    while todo:
        here = todo.pop(0)
        if any(way.covers(here) for way in found):
            continue
        found.append(here)
        for part in board.on_net(here.net):
            if part.ref not in here.through and part.ref != cell.ref:
                todo += [w for w in _before(board, part, here) if not board.is_ground(w.net)]
    return found


def _before(board: Board, part: Part, here: _Way) -> Iterator[_Way]:
    """The nets on the far side of the part from which current can come to ``here``."""
    role = board.role(part.ref).name
    if role == "transistor":
        yield from _through_transistor(board, part, here)
    elif role == "diode":
        yield from _through_diode(board, part, here)
    elif role == "link":
        yield from _through_link(board, part, here)
    elif role in PLAIN:
        yield from _through_contacts(board, part, here)


def _through_diode(board: Board, part: Part, here: _Way) -> Iterator[_Way]:
    if here.net in board.nets_for(part, "cathode"):
        for net in board.nets_for(part, "anode"):
            yield here.past(part, net, _told(board, part, "anode", "cathode"))


def _through_link(board: Board, part: Part, here: _Way) -> Iterator[_Way]:
    """A jumper that is drawn open passes nothing; one that does not say may be either."""
    joined = board.same_node(here.net)
    drawn = closed(part, False)
    for net in part.nets:
        if net != here.net and (net in joined or drawn is None):
            yield here.past(part, net, net in joined)


def _through_contacts(board: Board, part: Part, here: _Way) -> Iterator[_Way]:
    """A fuse, a coil or a switch: from its common contact to each other one, never between those."""
    commons = board.nets_for(part, "common")
    alone = len(part.nets) == 2
    for net in part.nets:
        if net == here.net or (len(commons) == 1 and commons[0] not in (net, here.net)):
            continue
        yield here.past(part, net, alone or len(commons) == 1)


def _through_transistor(board: Board, part: Part, here: _Way) -> Iterator[_Way]:
    source, drain = board.nets_for(part, "source"), board.nets_for(part, "drain")
    p_channel = _is_p_channel(board, part)
    if not source or not drain or p_channel is None:
        asks = here.asks | {part.ref}
        ends = (*source, *drain) if source and drain else part.nets
        for net in ends if here.net in ends else ():
            if net != here.net:
                yield replace(here.past(part, net, here.sure), asks=asks)
        return
    # The body diode conducts drain to source in a P-channel part, the other way in an N-channel.
    diode_in, diode_out = (drain, source) if p_channel else (source, drain)
    if here.net in diode_out:
        for net in diode_in:
            yield here.past(part, net, _told(board, part, "source", "drain"))
    elif here.net in diode_in:
        yield from _through_channel(board, part, here, diode_out, p_channel)


def _through_channel(
    board: Board, part: Part, here: _Way, ends: tuple[str, ...], p_channel: bool
) -> Iterator[_Way]:
    """Against the body diode only the channel conducts, as its gate lets it."""
    gate = frozenset(board.nets_for(part, "gate"))
    grounded = any(board.is_ground(net) for net in gate)
    if grounded and not p_channel:
        return
    tied = _tied(board, gate)
    held = all(board.role(p.ref).name in _HOLDS for g in gate for p in board.on_net(g) if p != part)
    sure = p_channel and (grounded or (held and any(board.is_ground(net) for net in tied)))
    for net in ends:
        way = here.past(part, net, sure and _told(board, part, "source", "drain"))
        yield replace(way, gated=here.gated | tied) if p_channel else way


def _tied(board: Board, gate: frozenset[str]) -> frozenset[str]:
    """The gate's nets, and those that a resistor, a link or a diode to the gate ties it to."""
    found = set(gate)
    for net in gate:
        found |= board.same_node(net)
        for part in board.on_net(net, "resistor"):
            other = board.across(part, net)
            if other is not None:
                found.add(other)
        for part in board.on_net(net, "diode"):
            if net in board.nets_for(part, "cathode"):
                found.update(board.nets_for(part, "anode"))
    return frozenset(found)


def _told(board: Board, part: Part, *functions: str) -> bool:
    """Whether its ends are known by name, by card or by statement."""
    pins = board.pins_for(part, *functions)
    return all(board.function_evidence(pin) in _FIRM for pin in pins)


def _is_p_channel(board: Board, part: Part) -> bool | None:
    stated = (board.text(part, "polarity") or "").lower()
    if stated.startswith(("p", "n")):
        return stated.startswith("p")
    said = texts_of(part).replace("_", " ")
    if _P_CHANNEL.search(said):
        return True
    return False if _N_CHANNEL.search(said) else None
