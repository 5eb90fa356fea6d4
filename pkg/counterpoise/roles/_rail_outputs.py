"""What converters make: output by fact, by feedback divider, by order code or net name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.roles._rail_level import Level, path_volts, written
from counterpoise.roles.dividers import divided, halves, side_by_side
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import stating
from counterpoise.roles.voltages import level_by_name, volts_in_code
from counterpoise.roles.wording import listed
from counterpoise.values.ranges import Range

if TYPE_CHECKING:
    from counterpoise.roles.board import Board

CONVERTERS = ("regulator", "boost", "buck", "buck-boost")
_USUAL_TOLERANCE = 0.01


def by_divider(board: Board, part: Part, output: str) -> Level | None:
    """Output by the resistors above and below the feedback pin, in volts."""
    reference = board.known(part, "reference")
    feedback = board.nets_for(part, "feedback")
    if not isinstance(reference, Known) or len(feedback) != 1:
        return None
    above, below = halves(board, board.same_node(output), feedback[0])
    if not above or not below:
        return None
    top = side_by_side(board, above, _USUAL_TOLERANCE)
    bottom = side_by_side(board, below, _USUAL_TOLERANCE)
    if isinstance(top, Need) or isinstance(bottom, Need):
        return None
    grounded = bool(board.pins_for(part, "ground"))
    volts = divided(reference.value, top, bottom, grounded=grounded)
    firm = reference.firm and board.role(part.ref).firm
    says = f"{part.ref} makes {written(volts)} by {listed([*above, *below])}"
    return Level(volts, (part.ref,), says, firm)


def setting(board: Board, part: Part, output: str) -> Level | Need:
    """The voltage a converter is set to on its output net."""
    fact = board.known(part, "output")
    if isinstance(fact, Known) and (fact.value.sure or fact.value.high <= 1.15 * fact.value.low):
        firm = fact.firm and board.role(part.ref).firm
        return Level(fact.value, (part.ref,), f"{part.ref} makes {written(fact.value)}", firm)
    divided = by_divider(board, part, output)
    if divided is not None:
        return divided
    return _hinted(board, part, output) or Need(
        f"the output voltage of {part.ref}",
        stating(part.ref, "output", "3.3 V"),
    )


def _hinted(board: Board, part: Part, output: str) -> Level | None:
    """By the digits of its code or by its net's name: never firm."""
    named = level_by_name(board.same_node(output))
    adjustable = bool(board.nets_for(part, "feedback"))
    coded = None if adjustable else volts_in_code(board.order_code(part.ref) or part.value)
    if named is not None and (coded is None or coded in named.volts):
        says = f"{part.ref} drives it and {named.because}"
        return Level(named.volts, (part.ref,), says, firm=False)
    if coded is None or named is not None:
        return None
    volts = Range.of(coded)
    return Level(volts, (part.ref,), f"{part.ref}'s code reads as {written(volts)}", firm=False)


def under_load(board: Board, part: Part, made: Level, fed: Level | None) -> Level:
    """A converter's output once its input's range is taken into account.

    A linear regulator drops out; a boost converter fed above its setting passes its input on.
    """
    role = board.role(part.ref).name
    if fed is None:
        return Level(made.volts, made.drivers, made.because, made.firm and role != "regulator")
    if role == "regulator":
        return _dropping(board, part, made, fed)
    if role == "buck" and fed.volts.low < made.volts.low:
        low = max(fed.volts.low, 0.0)
        return _bounded(made, low, made.volts.high, f"{part.ref} passes its input below that", fed)
    if role == "boost" and fed.volts.high > made.volts.high:
        return _bounded(
            made, made.volts.low, fed.volts.high, f"{part.ref} passes a higher input on", fed
        )
    return made


def _bounded(made: Level, low: float, high: float, says: str, fed: Level) -> Level:
    because = f"{made.because}; {says}"
    return Level(Range(min(low, high), high), made.drivers, because, made.firm and fed.firm)


def _dropping(board: Board, part: Part, made: Level, fed: Level) -> Level:
    fact = board.known(part, "dropout")
    dropout = fact.value if isinstance(fact, Known) else path_volts("dropout")
    if fed.volts.low - dropout.high >= made.volts.low:
        return made
    # How much it drops depends on the load: sure is only that it cannot give more than it gets.
    sure = isinstance(fact, Known) and fact.firm and fed.volts.low < made.volts.low
    least = dropout.high if isinstance(fact, Known) else 0.3
    low = round(max(min(made.volts.low, fed.volts.low - least), 0.0), 6)
    high = max(min(made.volts.high, fed.volts.high), low)
    bounded = _bounded(made, low, high, f"{part.ref} drops out below its input", fed)
    return Level(bounded.volts, bounded.drivers, bounded.because, bounded.firm and sure)


def output_nets(board: Board, part: Part) -> tuple[str, ...]:
    """The nets a converter drives: its output pins, else behind the switching node's diode (boost)
    or inductor (buck)."""
    found = [n for n in board.nets_for(part, "output") if not board.is_ground(n)]
    if found:
        return tuple(found)
    role = board.role(part.ref).name
    behind = {"boost": ("diode",), "buck": ("inductor",)}.get(role, ())
    switching = board.nets_for(part, "switch-node") or _unsmoothed(board, part, role)
    nets = {
        other
        for net in switching
        for p in board.on_net(net, *behind)
        if behind and (other := board.across(p, net)) is not None and not board.is_ground(other)
    }
    return tuple(sorted(nets))


def _unsmoothed(board: Board, part: Part, role: str) -> tuple[str, ...]:
    """The nets of a buck converter whose pins are unknown that have an inductor and no capacitor to
    ground: its switching node."""
    if role != "buck" or any(board.function_of(pin) for pin in part.pins):
        return ()
    return tuple(
        net
        for net in part.nets
        if board.on_net(net, "inductor") and not board.to_ground(net, "capacitor")
    )
