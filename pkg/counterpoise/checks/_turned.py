"""Capacitors and diodes that have a polarity, against the levels on their pads."""

from __future__ import annotations

import re

from counterpoise.checks._leds import polarity_need, poles
from counterpoise.checks._parts import pins_firm, supply
from counterpoise.model.circuit import Part, Pin, PinKind
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Severity, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.rails import Rail
from counterpoise.roles.wording import span

_POLAR = re.compile(
    r"(?<!un)(?<!non)(?<!non-)polari[sz]ed|(?<![a-z0-9])CP(?![a-z0-9])|tantal|electrolytic|\belko\b"
    r"|aluminium|EIA-\d{4}-",
    re.I,
)
_UNPOLAR = re.compile(r"unpolari[sz]ed|non-?polari[sz]ed|ceramic", re.I)
_CLAMPS = ("zener", "clamp")


def is_polar(part: Part) -> bool:
    """Whether a capacitor has a polarity, by its texts and pin names."""
    if any(pin.name.strip() in ("+", "-") for pin in part.pins):
        return True
    text = f"{part.symbol} {part.footprint} {part.value} {part.description}"
    own = f"{part.symbol} {part.footprint} {part.value}"
    return bool(_POLAR.search(own) or (_POLAR.search(text) and not _UNPOLAR.search(text)))


def judge_capacitor(board: Board, part: Part) -> Verdict:
    """The verdict of ``polar-cap-reversed`` for one polarised capacitor."""
    ends = _ends(board, part)
    if ends is None:
        need = Need(f"which pad of {part.ref} is positive", "the symbol: name its pins + and -")
        return Unknown(part.ref, (need,))
    plus, minus, firm = ends
    if plus.net is None or minus.net is None:
        return Skip(f"{part.ref} is joined on one side only")
    firm = firm and board.role(part.ref).firm
    doubt = "" if firm else "its pads are taken by usual numbering: 1 positive"
    words = {"plus": plus.net, "minus": minus.net}
    nets = (plus.net, minus.net)
    if board.is_ground(minus.net):
        return Pass(part.ref)
    if board.is_ground(plus.net):
        return Fail((part.ref,), "grounded", words, nets, firm=firm, doubt=doubt)
    high, low = board.volts(plus.net), board.volts(minus.net)
    if isinstance(high, Need) or isinstance(low, Need):
        needs = tuple(rail for rail in (high, low) if isinstance(rail, Need))
        return Unknown(part.ref, needs)
    if high.volts.high < low.volts.low:
        words |= {"high": span(high.volts, "V"), "low": span(low.volts, "V")}
        sure = firm and high.firm and low.firm
        return Fail((part.ref,), "below", words, nets, firm=sure, doubt=doubt)
    return Pass(part.ref)


def _ends(board: Board, part: Part) -> tuple[Pin, Pin, bool] | None:
    """The positive and the negative pin, and whether that is firm; None where nothing tells."""
    plus = board.pins_for(part, "plus", "anode")
    minus = board.pins_for(part, "minus", "cathode")
    named = (*plus, *minus)
    if len(part.pins) == 2 and len(named) == 1:
        # The other pad of two is the other end, whatever its number.
        other = tuple(pin for pin in part.pins if pin not in named)
        plus, minus = plus or other, minus or other
    if plus and minus:
        return plus[0], minus[0], pins_firm(board, named)
    numbered = {pin.number: pin for pin in part.pins}
    if set(numbered) == {"1", "2"}:
        return numbered["1"], numbered["2"], False
    return None


def judge_diode(board: Board, part: Part) -> Verdict:
    """The verdict of ``diode-reversed`` for one diode or clamp."""
    anodes, cathodes, firm = poles(board, part)
    if not anodes or not cathodes:
        if len(part.pins) > 2:
            return Skip(f"{part.ref} has several diodes inside")
        if board.role(part.ref).name == "clamp":
            return Skip(f"{part.ref} may clamp both ways: its pads have no polarity")
        return Unknown(part.ref, (polarity_need(part),))
    if len(anodes) > 1 or len(cathodes) > 1:
        return Skip(f"{part.ref} has several diodes inside")
    anode, cathode = anodes[0], cathodes[0]
    if anode.net is None or cathode.net is None:
        return Skip(f"{part.ref} is joined on one side only")
    role = board.role(part.ref)
    firm = firm and role.firm
    doubt = "" if firm else "its pads are taken by usual numbering: 1 cathode, 2 anode"
    fail = (
        _grounded(board, part, anode.net, cathode.net)
        or _against(board, part, anode.net, cathode.net)
        or _into_socket(board, part, anode.net, cathode.net)
    )
    if fail is None:
        return Pass(part.ref)
    case, words, severity = fail
    nets = (anode.net, cathode.net)
    return Fail((part.ref,), case, words, nets, severity=severity, firm=firm, doubt=doubt)


def _grounded(
    board: Board, part: Part, anode: str, cathode: str
) -> tuple[str, dict[str, str], Severity | None] | None:
    """A cathode on ground conducts whenever its anode is above a diode's drop."""
    if not board.is_ground(cathode) or board.is_ground(anode):
        return None
    words = {"anode": anode, "cathode": cathode}
    if supply(board, anode) is not None:
        return "across", words, None
    if board.role(part.ref).name in _CLAMPS:
        return "clamp", words, None
    return None


def _against(
    board: Board, part: Part, anode: str, cathode: str
) -> tuple[str, dict[str, str], Severity | None] | None:
    """A series diode whose cathode is at the source and whose anode feeds the load."""
    if board.role(part.ref).name != "diode":
        return None
    source = supply(board, cathode)
    # Ground has a level too, so that a diode from ground to a supply is none of these.
    if source is None or not source.firm or isinstance(board.volts(anode), Rail):
        return None
    fed = [
        pin
        for pin in board.circuit.pins_on(anode)
        if pin.ref != part.ref
        and (board.function_of(pin) == "supply" or pin.kind is PinKind.POWER_IN)
    ]
    if not fed:
        return None
    words = {"anode": anode, "cathode": cathode, "fed": fed[0].label}
    return "against", words, None


def _into_socket(
    board: Board, part: Part, anode: str, cathode: str
) -> tuple[str, dict[str, str], Severity | None] | None:
    """A diode that lets the board's own supply out into a USB socket and nothing in.

    Only a step-up converter or a supply with a source of its own may mean that.
    """
    if board.role(part.ref).name != "diode":
        return None
    source = supply(board, anode)
    sockets = [
        socket
        for net in sorted(board.reach(cathode, "fuse", "ferrite", "link"))
        for socket in board.on_net(net, "usb-connector")
        if net in board.nets_for(socket, "vbus")
    ]
    if source is None or not sockets or _steps_up(board, anode):
        return None
    if not all(board.role(ref).name in ("cell", "charger") for ref in source.drivers):
        return None
    words = {"anode": anode, "cathode": cathode, "socket": sockets[0].ref}
    return "back", words, Severity.CAUTION


def _steps_up(board: Board, net: str) -> bool:
    """Whether the net is a switching node, with a coil on it; a rail has one too where a converter
    takes its supply from it."""
    takes = any(board.function_of(pin) == "supply" for pin in board.circuit.pins_on(net))
    return bool(board.on_net(net, "inductor")) and not takes
