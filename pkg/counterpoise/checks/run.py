"""Runs rules over a board and turns verdicts into findings and coverage."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from importlib import import_module
from typing import TypeAlias

from counterpoise.catalog.rules import RANKS, Rule
from counterpoise.model.facts import Need
from counterpoise.model.manifest import Manifest, RuleOverride, Waiver
from counterpoise.model.verdicts import (
    Coverage,
    Fail,
    Finding,
    Pass,
    Severity,
    Skip,
    Unknown,
    Verdict,
)
from counterpoise.roles.board import Board
from counterpoise.roles.refdes import natural

Check: TypeAlias = Callable[[Board, Rule], Iterator[Verdict]]

_FILE_NEEDS = {
    "netlist": Need(
        "a netlist or a board file with nets",
        'board.toml: [board] netlist = "…" (or name the file)',
        True,
    ),
    "layout": Need("the board file", 'board.toml: [board] layout = "…" (or --layout FILE)', True),
    "bom": Need("the BOM", 'board.toml: [board] bom = "…" (or --bom FILE)', True),
    "placement": Need(
        "the placement file", 'board.toml: [board] centroid = "…" (or --centroid FILE)', True
    ),
}


_CLOUDS = "duplicate-reference"
"""The rule whose finding makes doubtful whatever is said of the same ref: which of the two parts is
meant nobody can tell."""


def function_of(rule: Rule) -> Check:
    """The function of the rule's slug, from the module named like the rule's TOML file.

    Raises:
        LookupError: there is none.
    """
    module = import_module(f"counterpoise.checks.{rule.domain.replace('-', '_')}")
    found = getattr(module, rule.slug.replace("-", "_"), None)
    if found is None:
        raise LookupError(f"{rule.domain} has no function for the rule {rule.slug}")
    check: Check = found
    return check


@dataclass(frozen=True, slots=True)
class Outcome:
    """What all the rules said."""

    findings: tuple[Finding, ...]
    coverage: tuple[Coverage, ...]


def judge(
    board: Board,
    rules: Iterable[tuple[Rule, Check]],
    *,
    guard: bool = False,
    today: str | None = None,
) -> Outcome:
    """Run each rule on the board.

    ``guard`` turns a fault inside a rule into *cannot judge*, so that one faulty rule does not hide the
    others' answers. ``today`` (ISO date) ends waivers whose ``until`` lies before it.
    """
    rules = tuple(rules)
    findings: list[Finding] = []
    coverage: list[Coverage] = []
    order: dict[str, int] = {}
    for position, (rule, check) in enumerate(rules):
        order[rule.slug] = position
        override = board.manifest.rules.get(rule.slug, RuleOverride())
        limited = rule.with_limits(override.limits)
        found, covered = _judge_one(board, limited, check, override, guard)
        findings += found
        coverage.append(covered)
    waived = [_waive(finding, board.manifest, today) for finding in _told_apart(findings)]
    ranks = {rule.slug: RANKS.index(rule.rank) for rule, _ in rules}
    told = sorted(_folded(waived, rules), key=lambda f: _worst_first(f, ranks, order))
    return Outcome(tuple(told), tuple(coverage))


def _worst_first(
    finding: Finding, ranks: Mapping[str, int], order: Mapping[str, int]
) -> tuple[object, ...]:
    return (
        finding.severity is not Severity.STOP,
        ranks[finding.rule],
        order[finding.rule],
        [natural(subject) for subject in finding.subjects],
        finding.fingerprint,
    )


def _judge_one(
    board: Board, rule: Rule, check: Check, override: RuleOverride, guard: bool
) -> tuple[list[Finding], Coverage]:
    if override.severity == "off":
        return [], Coverage(rule.slug, "not-applicable", 0, "switched off in the manifest")
    if rule.roles and board.circuit.parts and not board.parts_as(*rule.roles):
        return [], Coverage(rule.slug, "not-applicable", 0, rule.absent)
    missing = tuple(_FILE_NEEDS[need] for need in rule.needs if not _has(board, need))
    if missing:
        return [], Coverage(
            rule.slug, "unknown", 0, f"needs {' and '.join(n.what for n in missing)}", missing
        )
    try:
        verdicts = list(check(board, rule))
    except Exception as fault:
        if not guard:
            raise
        need = Need(
            f"a repair of counterpoise: {type(fault).__name__} inside this rule", "please report it"
        )
        return [], Coverage(rule.slug, "unknown", 0, need.what, (need,))
    findings = [
        _finding(rule, verdict, override) for verdict in verdicts if isinstance(verdict, Fail)
    ]
    return findings, _coverage(rule, verdicts)


def _has(board: Board, need: str) -> bool:
    match need:
        case "netlist":
            return board.circuit.knows_wiring and bool(board.circuit.parts)
        case "layout":
            return board.layout is not None
        case "bom":
            return board.design.bom is not None
        case "placement":
            return board.design.placements is not None
        case _:
            return True


def _coverage(rule: Rule, verdicts: list[Verdict]) -> Coverage:
    judged = sum(isinstance(v, Pass | Fail) for v in verdicts)
    unknown = [v for v in verdicts if isinstance(v, Unknown)]
    needs = tuple(dict.fromkeys(need for v in unknown for need in v.needs))
    reason = "; ".join(dict.fromkeys(f"needs {need.what}" for need in needs))
    if any(isinstance(v, Fail) for v in verdicts):
        return Coverage(rule.slug, "fail", judged, reason, needs)
    if unknown:
        return Coverage(rule.slug, "unknown", judged, reason, needs)
    if judged:
        return Coverage(rule.slug, "pass", judged)
    skips = "; ".join(dict.fromkeys(v.reason for v in verdicts if isinstance(v, Skip)))
    return Coverage(rule.slug, "not-applicable", 0, skips or rule.absent)


def _finding(rule: Rule, fail: Fail, override: RuleOverride) -> Finding:
    severity = Severity(override.severity) if override.severity else fail.severity or rule.severity
    if not fail.firm or (rule.severity is Severity.CAUTION and not override.severity):
        severity = Severity.CAUTION
    words = {"subject": fail.subjects[0] if fail.subjects else "the board", **fail.words}
    message = _sentence(rule.says[fail.case].format_map(words), (*fail.subjects, *fail.nets))
    if fail.doubt:
        message += f" ({fail.doubt})"
    key = "|".join((rule.slug, fail.case, *sorted(fail.subjects), fail.words.get("pin", "")))
    return Finding(
        rule=rule.slug,
        severity=severity,
        subjects=fail.subjects,
        nets=tuple(sorted(set(fail.nets))),
        place=fail.place,
        measured=fail.measured,
        limit=fail.limit,
        message=message,
        remedy=rule.remedies.get(fail.case, rule.remedy).format_map(words),
        sources=rule.sources,
        fingerprint=hashlib.sha256(key.encode()).hexdigest()[:16],
    )


def _sentence(text: str, names: tuple[str, ...]) -> str:
    """The text with a capital at its start, unless it starts with the name of a part or net."""
    first = text.partition(" ")[0]
    return text[:1].upper() + text[1:] if first.isalpha() and first not in names else text


def _told_apart(findings: list[Finding]) -> Iterator[Finding]:
    """Two findings alike but for their figures get fingerprints of their own, in a settled order."""
    seen: dict[str, int] = {}
    for finding in sorted(findings, key=lambda f: (f.fingerprint, f.nets, f.message)):
        count = seen[finding.fingerprint] = seen.get(finding.fingerprint, 0) + 1
        yield (
            finding
            if count == 1
            else replace(finding, fingerprint=f"{finding.fingerprint}-{count}")
        )


def _waive(finding: Finding, manifest: Manifest, today: str | None) -> Finding:
    for waiver in manifest.waivers:
        if waiver.rule == finding.rule and _covers(waiver, finding, today):
            until = f" (until {waiver.until})" if waiver.until else ""
            return replace(finding, waived=waiver.reason + until)
    return finding


def _covers(waiver: Waiver, finding: Finding, today: str | None) -> bool:
    ended = today is not None and waiver.until is not None and waiver.until < today
    return not ended and (
        waiver.subject == "*"
        or waiver.subject in finding.subjects
        or waiver.subject == finding.fingerprint
        or (not finding.subjects and waiver.subject in ("", "board"))
    )


def _folded(findings: list[Finding], rules: Iterable[tuple[Rule, Check]]) -> list[Finding]:
    """One cause, one stop: a finding whose rule yields to another that blames the same part is told
    beneath it. A stop is never hidden beneath a caution."""
    yields = {rule.slug: _yields_to(rule) for rule, _ in rules}
    causes = [_cause(finding, findings, yields) for finding in findings]
    beneath: dict[int, list[str]] = {}
    for position, finding in enumerate(findings):
        root = _root(position, causes)
        if root != position:
            beneath.setdefault(root, []).append(finding.message)
    return [
        replace(finding, under=tuple(sorted(beneath.get(position, ()))))
        for position, finding in enumerate(findings)
        if _root(position, causes) == position
    ]


def _yields_to(rule: Rule) -> tuple[str, ...]:
    return rule.yields_to if rule.slug == _CLOUDS else (*rule.yields_to, _CLOUDS)


def _cause(
    finding: Finding, findings: list[Finding], yields: Mapping[str, tuple[str, ...]]
) -> int | None:
    for position, other in enumerate(findings):
        worse = other.severity is Severity.STOP or finding.severity is Severity.CAUTION
        if (
            other.rule in yields[finding.rule]
            and other.waived is None
            and worse
            and set(other.subjects) & set(finding.subjects)
        ):
            return position
    return None


def _root(position: int, causes: list[int | None]) -> int:
    """The finding that this one is told beneath in the end; itself when none is, or in a ring."""
    seen = [position]
    while (cause := causes[seen[-1]]) is not None:
        if cause in seen:
            return position
        seen.append(cause)
    return seen[-1]
