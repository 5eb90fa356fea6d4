"""The current through each LED, from its supply, its resistors and its forward voltage."""

from __future__ import annotations

import re
from dataclasses import replace

from counterpoise.catalog.rules import Rule
from counterpoise.checks._leds import End, Level, end_of, polarity_need, poles
from counterpoise.checks._parts import distinct
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import (
    Fail,
    Limit,
    Measured,
    Pass,
    Severity,
    Skip,
    Unknown,
    Verdict,
)
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import manifest_line
from counterpoise.roles.wording import amount, refs, span
from counterpoise.values.eseries import nearest
from counterpoise.values.ranges import Range

_COLOURS = (
    (re.compile(r"\bIR\b|infra", re.I), "infrared"),
    (re.compile(r"red|rot\b", re.I), "red"),
    (re.compile(r"orange|amber", re.I), "amber"),
    (re.compile(r"yellow|yel\b", re.I), "yellow"),
    (re.compile(r"green|grn\b", re.I), "green"),
    (re.compile(r"blue|white|blu\b|wht\b", re.I), "blue"),
)
_LIMITERS = ("chip", "logic", "unknown", "power-path")
_DRIVER = re.compile(r"(IN)?LED[_-]?([A-Z]|\d{1,2})?|LED(DRV|SINK|OUT)\d?")
"""A pin named for LEDs may regulate their current, whatever else its chip does."""


def forward_of(board: Board, rule: Rule, led: Part) -> tuple[Range, bool]:
    """Its forward voltage and whether that is stated: else by colour, else any visible LED's."""
    stated = board.known(led, "forward")
    if isinstance(stated, Known):
        return stated.value, stated.firm
    texts = " ".join((led.value, led.description, *led.fields.values()))
    for pattern, colour in _COLOURS:
        if pattern.search(texts):
            return rule.limit(f"forward-{colour}"), False
    return rule.limit("forward"), False


def judge_current(board: Board, rule: Rule, led: Part) -> Verdict:
    """The verdict of ``led-current`` for one LED."""
    anodes, cathodes, _ = poles(board, led)
    if not anodes or not cathodes:
        return Unknown(led.ref, (polarity_need(led),))
    plus = _first_end(board, led, anodes, anode=True)
    minus = _first_end(board, led, cathodes, anode=False)
    if plus is None or minus is None:
        return Skip(f"{led.ref} is joined on one side only")
    if plus.grounded or (minus.level is not None and not minus.grounded and plus.level is None):
        return Skip(f"{led.ref} is turned round, which is another rule's finding")
    resistors = [p for p in distinct((*plus.resistors, *minus.resistors)) if _limits(board, p)]
    if not resistors:
        return _unlimited(board, led, plus, minus)
    return _through(board, rule, led, (plus, minus), resistors)


def _first_end(board: Board, led: Part, pins: tuple[Pin, ...], *, anode: bool) -> End | None:
    nets = (pin.net for pin in pins if pin.net is not None)
    return next((end_of(board, led, net, anode=anode) for net in nets), None)


def _limits(board: Board, part: Part) -> bool:
    return board.role(part.ref).name == "resistor"


def _unlimited(board: Board, led: Part, plus: End, minus: End) -> Verdict:
    """No resistor: a stop between two supplies, else it depends on what drives it."""
    firm = board.role(led.ref).firm
    words = {"plus": plus.net, "minus": minus.net}
    nets = (plus.net, minus.net)
    if plus.level is not None and minus.level is not None:
        return Fail((led.ref,), "bare", words, nets, firm=firm and plus.level.driven)
    pins = (*plus.pins, *minus.pins)
    if not pins:
        return Skip(f"nothing drives {led.ref}")
    pin = pins[0]
    chip = board.circuit.part(pin.ref)
    limits = board.flag(chip, "limits_led") if chip is not None else None
    if limits:
        return Pass(led.ref)
    may_limit = board.role(pin.ref).name in _LIMITERS or _DRIVER.fullmatch(pin.name.upper())
    if limits is None and may_limit:
        what = f"whether {pin.label} limits the current of {led.ref}"
        where = manifest_line(pin.ref, "limits_led = true") + " (or false)"
        return Unknown(led.ref, (Need(what, where),))
    words["pin"] = pin.label
    return Fail((led.ref,), "pin", words, nets, severity=Severity.CAUTION, firm=firm)


def _through(
    board: Board, rule: Rule, led: Part, ends: tuple[End, End], resistors: list[Part]
) -> Verdict:
    values = [board.value(part) for part in resistors]
    needs = tuple(value for value in values if isinstance(value, Need))
    source = ends[0].level  # the anode's, which is not ground here
    if needs:
        return Unknown(led.ref, needs)
    ohms = sum(value.value.middle for value in values if isinstance(value, Known))
    volts = source.volts if source is not None else _pin_supply(board, ends)
    if volts is None:
        pin = next((p for e in ends for p in e.pins), None)
        if pin is None:
            return Skip(f"nothing drives {led.ref}")
        rail = board.volts(pin.net)
        if board.function_of(pin) == "supply" and isinstance(rail, Need):
            return Unknown(led.ref, (rail,))
        need = Need(
            f"the supply of {pin.ref}, which lights {led.ref}",
            manifest_line(pin.ref, 'supply = "3.3 V"'),
        )
        return Unknown(led.ref, (need,))
    if ohms <= 0:
        return _unlimited(board, led, *ends)
    forward, firm = forward_of(board, rule, led)
    found = _held(rule, led, resistors, volts, forward, ohms, firm)
    if isinstance(found, Fail) and not (board.role(led.ref).firm and _driven(source)):
        return replace(found, firm=False)
    return found


def _driven(source: Level | None) -> bool:
    """Whether parts give the supply, not its name alone; a pin is judged by its chip's rail."""
    return source is None or source.driven


def _pin_supply(board: Board, ends: tuple[End, End]) -> Range | None:
    """The rail of the chip whose pin lights it: a pin swings between its rails."""
    for end in ends:
        for pin in end.pins:
            chip = board.circuit.part(pin.ref)
            for net in board.nets_for(chip, "supply") if chip else ():
                rail = board.volts(net)
                if not isinstance(rail, Need):
                    return rail.volts
    return None


def _held(
    rule: Rule,
    led: Part,
    resistors: list[Part],
    volts: Range,
    forward: Range,
    ohms: float,
    firm: bool,
) -> Verdict:
    limit = rule.limit("current")
    subjects = (led.ref, *(part.ref for part in resistors))
    if volts.high <= forward.low:
        words = {"forward": span(forward, "V"), "volts": span(volts, "V")}
        shown = Measured(volts.high, "V")
        return Fail(subjects, "dark", words, severity=Severity.CAUTION, measured=shown)
    drop = volts - forward
    current = Range(max(0.0, drop.low) / ohms, drop.high / ohms)
    # What is advised must not burn the LED where the supply is high and its forward voltage low.
    aim = max(drop.middle / rule.limit("aim").high, drop.high / limit.high)
    words = {
        "resistors": refs(resistors),
        "ohms": amount(ohms, "Ω"),
        "current": span(current, "A"),
        "volts": span(volts, "V"),
        "forward": span(forward, "V"),
        "value": amount(nearest(aim, "E24"), "Ω"),
        "aim": amount(rule.limit("aim").high, "A"),
        "least": amount(limit.low, "A"),
        "most": amount(limit.high, "A"),
    }
    bounds = Limit(limit.low * 1e3, limit.high * 1e3, "mA")
    if current.low > limit.high:
        shown = Measured(round(current.low * 1e3, 3), "mA")
        far = current.low > 2 * limit.high
        return Fail(
            subjects,
            "over",
            words,
            measured=shown,
            limit=bounds,
            severity=None if far else Severity.CAUTION,
            firm=firm or far,
        )
    if current.high < limit.low:
        shown = Measured(round(current.high * 1e3, 4), "mA")
        return Fail(
            subjects, "under", words, measured=shown, limit=bounds, severity=Severity.CAUTION
        )
    # A rail that sweeps over the limit with a sure forward voltage is no doubt.
    if current.within(limit.low, limit.high) is None and not (firm and forward.sure):
        need = Need(
            f"the forward voltage of {led.ref}", manifest_line(led.ref, 'forward = "2.0 V"')
        )
        return Unknown(led.ref, (need,))
    return Pass(led.ref)
