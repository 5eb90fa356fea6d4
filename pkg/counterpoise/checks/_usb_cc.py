"""The rule usb-cc-pulldowns: a sink shows 5.1 kΩ to ground on each configuration contact."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from counterpoise.catalog.rules import Rule
from counterpoise.checks._usb_ports import (
    SERIES_OHM,
    Port,
    by_net_name,
    cc_pins,
    chips_on,
    far_ends,
    port_of,
    told_kind,
)
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.facts import key_of
from counterpoise.roles.paths import node
from counterpoise.roles.wording import amount, listed

_SOURCE_OHMS = ((56e3, 0.2), (22e3, 0.05), (10e3, 0.05), (36e3, 0.2), (12e3, 0.05), (4.7e3, 0.05))
"""Pull-ups by which a source tells what it offers, to 5 V and to 3.3 V, with their tolerances."""


def usb_cc_pulldowns(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Reckon the resistance (ohms) from each configuration contact of a USB-C port to ground.

    Several resistors count in parallel. A contact that a chip's own CC pin serves needs none; a
    port with pull-ups is a source and is left alone.
    """
    for part in board.parts_as("usb-connector"):
        port = port_of(board, part)
        if port.kind != "c":
            yield _not_c(board, part)
            continue
        yield from _contacts(board, rule, port)


def _not_c(board: Board, part: Part) -> Verdict:
    if told_kind(board, part):
        return Skip(f"{part.ref} is no USB-C connector")
    need = Need(
        f"whether {part.ref} is a USB-C connector",
        f'board.toml: [parts.{key_of(part.ref)}] body = "usb-c" (or name it so in its value)',
    )
    body = (board.text(part, "body") or "").lower()
    if body and "c" not in body.replace("-", " ").split():
        return Skip(f"{part.ref} is no USB-C connector")
    return Unknown(part.ref, (need,))


def _contacts(board: Board, rule: Rule, port: Port) -> Iterator[Verdict]:
    part = port.part
    pins = cc_pins(board, part)
    if not pins:
        need = Need(
            f"which pins of {part.ref} are CC1 and CC2",
            "pin names in its symbol, or a card for it in cards/*.toml with pins.cc",
        )
        yield Unknown(part.ref, (need,))
        return
    lines = [_look(board, pin) for pin in pins]
    if any(seen.source for seen in lines) and not any(seen.downs for seen in lines):
        yield Skip(f"{part.ref} offers power: its CC contacts are pulled up")
        return
    if port.plug:
        # A plug has one CC contact; the other is the cable's own supply.
        lines = [seen for seen in lines if seen.downs or seen.served] or lines[:1]
    yield from _judged(board, rule, port, lines)


@dataclass
class _Line:
    """What hangs on one contact: pull-downs, resistors to elsewhere, chips, values not read."""

    pin: Pin
    nets: frozenset[str] = frozenset()
    downs: dict[str, float] = field(default_factory=dict)
    elsewhere: dict[str, str] = field(default_factory=dict)
    source: bool = False
    served: bool = False
    chips: tuple[Pin, ...] = ()
    needs: list[Need] = field(default_factory=list)

    @property
    def ohms(self) -> float:
        return 1 / sum(1 / max(r, 1e-3) for r in self.downs.values())


def _look(board: Board, pin: Pin) -> _Line:
    if pin.net is None:
        return _Line(pin)
    nets: set[str] = set()
    todo = [(pin.net, 0.0)]
    found = _Line(pin)
    while todo:
        net, ahead = todo.pop()
        if net in nets or board.is_ground(net):
            continue
        joined = node(board, net)
        nets |= joined
        for one in sorted(joined):
            for resistor in board.on_net(one, "resistor", "resistor-array"):
                todo += _passed(board, resistor, one, ahead, found)
    found.nets = frozenset(nets)
    chips = chips_on(board, found.nets)
    found.chips = tuple(p for p in chips if p.ref != pin.ref)
    found.served = any(_serves(board, chip) for chip in found.chips)
    return found


def _passed(
    board: Board, part: Part, net: str, ahead: float, found: _Line
) -> list[tuple[str, float]]:
    """Note the resistors of one part that end on ``net``; gives the nets to follow."""
    ends = far_ends(board, part, net)
    if isinstance(ends, Need):
        found.needs.append(ends)
        return []
    return [more for end in ends for more in _resistor(board, part, end, ahead, found)]


def _serves(board: Board, pin: Pin) -> bool:
    return board.function_of(pin) == "cc" or pin.name.upper().startswith("CC")


def _resistor(
    board: Board, part: Part, other: str, ahead: float, found: _Line
) -> list[tuple[str, float]]:
    """Note one resistor to ``other``; gives the net to follow behind a small series one."""
    if part.ref in found.downs:
        return []
    value = board.value(part)
    if isinstance(value, Need):
        found.needs.append(value)
        return []
    ohms = value.value.middle
    if any(board.is_ground(n) for n in node(board, other)):
        found.downs[part.ref] = ahead + ohms
    elif ohms <= SERIES_OHM:
        return [(other, ahead + ohms)]
    elif any(abs(ohms - up) <= up * spread for up, spread in _SOURCE_OHMS) and _live(board, other):
        found.source = True
    elif not chips_on(board, node(board, other)) or _live(board, other):
        found.elsewhere[part.ref] = other
    else:
        found.needs.append(_who(part.ref, f"what {part.ref} joins {found.pin.label} to"))
    return []


def _live(board: Board, net: str) -> bool:
    """Whether a net is a supply."""
    if not isinstance(board.volts(net), Need):
        return True
    return any(net in board.nets_for(p, "vbus") for p in board.on_net(net, "usb-connector"))


def _who(ref: str, what: str) -> Need:
    return Need(what, f'board.toml: [parts.{key_of(ref)}] role = "…", or a card with pins.cc')


def _judged(board: Board, rule: Rule, port: Port, lines: list[_Line]) -> Iterator[Verdict]:
    part = port.part
    firm = board.role(part.ref).firm and not any(by_net_name(board, s.pin) for s in lines)
    shared = _shared(lines)
    if shared and not any(seen.served for seen in lines):
        words = {
            "pins": listed(s.pin.label for s in lines),
            "parts": listed(shared.downs),
            "ohms": amount(shared.ohms, "Ω"),
            "seen": amount(1 / (1 / shared.ohms + 1 / 1e3), "Ω"),
        }
        nets = tuple(sorted(shared.nets))
        yield Fail((part.ref, *sorted(shared.downs)), "shared", words, nets, firm=firm)
        return
    verdicts = [_one(board, rule, port, seen, firm) for seen in lines]
    fails = _missing_told_once(verdicts)
    unknown = [v for v in verdicts if isinstance(v, Unknown)]
    if fails:
        yield from fails
    elif unknown:
        yield Unknown(part.ref, tuple(dict.fromkeys(n for v in unknown for n in v.needs)))
    else:
        yield Pass(part.ref)


def _shared(lines: list[_Line]) -> _Line | None:
    for i, one in enumerate(lines):
        for other in lines[i + 1 :]:
            if one.downs and one.nets & other.nets:
                return one
    return None


def _missing_told_once(verdicts: list[Verdict]) -> list[Fail]:
    """The failures, with several bare contacts told in one sentence."""
    fails = [v for v in verdicts if isinstance(v, Fail)]
    bare = [v for v in fails if v.case == "missing"]
    rest = [v for v in fails if v.case != "missing"]
    if len(bare) > 1:
        first = bare[0]
        words = {**first.words, "pin": listed(v.words["pin"] for v in bare)}
        nets = tuple(n for v in bare for n in v.nets)
        return [Fail(first.subjects, "missing", words, nets, firm=first.firm), *rest]
    return fails


def _one(board: Board, rule: Rule, port: Port, seen: _Line, firm: bool) -> Verdict:
    ref, pin = port.part.ref, seen.pin
    nets = (pin.net,) if pin.net else ()
    if seen.served:
        return Pass(ref)
    if pin.net is not None and pin.net in board.nets_for(port.part, "vbus"):
        return Fail((ref,), "supply", {"pin": pin.label, "net": pin.net}, nets, firm=firm)
    if seen.downs:
        return _valued(rule, ref, seen, firm)
    if seen.needs:
        return Unknown(ref, tuple(seen.needs))
    if seen.chips:
        chip = seen.chips[0]
        return Unknown(
            ref, (_who(chip.ref, f"whether {chip.label} holds the pull-down of {pin.label}"),)
        )
    if seen.elsewhere:
        resistor, net = next(iter(sorted(seen.elsewhere.items())))
        words = {"pin": pin.label, "part": resistor, "net": net}
        return Fail((ref, resistor), "elsewhere", words, (*nets, net), firm=firm)
    case = "grounded" if _grounded(board, pin) else "missing"
    return Fail((ref,), case, {"pin": pin.label}, nets, firm=firm)


def _grounded(board: Board, pin: Pin) -> bool:
    return pin.net is not None and any(board.is_ground(net) for net in node(board, pin.net))


def _valued(rule: Rule, ref: str, seen: _Line, firm: bool) -> Verdict:
    limit = rule.limit("pull-down")
    ohms = seen.ohms
    if limit.low <= ohms <= limit.high:
        return Pass(ref)
    words = {
        "pin": seen.pin.label,
        "parts": listed(sorted(seen.downs)),
        "ohms": amount(ohms, "Ω"),
    }
    return Fail(
        (ref, *sorted(seen.downs)),
        "value",
        words,
        nets=tuple(sorted(seen.nets)),
        measured=Measured(round(ohms, 3), "Ω"),
        limit=Limit(limit.low, limit.high, "Ω"),
        firm=firm and not rule.limits["pull-down"].memory,
    )
