"""Three-pad resonators: two ends at the oscillator, one pad for ground."""

from __future__ import annotations

from counterpoise.checks._crystals import (
    USUAL_ORDER,
    load_capacitors,
    named_pads,
    pads_need,
    resonator_pads,
)
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.verdicts import Fail, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.paths import node
from counterpoise.roles.refdes import natural
from counterpoise.roles.wording import listed

_OSCILLATOR = ("oscillator-in", "oscillator-out", "slow-oscillator-in", "slow-oscillator-out")
_MOST_HZ = 100e6
"""Above this a three-pad resonator is a surface wave one, of which one end may be grounded."""


def has_three_pads(board: Board, part: Part) -> bool:
    """Whether the rule for three pads judges the part: resonators, and crystals whose pads nothing
    tells apart."""
    if len({pin.number for pin in part.pins}) != 3:
        return False
    resonator = board.role(part.ref).name == "resonator"
    return resonator or resonator_pads(board, part) is None


def judge_three(board: Board, part: Part) -> Verdict:
    """The verdict of ``crystal-pads`` for a resonator or crystal of three pads.

    One pad alone is ground, by the habit of makers the middle one (Murata CSTCE and CSTNE data
    sheets: terminals 1 and 3, ground 2; from memory).
    """
    ends, sure, source = _ends(board, part)
    pins = {pin.number: pin for pin in part.pins}
    grounded = [pin for pin in pins.values() if board.is_ground(pin.net)]
    wrong = [pin for pin in ends if pin in grounded]
    middle = [pin for pin in pins.values() if pin not in ends]
    words = {
        "pads": listed(pin.number for pin in ends),
        "grounded": named_pads(wrong),
        "swung": named_pads(middle),
        "source": source,
    }
    role = board.role(part.ref)
    doubt = "" if sure and role.firm else "the order of the pads is a habit, no standard"
    if len(grounded) > 1 and wrong:
        firm = role.firm and _swings(board, part)
        doubt = "" if firm else doubt
        return Fail((part.ref,), "grounded", words, part.nets, firm=firm, doubt=doubt)
    if wrong and role.name == "crystal" and not sure:
        # Cans with a third lead for the case have it in the middle or at an end.
        return Unknown(part.ref, (pads_need(part),))
    if wrong:
        firm = role.firm and sure and _swings(board, part)
        doubt = "" if firm else doubt
        case = "shifted" if _is_live(board, middle[0]) else "grounded"
        return Fail((part.ref,), case, words, part.nets, firm=firm, doubt=doubt)
    if ends[0].net is not None and ends[0].net == ends[1].net:
        return Fail((part.ref,), "bridged", words, part.nets, firm=role.firm)
    return _sound(board, part, ends, middle[0], words)


def _sound(
    board: Board, part: Part, ends: tuple[Pin, Pin], middle: Pin, words: dict[str, str]
) -> Verdict:
    """What is left to say where no end is on ground."""
    lonely = [pin for pin in ends if not _is_live(board, pin)]
    if len(lonely) == 1 and board.is_ground(middle.net):
        told = {**words, "pads": named_pads(lonely)}
        return Fail((part.ref,), "open", told, part.nets, severity=Severity.CAUTION, firm=False)
    if lonely:
        return Unknown(part.ref, (pads_need(part),))
    held = all(load_capacitors(board, str(pin.net)) for pin in ends)
    crystal = board.role(part.ref).name == "crystal"
    if board.is_ground(middle.net) or held or (crystal and not _is_live(board, middle)):
        return Pass(part.ref)
    return Fail((part.ref,), "lifted", words, part.nets, severity=Severity.CAUTION, firm=False)


def _ends(board: Board, part: Part) -> tuple[tuple[Pin, Pin], bool, str]:
    pins = {pin.number: pin for pin in part.pins}
    known = resonator_pads(board, part)
    if known is not None and len(set(known[0]) & set(pins)) == 2:
        one, two = sorted(set(known[0]) & set(pins), key=natural)
        return (pins[one], pins[two]), known[1], known[2]
    one, _, two = sorted(pins, key=natural)
    return (pins[one], pins[two]), False, USUAL_ORDER


def _is_live(board: Board, pin: Pin) -> bool:
    """Whether the pad leads to another part, and not to ground."""
    if pin.net is None or board.is_ground(pin.net):
        return False
    return any(part.ref != pin.ref for net in node(board, pin.net) for part in board.on_net(net))


def _swings(board: Board, part: Part) -> bool:
    """Whether the part surely is the resonator of a chip's oscillator: by the pins it stands on, or
    by a frequency at which such resonators swing."""
    frequency = board.known(part, "frequency")
    if isinstance(frequency, Known):
        return frequency.value.high < _MOST_HZ
    return any(
        board.function_of(pin) in _OSCILLATOR
        for net in part.nets
        if not board.is_ground(net)
        for pin in board.circuit.pins_on(net)
    )
