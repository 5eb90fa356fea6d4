"""USB rules about power: how much capacitance and current hangs on the socket, and its shell."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._usb_ports import cc_pins, port_of
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.charging import charge_current, shown_current
from counterpoise.roles.paths import Bypass, bypass, node
from counterpoise.roles.wording import amount, listed, refs

_SERIES = ("fuse", "ferrite", "link", "inductor")


# -- usb-vbus-capacitance ------------------------------------------------------------------------
def usb_vbus_capacitance(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Sum the capacitors (farads, nominal) on each sink's supply, fuses and beads passed, and hold
    the sum against what a port may see; what a diode separates is told, not counted."""
    for part in board.parts_as("usb-connector"):
        if port_of(board, part).host or _is_fed(board, part):
            yield Skip(f"{part.ref} gives power")
            continue
        nets = vbus_nets(board, part)
        if not nets:
            need = Need(
                f"which pin of {part.ref} is its 5 V supply",
                "pin names in its symbol, or a card for it in cards/*.toml with pins.vbus",
            )
            yield Unknown(part.ref, (need,))
            continue
        yield _capacitance(board, rule, part, nets)


def vbus_nets(board: Board, part: Part) -> frozenset[str]:
    """The connector's supply nets with all behind fuses, beads, coils and links."""
    found: set[str] = set()
    for net in board.nets_for(part, "vbus"):
        if not board.is_ground(net):
            found |= node(board, net) | board.reach(net, *_SERIES)
    return frozenset(n for n in found if not board.is_ground(n))


def _is_fed(board: Board, part: Part) -> bool:
    """Whether a step-up converter on the board feeds the connector: it is a host's then."""
    nets = vbus_nets(board, part)
    return any(
        nets & set(board.nets_for(source, "output"))
        for net in nets
        for source in board.on_net(net, "boost", "buck-boost")
    )


def is_source(board: Board, part: Part) -> bool:
    """Whether the connector gives power instead of taking it."""
    return port_of(board, part).host or _is_fed(board, part)


def _capacitance(board: Board, rule: Rule, part: Part, nets: frozenset[str]) -> Verdict:
    found = bypass(board, sorted(nets))
    low, high = rule.limit("total").low, rule.limit("total").high
    most = high * (1 + rule.limit("slack").high)
    total = found.farads
    case = _amiss(found, low * 0.95, most)
    if found.unread and case != "high":
        return Unknown(part.ref, tuple(found.unread.values()))
    if not case:
        return Pass(part.ref)
    words = {
        "sum": amount(total, "F"),
        "parts": refs(found.parts) or "no capacitor",
        "behind": _behind(board, nets),
        "most": amount(high, "F"),
        "least": amount(low, "F"),
    }
    return Fail(
        (part.ref,),
        case,
        words,
        nets=tuple(sorted(nets)),
        measured=Measured(round(total * 1e6, 6), "µF"),
        limit=Limit(low * 1e6, high * 1e6, "µF"),
        firm=board.role(part.ref).firm,
    )


def _amiss(found: Bypass, least: float, most: float) -> str:
    """What is wrong with the sum of farads, "" for nothing."""
    if not found.parts:
        return "none"
    if found.farads > most:
        return "high"
    return "low" if found.farads < least else ""


def _behind(board: Board, nets: frozenset[str]) -> str:
    """What stands behind a diode, in words."""
    said = []
    for net in sorted(nets):
        for diode in board.on_net(net, "diode"):
            if net in board.nets_for(diode, "anode"):
                for far in board.nets_for(diode, "cathode"):
                    more = bypass(board, node(board, far))
                    if more.parts and far not in nets:
                        said.append(f"{amount(more.farads, 'F')} more behind {diode.ref}")
    return f" ({listed(said)})" if said else ""


# -- usb-current ---------------------------------------------------------------------------------
def usb_current(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Add the charge current and the modes' peak (A) and hold the sum against the port's limit."""
    for part in board.parts_as("usb-connector"):
        if is_source(board, part):
            yield Skip(f"{part.ref} gives power")
            continue
        if any(_negotiates(board, net) for pin in cc_pins(board, part) if (net := pin.net)):
            yield Skip(f"a chip on the CC contacts of {part.ref} reads what it may draw")
            continue
        yield _drawn(board, rule, part)


def _negotiates(board: Board, net: str) -> bool:
    return any(
        board.function_of(pin) == "cc" and board.role(pin.ref).name != "usb-connector"
        for pin in board.circuit.pins_on(net)
    )


def _drawn(board: Board, rule: Rule, part: Part) -> Verdict:
    nets = vbus_nets(board, part)
    behind = nets.union(*(board.reach(net, "diode", "resistor", *_SERIES) for net in nets))
    chargers = [c for c in board.parts_as("charger") if behind & set(board.nets_for(c, "supply"))]
    limit = rule.limit("current").high
    low, high, says, needs = 0.0, 0.0, [], []
    firm = True
    for charger in chargers:
        current = charge_current(board, charger)
        if isinstance(current, Need):
            needs.append(current)
            continue
        if board.pins_for(charger, "input-limit"):
            continue
        low, high = low + current.amperes.low, high + current.amperes.high
        firm = firm and current.firm
        says.append(f"{charger.ref} charges with {shown_current(current.amperes)}")
    modes = board.manifest.modes
    peak = max((mode.peak_a or mode.current_a for mode in modes), default=0.0)
    if modes:
        says.append(f"the load takes {amount(peak, 'A')}")
    low, high = low + peak, high + peak
    if low > limit:
        words = {"sum": amount((low + high) / 2, "A"), "parts": listed(says)}
        return Fail(
            (part.ref, *(c.ref for c in chargers)),
            "over",
            {**words, "most": amount(limit, "A")},
            measured=Measured(round((low + high) * 500, 3), "mA"),
            limit=Limit(None, limit * 1e3, "mA"),
            firm=firm,
        )
    if not modes:
        needs.append(
            Need("the currents of the board's modes", 'board.toml: [modes.hold] current = "6 mA"')
        )
    if needs or high > limit * 1.1:
        exact = Need(f"the draw on {part.ref} more closely", "board.toml: [modes.hold] current")
        return Unknown(part.ref, tuple(needs) or (exact,))
    return Pass(part.ref)


# -- usb-shield ----------------------------------------------------------------------------------
def usb_shield(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that every shell pin of a connector reaches ground, straight or through small parts."""
    for part in board.parts_as("usb-connector"):
        pins = board.pins_for(part, "shield", "mount")
        if not pins:
            yield Skip(f"{part.ref} has no shell pin in the drawing")
            continue
        joined = {pin.net: _bonded(board, part, pin.net) for pin in pins}
        floating = [pin for pin in pins if joined[pin.net] is False]
        if any(value is None for value in joined.values()):
            net = next(n for n, v in joined.items() if v is None)
            need = Need(
                f"whether {net}, on the shell of {part.ref}, is bonded to ground off the board",
                f'board.toml: [[waivers]] rule = "usb-shield", subject = "{part.ref}", …',
            )
            yield Unknown(part.ref, (need,))
        elif not floating:
            yield Pass(part.ref)
        else:
            split = len(floating) < len(pins)
            words = {"pins": listed(pin.label for pin in floating)}
            yield Fail((part.ref,), "split" if split else "floating", words)


def _bonded(board: Board, part: Part, net: str | None) -> bool | None:
    """True when the net reaches ground; None when it leads to a screw or another connector."""
    if net is None:
        return False
    near = board.reach(net, "resistor", "capacitor", *_SERIES) | node(board, net)
    for one in near:
        if board.is_ground(one) or board.to_ground(one):
            return True
    others = [p for one in near for p in board.on_net(one) if p.ref != part.ref]
    kinds = {board.role(p.ref).name for p in others}
    if kinds & {"mechanical", "connector", "unknown", "chip"}:
        return None
    return False
