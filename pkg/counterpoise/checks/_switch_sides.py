"""Switches that are bridged, and switches with a side that leads nowhere."""

from __future__ import annotations

from counterpoise.checks._contacts import (
    PUSH,
    Terminal,
    contact,
    contact_pins,
    joined_pads,
    joints_firm,
    leads_on,
    pads_need,
    pins_as,
    terminals,
)
from counterpoise.checks._parts import pins_firm
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.wording import listed


def judge_closed(board: Board, switch: Part) -> Verdict:
    """The verdict of ``switch-always-closed`` for one switch."""
    role = board.role(switch.ref)
    doubt = "" if role.firm else role.because
    sides = [side for side in terminals(board, switch) if side.nodes]
    for side in sides:
        if len(side.nodes) > 1:
            words = {"pads": side.label, "nets": _nets(side)}
            sure = role.firm and joints_firm(board, switch)
            doubt = doubt or ("" if sure else "which pads are joined inside is from memory")
            return Fail((switch.ref,), "pair", words, switch.nets, firm=sure, doubt=doubt)
    nodes = {n for side in sides for n in side.nodes}
    if len(sides) < 2:
        return Skip(f"{switch.ref} has fewer than two terminals in use")
    if len(nodes) == 1 and not _half_open(board, switch):
        pads = listed(side.label for side in sides)
        words = {"pads": pads, "net": sorted(next(iter(nodes)))[0]}
        return Fail((switch.ref,), "bridged", words, switch.nets, firm=role.firm, doubt=doubt)
    shorted = _contact_shorted(board, switch)
    if shorted:
        words = {"pads": shorted[0], "net": shorted[1]}
        return Fail((switch.ref,), "bridged", words, switch.nets, firm=role.firm, doubt=doubt)
    return _four_pads(board, switch) or Pass(switch.ref)


def _half_open(board: Board, switch: Part) -> bool:
    """A four-pad switch with pads open whose inner joints nobody states: its other side is open."""
    pins = contact_pins(board, switch)
    unstated = not joined_pads(board, switch)[1]
    return unstated and len(pins) >= 4 and any(pin.net is None for pin in pins)


def _contact_shorted(board: Board, switch: Part) -> tuple[str, str] | None:
    """The common and the normally-open contact on one node, with more contacts elsewhere."""
    for common in pins_as(board, switch, "common"):
        for other in pins_as(board, switch, "open"):
            if common.net and other.net and other.net in board.same_node(common.net):
                return f"{common.number} and {other.number}", common.net
    return None


def _four_pads(board: Board, switch: Part) -> Verdict | None:
    """A tact switch with four numbered pads whose inner joints nobody states.

    The usual joints are 1-2 and 3-4 (common practice, no source). Wiring that fits them, or uses
    one pad of each pair, is sound either way it could be drawn; the rest waits for the fact.
    """
    if board.role(switch.ref).name != PUSH or joined_pads(board, switch)[1]:
        return None
    pins = {pin.number: pin for pin in contact_pins(board, switch)}
    if set(pins) != {"1", "2", "3", "4"}:
        return None
    on = {
        number: board.same_node(pin.net) if pin.net is not None else None
        for number, pin in pins.items()
    }
    for first, second in (("1", "2"), ("3", "4")):
        if on[first] and on[second] and on[first] != on[second]:
            return Unknown(switch.ref, (pads_need(switch),))
    return None


def judge_return(board: Board, switch: Part) -> Verdict:
    """The verdict of ``switch-no-return`` for one switch."""
    role = board.role(switch.ref)
    doubt = "" if role.firm else role.because
    sides = terminals(board, switch)
    if len(sides) < 2:
        if sides and not joined_pads(board, switch)[1]:
            need = Need(
                f"the wiring of the other side of {switch.ref}",
                "the netlist: its symbol shows one terminal only",
            )
            return Unknown(switch.ref, (need,))
        return Skip(f"{switch.ref} has no contacts in the netlist")
    leading = [s for s in sides if any(leads_on(board, switch, n) for n in s.nodes)]
    idle = [s for s in sides if s not in leading]
    common = [
        side
        for side in idle
        if any(contact(board, switch, pin) == "common" for pin in side.pins)
        and pins_firm(board, side.pins)
    ]
    nodes = {n for side in leading for n in side.nodes}
    if len(nodes) >= 2 and not common:
        return Pass(switch.ref)
    if nodes and not idle:
        return Skip(f"{switch.ref} is bridged, which is another rule's finding")
    if common and leading:
        words = {"pads": common[0].label, "nets": _nets(common[0]) or "no net"}
        return Fail((switch.ref,), "common", words, switch.nets, firm=role.firm, doubt=doubt)
    words = {
        "pads": listed(side.label for side in idle),
        "nets": listed(_nets(side) for side in idle if side.nodes) or "no net",
        "live": listed(_nets(side) for side in leading),
    }
    case = "one" if leading else "none"
    return Fail((switch.ref,), case, words, switch.nets, firm=role.firm, doubt=doubt)


def _nets(side: Terminal) -> str:
    return listed(f'"{sorted(n)[0]}"' for n in sorted(side.nodes, key=sorted))
