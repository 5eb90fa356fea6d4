"""A crystal's frequency against what its chip asks, its tolerance budget, its start."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._crystal_load import STRAY_NEED, ZERO, load_of, narrower
from counterpoise.checks._crystal_sums import critical_transconductance, pull_ppm
from counterpoise.checks._crystals import Clock
from counterpoise.checks._parts import fact_firm
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import manifest_line
from counterpoise.roles.wording import amount, figure, span
from counterpoise.values.ranges import Range

_STANDARDS = {
    "ieee-802.15.4": "ieee-802-15-4",
    "802.15.4": "ieee-802-15-4",
    "zigbee": "ieee-802-15-4",
    "thread": "ieee-802-15-4",
    "bluetooth-le": "bluetooth-le",
    "bluetooth": "bluetooth-le",
    "ble": "bluetooth-le",
}
_CARRIER_MHZ = 2440.0
_RADIOS = ("radio",)
_UNNAMED = ("chip", "unknown")


def judge_frequency(board: Board, rule: Rule, clock: Clock) -> Verdict:
    """The verdict of ``crystal-frequency`` for one crystal."""
    crystal, chip = clock.crystal, clock.chip
    if chip is None:
        return Skip(f"{crystal.ref} feeds no chip")
    if clock.slow:
        return Skip(f"{crystal.ref} is a tuning fork: chips with a slow oscillator take 32.768 kHz")
    asked = board.known(chip, "frequency")
    role = board.role(chip.ref)
    if isinstance(asked, Need):
        if role.name == "controller" and role.firm:
            return Skip(f"nothing says that {chip.ref} asks for one frequency")
        return Unknown(crystal.ref, (asked,))
    marked = board.known(crystal, "frequency")
    if isinstance(marked, Need):
        return Unknown(crystal.ref, (marked,))
    slack = rule.limit("apart").high * 1e-6
    wide = Range(asked.value.low * (1 - slack), asked.value.high * (1 + slack))
    inside = marked.value.within(wide.low, wide.high)
    if inside is None:
        return Unknown(crystal.ref, (asked_need(chip.ref),))
    if inside:
        return Pass(crystal.ref)
    firm = marked.firm and asked.firm
    doubts = [] if firm else ["a figure is from memory"]
    if not board.role(crystal.ref).firm:
        doubts.append(board.role(crystal.ref).because)
    return Fail(
        (crystal.ref, chip.ref),
        "differs",
        {"marked": _megahertz(marked.value), "chip": chip.ref, "asked": _megahertz(asked.value)},
        clock.nets,
        measured=Measured(marked.value.middle / 1e6, "MHz"),
        limit=Limit(asked.value.low / 1e6, asked.value.high / 1e6, "MHz"),
        firm=not doubts,
        doubt="; ".join(doubts),
    )


def _megahertz(value: Range) -> str:
    """To the six figures that crystals are marked with: 32.033 and 32 MHz read otherwise."""
    ends = dict.fromkeys(f"{end / 1e6:.6g}" for end in (value.low, value.high))
    return f"{' to '.join(ends)} MHz"


def asked_need(chip: str) -> Need:
    """The need for the frequency that a chip asks for."""
    return Need(f"the frequency {chip} asks for", manifest_line(chip, 'frequency = "32 MHz"'))


def budget_of(board: Board, rule: Rule, clock: Clock) -> tuple[float, str, bool] | Need:
    """What the radio allows in ppm, its name, and whether that is firm."""
    assert clock.chip is not None
    stated = board.manifest.board.radio
    standard = stated or board.text(clock.chip, "radio_standard")
    for name, limit in _STANDARDS.items():
        if standard and name in standard.casefold():
            bound = rule.limits[limit]
            firm = not bound.memory and (
                bool(stated) or fact_firm(board, clock.chip, "radio_standard")
            )
            return bound.range.high, standard, firm
    allowed = board.known(clock.chip, "clock_tolerance")
    if isinstance(allowed, Known):
        return allowed.value.low, f"the sheet of {clock.chip.ref}", allowed.firm
    return Need(
        "the radio standard, whose budget the crystal must keep",
        'board.toml: [board] radio = "bluetooth-le"',
    )


def judge_budget(board: Board, rule: Rule, clock: Clock) -> Verdict:
    """The verdict of ``radio-frequency-error`` for one crystal."""
    crystal, chip = clock.crystal, clock.chip
    if chip is None or clock.slow:
        return Skip(f"{crystal.ref} clocks no radio")
    role = board.role(chip.ref).name
    if role not in _RADIOS and not (role in _UNNAMED and board.manifest.board.radio):
        return Skip(f"{chip.ref}, which {crystal.ref} clocks, is not known as a radio")
    budget = budget_of(board, rule, clock)
    facts = [board.known(crystal, key) for key in ("tolerance", "stability")]
    needs = [fact for fact in (budget, *facts) if isinstance(fact, Need)]
    pulled = _pull(board, rule, clock)
    if isinstance(pulled, tuple):
        needs += pulled
    if needs or isinstance(budget, Need) or isinstance(pulled, tuple):
        return Unknown(crystal.ref, tuple(dict.fromkeys(needs)))
    known = [fact for fact in facts if isinstance(fact, Known)]
    ageing = board.known(crystal, "ageing")
    aged = ageing.value if isinstance(ageing, Known) else rule.limit("ageing")
    total = known[0].value + known[1].value + aged + pulled.value
    allowed, standard, firm = budget
    inside = total.at_most(allowed * (1 + 1e-9))
    if inside is None:
        return Unknown(crystal.ref, tuple(_doubts(board, clock, ageing)))
    if inside:
        return Pass(crystal.ref)
    firm = firm and pulled.firm and all(fact.firm for fact in known)
    words = {
        "total": span(total, "ppm"),
        "hertz": amount(total.low * _CARRIER_MHZ, "Hz"),
        "allowed": f"{allowed:.0f} ppm",
        "standard": standard,
        "parts": " + ".join(
            f"{name} {span(value, 'ppm')}"
            for name, value in (
                ("tolerance", known[0].value),
                ("temperature", known[1].value),
                ("first year", aged),
                ("load", pulled.value),
            )
        ),
    }
    return Fail(
        (crystal.ref, chip.ref),
        "over",
        words,
        clock.nets,
        measured=Measured(round(total.low, 1), "ppm"),
        limit=Limit(None, allowed, "ppm"),
        firm=firm,
        doubt="" if firm else "part of the sum is estimated or from memory",
    )


def _pull(board: Board, rule: Rule, clock: Clock) -> Known | tuple[Need, ...]:
    """The size of the load's frequency error in ppm: computed, else from the usual sensitivity."""
    load = load_of(board, rule, clock)
    cut_for = board.known(clock.crystal, "load")
    if isinstance(load, tuple):
        return load
    if isinstance(cut_for, Need):
        return (cut_for,)
    if not load.settled:
        return Known(Range.of(0.0), "trimmed in firmware")
    motional = board.known(clock.crystal, "motional_capacitance")
    shunt = board.known(clock.crystal, "shunt_capacitance")
    if isinstance(motional, Known) and isinstance(shunt, Known):
        pull = pull_ppm(motional.value, shunt.value, load.fixed, cut_for.value)
        firm = load.firm and cut_for.firm and motional.firm and shunt.firm
        return Known(_size(pull), "computed", firm)
    apart = _size(load.fixed - cut_for.value) * 1e12
    return Known(apart * rule.limit("pull-per-picofarad"), "estimated", firm=False)


def _size(value: Range) -> Range:
    low, high = abs(value.low), abs(value.high)
    return Range(0.0 if 0 in value else min(low, high), max(low, high))


def _doubts(board: Board, clock: Clock, ageing: Known | Need) -> Iterator[Need]:
    if board.manifest.board.stray_f is None:
        yield STRAY_NEED
    for key in ("motional_capacitance", "shunt_capacitance"):
        fact = board.known(clock.crystal, key)
        if isinstance(fact, Need):
            yield fact
    if isinstance(ageing, Need):
        yield ageing
    yield Need(
        f"a narrower tolerance of {clock.crystal.ref}",
        manifest_line(clock.crystal.ref, 'tolerance = "10 ppm"'),
    )


def judge_start(board: Board, rule: Rule, clock: Clock) -> Verdict:
    """The verdict of ``crystal-start-margin`` for one crystal."""
    crystal, chip = clock.crystal, clock.chip
    if chip is None:
        return Skip(f"{crystal.ref} feeds no chip")
    facts = [
        board.known(chip, "transconductance"),
        *(board.known(crystal, key) for key in ("esr", "frequency", "shunt_capacitance")),
    ]
    load = load_of(board, rule, clock)
    needs = [fact for fact in facts if isinstance(fact, Need)]
    if isinstance(load, tuple):
        needs += load
    if needs or isinstance(load, tuple):
        return Unknown(crystal.ref, tuple(dict.fromkeys(needs)))
    gm, esr, frequency, shunt = (fact for fact in facts if isinstance(fact, Known))
    top = load.fixed if load.settled else board.known(crystal, "load")
    if isinstance(top, Need):
        return Unknown(crystal.ref, (top,))
    seen = top.value if isinstance(top, Known) else top
    critical = critical_transconductance(
        esr.value, frequency.value, shunt.value, seen, _series(board, clock)
    )
    margin = gm.value / critical
    least = rule.limit("margin").low
    inside = margin.at_least(least)
    if inside is None:
        unsure = [(chip, "transconductance")]
        unsure += [(crystal, key) for key in ("esr", "shunt_capacitance", "load")]
        stray = load.stray if load.settled else ZERO
        return Unknown(crystal.ref, narrower(board, clock, stray, *unsure))
    if inside:
        return Pass(crystal.ref)
    return Fail(
        (crystal.ref, chip.ref),
        "low",
        {"chip": chip.ref, "margin": figure(margin.high), "least": figure(least)},
        clock.nets,
        measured=Measured(round(margin.high, 2), ""),
        limit=Limit(least, None, ""),
    )


def _series(board: Board, clock: Clock) -> float:
    """Ohms of the series resistors between chip and crystal; an unreadable one counts as none."""
    parts = {part.ref: part for side in clock.sides for part in side.series}
    values = [
        board.value(part)
        for part in parts.values()
        if board.role(part.ref).name in ("resistor", "link")
    ]
    return sum(value.value.middle for value in values if isinstance(value, Known))
