"""Whether an LED can light at all the way it is turned."""

from __future__ import annotations

from counterpoise.checks._leds import End, Level, end_of, polarity_need, poles
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.facts import key_of
from counterpoise.roles.wording import refs

_LIFTERS = ("boost", "buck-boost", "buck", "regulator", "charger", "power-path")
_LIFTING = ("output", "switch-node", "system", "cell")


def judge_turned(board: Board, led: Part) -> Verdict:
    """The verdict of ``led-reversed`` for one LED."""
    anodes, cathodes, firm = poles(board, led)
    if not anodes or not cathodes:
        return Unknown(led.ref, (polarity_need(led),))
    plus = [end_of(board, led, pin.net, anode=True) for pin in anodes if pin.net is not None]
    minus = [end_of(board, led, pin.net, anode=False) for pin in cathodes if pin.net is not None]
    if not plus or not minus:
        return Skip(f"{led.ref} is joined on one side only")
    found = [_pair(board, led, a, k) for a in plus for k in minus]
    sound = next((v for v in found if isinstance(v, Pass)), None)
    if sound is not None:
        return sound
    fail = next((v for v in found if isinstance(v, Fail)), None)
    if fail is None:
        return found[0]
    role = board.role(led.ref)
    if firm and role.firm:
        return fail
    why = "its pads are taken by usual numbering: 1 cathode, 2 anode" if not firm else role.because
    return Fail(fail.subjects, fail.case, fail.words, fail.nets, firm=False, doubt=why)


def _pair(board: Board, led: Part, anode: End, cathode: End) -> Verdict:
    words = {
        "anode": anode.net,
        "cathode": cathode.net,
        "through": refs((*anode.resistors, *cathode.resistors)),
    }
    nets = (anode.net, cathode.net)
    if anode.grounded and cathode.grounded:
        return Skip(f"both ends of {led.ref} are on ground")
    if anode.grounded:
        # No pin on a board with one supply goes below ground, whatever drives the cathode.
        return Fail((led.ref,), "anode-grounded", words, nets)
    if cathode.grounded:
        return Pass(led.ref)
    if anode.level is not None and cathode.level is not None:
        return _between_rails(led, anode.level, cathode.level, words, nets)
    if cathode.level is not None:
        return _cathode_up(board, led, anode, words, nets)
    if anode.level is not None:
        return Pass(led.ref)
    up, down = (_supplies(board, end) for end in (anode, cathode))
    if up and not down:
        return Pass(led.ref)
    if down and not up:
        doubt = f'"{cathode.net}" is a supply whose voltage is not known'
        return Fail((led.ref,), "cathode-up", words, nets, firm=False, doubt=doubt)
    if not anode.pins or not cathode.pins:
        return Skip(f"an end of {led.ref} leads to no supply and no driving pin")
    # Between two driven pins either may go high.
    return Skip(f"{led.ref} lies between two driven pins, which may light it either way")


def _supplies(board: Board, end: End) -> bool:
    """Whether the end lies straight on a net that a chip is supplied from, of unknown voltage."""
    return any(board.function_of(pin) == "supply" for pin in end.pins if pin.net == end.net)


def _between_rails(
    led: Part, anode: Level, cathode: Level, words: dict[str, str], nets: tuple[str, str]
) -> Verdict:
    firm = anode.firm and cathode.firm
    if anode.volts.high <= cathode.volts.low:
        return Fail((led.ref,), "cathode-up", words, nets, firm=firm)
    if anode.volts.low > cathode.volts.high:
        return Pass(led.ref)
    need = Need(
        f'the voltages of "{nets[0]}" and "{nets[1]}"',
        "board.toml: the supply or output of the parts that drive them",
    )
    return Unknown(led.ref, (need,))


def _cathode_up(
    board: Board, led: Part, anode: End, words: dict[str, str], nets: tuple[str, str]
) -> Verdict:
    lifted = [
        pin
        for pin in anode.pins
        if board.role(pin.ref).name in _LIFTERS and board.function_of(pin) in _LIFTING
    ]
    if lifted:
        need = Need(
            f'the voltage of "{anode.net}", which {lifted[0].label} drives',
            f'board.toml: [parts.{key_of(lifted[0].ref)}] output = "5 V"',
        )
        return Unknown(led.ref, (need,))
    return Fail((led.ref,), "cathode-up", words, nets)
