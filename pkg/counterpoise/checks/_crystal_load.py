"""Which load a crystal sees, and what that does to its frequency."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from counterpoise.catalog.rules import Rule
from counterpoise.checks._crystal_sums import capacitor_for, load_seen, pull_ppm
from counterpoise.checks._crystals import Clock, Side, own_load, own_load_firm
from counterpoise.checks._parts import distinct
from counterpoise.model.circuit import Part
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
from counterpoise.roles.facts import manifest_line, need
from counterpoise.roles.wording import amount, refs, span
from counterpoise.values.eseries import nearest
from counterpoise.values.ranges import Range

ZERO = Range(0.0, 0.0)
SMALLEST = 0.5e-12
STRAY_NEED = Need(
    "the stray capacitance across the crystal (tracks and both pins)",
    'board.toml: [board] stray = "2 pF to 3 pF"',
)


@dataclass(frozen=True, slots=True)
class Load:
    """The load across a crystal in farads: ``fixed`` by the board, ``trim`` what firmware may add.

    ``stray`` is the part of ``fixed`` that is no capacitor. ``firm`` is False where a figure from
    memory or a guess carries it.
    """

    fixed: Range
    trim: Range
    stray: Range
    firm: bool

    @property
    def settled(self) -> bool:
        """Whether firmware has no say in it."""
        return self.trim.sure


def load_of(board: Board, rule: Rule, clock: Clock) -> Load | tuple[Need, ...]:
    """The load that the crystal sees, or the facts that are missing to tell it."""
    stray, firm = stray_of(board, rule, clock)
    across = _sum(board, board.between(*clock.nets, "capacitor"))
    sums = [*(_side_sum(board, side) for side in clock.sides), across]
    needs = [one for _, _, missing in sums for one in missing]
    if needs:
        return tuple(dict.fromkeys(needs))
    (a, _, _), (b, _, _), (right_across, _, _) = sums
    firm = firm and all(each for _, each, _ in sums)
    external = load_seen(a, b, stray) if a.low + b.low > 0 else stray
    external = external + right_across
    if not own_load(board, clock):
        return Load(external, ZERO, stray, firm)
    return _with_own(board, clock, external, stray, firm)


def _with_own(
    board: Board, clock: Clock, external: Range, stray: Range, firm: bool
) -> Load | tuple[Need, ...]:
    assert clock.chip is not None
    firm = firm and own_load_firm(board, clock)
    inside = Need("", "") if clock.slow else board.known(clock.chip, "internal_load_capacitance")
    if isinstance(inside, Need):
        # What the chip adds is set by firmware or unknown: from nothing upwards.
        return Load(external, Range(0.0, float("inf")), stray, firm)
    if inside.value.sure:
        return Load(external + inside.value, ZERO, stray, firm and inside.firm)
    return Load(external, inside.value, stray, firm and inside.firm)


def stray_of(board: Board, rule: Rule, clock: Clock) -> tuple[Range, bool]:
    """The stray across the crystal: stated, else from the chip's pins and usual tracks, else the
    usual range of both together."""
    stated = board.manifest.board.stray_f
    if stated is not None:
        return stated, True
    pins = board.known(clock.chip, "pin_capacitance") if clock.chip else Need("", "")
    if isinstance(pins, Known):
        # Each pin has it to ground: both in series are half of one.
        return pins.value * 0.5 + rule.limit("track-stray"), pins.firm
    return rule.limit("stray"), True


def _side_sum(board: Board, side: Side) -> tuple[Range, bool, list[Need]]:
    near, firm_near, needs = _sum(board, side.near)
    far, firm_far, more = _sum(board, side.far)
    # A capacitor behind the series resistor counts in part: from not at all to wholly.
    total = near + Range(0.0 if side.near else far.low, far.high)
    return total, firm_near and firm_far, needs + more


def _sum(board: Board, capacitors: Iterable[Part]) -> tuple[Range, bool, list[Need]]:
    total, firm, needs = ZERO, True, list[Need]()
    for capacitor in capacitors:
        value = board.value(capacitor)
        if isinstance(value, Need):
            needs.append(value)
        else:
            total, firm = total + value.value, firm and value.firm
    return total, firm, needs


def narrower(
    board: Board, clock: Clock, stray: Range, *facts: tuple[Part, str]
) -> tuple[Need, ...]:
    """What settles a result that straddles its limit: the stray and each fact that is a range."""
    capacitors = ((capacitor, "capacitance") for capacitor in _capacitors(clock))
    needs = [] if stray.sure else [STRAY_NEED]
    for part, key in (*facts, *capacitors):
        known = board.known(part, key)
        if isinstance(known, Known) and not known.value.sure:
            what = f"a narrower {key.replace('_', ' ')} of {part.ref}"
            needs.append(Need(what, need(part, key).where))
    return tuple(needs) or (STRAY_NEED,)


def judge_load(board: Board, rule: Rule, clock: Clock) -> Verdict:
    """The verdict of ``crystal-load`` for one crystal whose ends are known."""
    crystal = clock.crystal
    bare = [side for side in clock.sides if not side.capacitors]
    own = own_load(board, clock)
    if bare and not own:
        return Skip(f"{crystal.ref} lacks load capacitors, which is another rule's finding")
    load = load_of(board, rule, clock)
    cut_for = board.known(crystal, "load")
    if not isinstance(load, Load):
        return Unknown(crystal.ref, load)
    if isinstance(cut_for, Need):
        return _implausible(rule, clock, load) or Unknown(crystal.ref, (cut_for,))
    firm = load.firm and cut_for.firm and board.role(crystal.ref).firm
    if load.settled:
        return _settled(board, rule, clock, load, cut_for.value, firm)
    return _trimmed(board, rule, clock, load, cut_for.value, firm)


def _implausible(rule: Rule, clock: Clock, load: Load) -> Fail | None:
    """Even with the cut unknown, some loads are no crystal's."""
    usual = rule.limit("usual-load")
    if load.fixed.low <= usual.high:
        return None
    return Fail(
        subjects=(clock.crystal.ref, *(c.ref for c in _capacitors(clock))),
        case="implausible",
        words={
            "seen": span(load.fixed, "F"),
            "caps": refs(_capacitors(clock)),
            "usual": span(usual, "F"),
        },
        nets=clock.nets,
        measured=Measured(round(load.fixed.low * 1e12, 3), "pF"),
        limit=Limit(usual.low * 1e12, usual.high * 1e12, "pF"),
        firm=False,
        doubt="the load it was cut for is not stated",
    )


def _trimmed(
    board: Board, rule: Rule, clock: Clock, load: Load, cut_for: Range, firm: bool
) -> Verdict:
    """The chip's own capacitors are set in firmware: some setting must reach the load."""
    assert clock.chip is not None
    slack = _slack(rule)
    if load.fixed.low > cut_for.high + slack:
        return _off(board, rule, clock, load.fixed, cut_for, firm)
    if load.trim.high == float("inf"):
        if load.fixed.high >= cut_for.low - slack or not any(s.capacitors for s in clock.sides):
            return Pass(clock.crystal.ref)
        return Unknown(
            clock.crystal.ref,
            (
                Need(
                    f"the load capacitance inside {clock.chip.ref}",
                    manifest_line(clock.chip.ref, 'internal_load_capacitance = "0 pF to 10 pF"'),
                ),
            ),
        )
    reach = load.fixed + load.trim
    if reach.high < cut_for.low - slack:
        return _off(board, rule, clock, reach, cut_for, firm)
    return Pass(clock.crystal.ref)


def _slack(rule: Rule) -> float:
    """How far in farads it may be off; a float's last digit decides nothing."""
    return rule.limit("load-error").high + 1e-18


def _settled(
    board: Board, rule: Rule, clock: Clock, load: Load, cut_for: Range, firm: bool
) -> Verdict:
    seen, crystal = load.fixed, clock.crystal
    motional = board.known(crystal, "motional_capacitance")
    shunt = board.known(crystal, "shunt_capacitance")
    if isinstance(motional, Known) and isinstance(shunt, Known):
        pull = pull_ppm(motional.value, shunt.value, seen, cut_for)
        limit = pull_limit(board, rule, clock)
        inside = pull.within(-limit, limit)
        firm = firm and motional.firm and shunt.firm
    else:
        pull = None
        slack = _slack(rule)
        inside = (seen - cut_for).within(-slack, slack)
    if inside is None:
        facts = ("load", *(("motional_capacitance", "shunt_capacitance") if pull else ()))
        asked = narrower(board, clock, load.stray, *((crystal, key) for key in facts))
        return Unknown(crystal.ref, asked)
    return Pass(crystal.ref) if inside else _off(board, rule, clock, seen, cut_for, firm, pull)


def pull_limit(board: Board, rule: Rule, clock: Clock) -> float:
    """The frequency error in ppm that the load alone may cause."""
    if clock.slow:
        return rule.limit("slow-pull").high
    allowed = board.known(clock.chip, "clock_tolerance") if clock.chip else None
    if isinstance(allowed, Known) and allowed.firm:
        return allowed.value.low
    return rule.limit("pull").high


def _off(
    board: Board,
    rule: Rule,
    clock: Clock,
    seen: Range,
    cut_for: Range,
    firm: bool,
    pull: Range | None = None,
) -> Fail:
    slack = rule.limit("load-error").high
    high = seen.low > cut_for.high
    nearest_end = seen.low if high else seen.high
    words = {
        "seen": span(seen, "F"),
        "target": span(cut_for, "F"),
        "caps": refs(_capacitors(clock)) or "no capacitor",
        "effect": "slow" if high else "fast",
        "chip": clock.chip.ref if clock.chip else "the chip",
        "value": "",
        "pull": f"about {abs(pull.middle):.0f} ppm " if pull else "",
    }
    wanted = capacitor_for(cut_for.middle, stray_of(board, rule, clock)[0].middle)
    case = "off"
    if own_load(board, clock):
        case = "off-trimmed"
    elif wanted < SMALLEST:
        case = "stray-alone"
    else:
        words["value"] = amount(nearest(wanted, "E24"), "F")
    if pull is not None:
        limit_ppm = pull_limit(board, rule, clock)
        measured, limit = (
            Measured(round(pull.middle, 1), "ppm"),
            Limit(-limit_ppm, limit_ppm, "ppm"),
        )
    else:
        measured = Measured(round(nearest_end * 1e12, 3), "pF")
        limit = Limit(
            round((cut_for.low - slack) * 1e12, 3), round((cut_for.high + slack) * 1e12, 3), "pF"
        )
    return Fail(
        subjects=(clock.crystal.ref, *(c.ref for c in _capacitors(clock))),
        case=case,
        words=words,
        nets=clock.nets,
        measured=measured,
        limit=limit,
        severity=_severity(board, clock, seen, cut_for),
        firm=firm,
        doubt="" if firm else _doubt(board, clock),
    )


def _doubt(board: Board, clock: Clock) -> str:
    role = board.role(clock.crystal.ref)
    return "a figure is from memory" if role.firm else role.because


def _severity(board: Board, clock: Clock, seen: Range, cut_for: Range) -> Severity | None:
    """A radio leaves its channel; a plain clock is only off, unless the load keeps it from starting
    (the transconductance it asks for grows with the square of the load, ST AN2867)."""
    if seen.low > 2 * cut_for.high:
        return None
    role = board.role(clock.chip.ref) if clock.chip else None
    plain = role is not None and role.firm and role.name in ("controller", "sensor", "logic")
    return Severity.CAUTION if clock.slow or plain else None


def _capacitors(clock: Clock) -> tuple[Part, ...]:
    first, second = clock.sides
    return distinct((*first.capacitors, *second.capacitors))
