"""Whether a crystal's pads go where they belong."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._crystals import (
    USUAL_ORDER,
    clock_of,
    is_slow,
    live_nets,
    named_pads,
    pads_need,
    resonator_pads,
)
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.wording import listed


def judge_pads(board: Board, rule: Rule, crystal: Part) -> Verdict:
    """The verdict of ``crystal-pads`` for one crystal."""
    known = resonator_pads(board, crystal)
    if known is None:
        return Unknown(crystal.ref, (pads_need(crystal),))
    pads, sure, source = known
    ends = [pin for pin in crystal.pins if pin.number in pads]
    cases = [pin for pin in crystal.pins if pin.number not in pads]
    if len({pin.number for pin in ends}) != 2:
        return Unknown(crystal.ref, (pads_need(crystal),))
    for verdict in _misplaced(board, crystal, ends, cases, sure, source):
        return verdict
    return next(_unheard(board, crystal, ends), Pass(crystal.ref))


def _misplaced(
    board: Board, crystal: Part, ends: list[Pin], cases: list[Pin], sure: bool, source: str
) -> Iterator[Fail]:
    """Resonator pads on ground or on one net, case pads on the oscillator."""
    live = set(live_nets(board, crystal))
    grounded = [pin for pin in ends if board.is_ground(pin.net)]
    swung = [pin for pin in cases if pin.net in live]
    role = board.role(crystal.ref)
    turned = len(grounded) == 2 and bool(swung)
    # Both pairs exactly swapped is a quarter turn: two makers' drawings show pads 1 and 3 as the
    # resonator, and no MHz crystal is known the other way round.
    doubts = [] if role.firm else [role.because]
    if not sure and not (turned and not is_slow(board, crystal, ())):
        doubts.append(_weakness(source))
    firm, doubt = not doubts, "; ".join(doubts)
    names = {
        "pads": _numbers(ends),
        "grounded": named_pads(grounded),
        "swung": named_pads(swung),
        "source": source,
    }
    nets = crystal.nets
    if grounded and swung:
        yield Fail((crystal.ref,), "turned", names, nets, firm=firm, doubt=doubt)
    elif grounded:
        yield Fail((crystal.ref,), "grounded", names, nets, firm=firm, doubt=doubt)
    elif swung and {pin.net for pin in swung} - {pin.net for pin in ends}:
        yield Fail((crystal.ref,), "case-swung", names, nets, firm=firm, doubt=doubt)
    elif ends[0].net is not None and len({pin.net for pin in ends}) == 1:
        doubt = "" if role.firm else role.because
        yield Fail((crystal.ref,), "bridged", names, nets, firm=role.firm, doubt=doubt)


def _weakness(source: str) -> str:
    if source == USUAL_ORDER:
        return "the order of the pads is a habit, no standard"
    return f"the pads that {source} states are from memory"


def _unheard(board: Board, crystal: Part, ends: list[Pin]) -> Iterator[Verdict]:
    """An end that no chip hears, or that reaches another pin than the chip's oscillator."""
    role = board.role(crystal.ref)
    doubt = "" if role.firm else role.because
    clock = clock_of(board, crystal)
    if clock is None:
        open_ends = [pin for pin in ends if not _reaches_anyone(board, crystal, pin)]
        if open_ends:
            words = {"pads": named_pads(open_ends)}
            yield Fail((crystal.ref,), "open", words, crystal.nets, firm=role.firm, doubt=doubt)
        else:
            yield Unknown(crystal.ref, (pads_need(crystal),))
        return
    deaf = [side.net for side in clock.sides if not side.pins]
    if deaf:
        words = {"pads": listed(f'"{net}"' for net in deaf)}
        yield Fail((crystal.ref,), "unheard", words, tuple(deaf), firm=role.firm, doubt=doubt)
        return
    wrong = _wrong_pins(board, clock.slow, tuple(side.pins for side in clock.sides))
    if wrong:
        pin, wanted = wrong
        words = {"pin": pin.label, "wanted": listed(p.label for p in wanted)}
        yield Fail((crystal.ref, pin.ref), "wrong-pin", words, clock.nets, firm=role.firm)


def _reaches_anyone(board: Board, crystal: Part, pin: Pin) -> bool:
    return pin.net is not None and any(part.ref != crystal.ref for part in board.on_net(pin.net))


def _wrong_pins(
    board: Board, slow: bool, sides: tuple[tuple[Pin, ...], ...]
) -> tuple[Pin, tuple[Pin, ...]] | None:
    """The pin that an end reaches though the chip's card names others for this oscillator."""
    prefix = "slow-" if slow else ""
    functions = (f"{prefix}oscillator-in", f"{prefix}oscillator-out")
    for pins in sides:
        for pin in pins:
            chip = board.circuit.part(pin.ref)
            card = board.card(pin.ref)
            if chip is None or card is None or card.memory:
                continue
            wanted = board.pins_for(chip, *functions)
            reached = any(board.function_of(p) in functions for p in pins if p.ref == pin.ref)
            if len({p.number for p in wanted}) >= 2 and not reached:
                return pin, wanted
    return None


def _numbers(pins: list[Pin]) -> str:
    return listed(pin.number for pin in pins)
