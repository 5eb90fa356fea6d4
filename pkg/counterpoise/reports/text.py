"""The report as a note for a person at a terminal: good at 80 columns, colour where asked for."""

from __future__ import annotations

import re
from collections.abc import Iterator

from counterpoise.model.facts import Need
from counterpoise.model.report import Estimates, Report
from counterpoise.model.verdicts import Coverage, Finding, Severity
from counterpoise.reports._page import Page
from counterpoise.reports._plain import plain
from counterpoise.reports._words import (
    area_words,
    count,
    figure,
    headline,
    hours_words,
    mass_words,
    measured,
)
from counterpoise.roles.refdes import natural
from counterpoise.roles.wording import briefly

_PART_LINE = re.compile(r"\[parts\.([^\]\s]+)\]")


def render(
    report: Report,
    *,
    width: int = 80,
    colour: bool = False,
    quiet: bool = False,
    every: bool = False,
    known: frozenset[str] = frozenset(),
) -> str:
    """The report in words.

    ``quiet`` leaves only the headline and the findings; ``every`` adds each rule's verdict; ``known``
    are fingerprints of an earlier report, told as known.
    """
    page = Page(width, colour)
    page.write(report.board, style="strong")
    if not quiet:
        files = ", ".join(f.path for f in report.files)
        page.write(f"{count(report.parts, 'part')}, {count(report.nets, 'net')}; read from {files}")
    page.gap()
    stops = report.count(Severity.STOP)
    page.write(headline(report), style="stop" if stops else "good")
    _findings(page, report, known)
    if not quiet:
        for note in report.notes:
            page.gap()
            page.write(note, first="Note: ")
        _needs(page, report.coverage)
        _estimates(page, report.estimates)
        _coverage(page, report.coverage, every)
        for caution in report.cautions:
            page.gap()
            page.write(caution, style="quiet")
    return page.text()


def _findings(page: Page, report: Report, known: frozenset[str]) -> None:
    number = 0
    groups = (
        ("Stops", "stop", [f for f in report.findings if _stands(f, Severity.STOP)]),
        ("Cautions", "caution", [f for f in report.findings if _stands(f, Severity.CAUTION)]),
        ("Waived", "quiet", [f for f in report.findings if f.waived is not None]),
    )
    for title, style, findings in groups:
        if not findings:
            continue
        page.gap()
        page.write(title, style=style)
        for finding in findings:
            number += 1
            if page.lines[-1] != "" and finding is not findings[0]:
                page.gap()
            _finding(page, number, finding, known)


def _stands(finding: Finding, severity: Severity) -> bool:
    return finding.severity is severity and finding.waived is None


def _finding(page: Page, number: int, finding: Finding, known: frozenset[str]) -> None:
    old = "Known before: " if finding.fingerprint in known else ""
    page.write(old + finding.message, first=f"{number:3}. ")
    figures = measured(finding.measured, finding.limit)
    where = finding.place
    spot = f"at {figure(where.x_mm, 5)}, {figure(where.y_mm, 5)} mm, {where.side}" if where else ""
    if figures or spot:
        page.write("; ".join(filter(None, (figures, spot))), first="     ", style="quiet")
    for consequence in finding.under:
        page.write(consequence, first="     so: ")
    if finding.waived is not None:
        page.write(finding.waived, first="     Waived: ")
    else:
        page.write(finding.remedy, first="     Do: ")
    source = f" ({finding.sources[0]})" if finding.sources else ""
    page.write(finding.rule + source, first="     ", style="quiet")


def _needs(page: Page, coverage: tuple[Coverage, ...]) -> None:
    rules_of: dict[Need, list[str]] = {}
    for covered in coverage:
        for need in covered.needs:
            rules_of.setdefault(need, []).append(covered.rule)
    if not rules_of:
        return
    page.gap()
    page.write("Cannot judge yet; to have it judged, add", style="strong")
    by_place: dict[str, dict[str, None]] = {}
    for need, rules in rules_of.items():
        by_place.setdefault(need.where, {}).update(dict.fromkeys(rules))
    for where, waiting in _alike(by_place):
        page.write(where, first="  - ")
        page.write(f"for {', '.join(waiting)}", first="    ", style="quiet")


def _alike(by_place: dict[str, dict[str, None]]) -> Iterator[tuple[str, list[str]]]:
    """Lines that differ in the ref only are told once, for the first of the refs; the others follow."""
    groups: dict[tuple[str, ...], list[tuple[str, str]]] = {}
    for where, waiting in by_place.items():
        ref = _PART_LINE.search(where)
        pattern = where.replace(ref[0], "[parts.…]", 1) if ref else where
        groups.setdefault((pattern, *waiting), []).append((where, ref[1] if ref else ""))
    for (_, *rules), found in groups.items():
        found.sort(key=lambda pair: natural(pair[1]))
        others = [ref for _, ref in found[1:]]
        more = f" (likewise for {briefly(others)})" if others else ""
        yield found[0][0] + more, rules


def _estimates(page: Page, estimates: Estimates) -> None:
    rows = list(_figures(estimates))
    if not rows:
        return
    from tabulate import tabulate

    page.gap()
    page.lines += [plain(line) for line in tabulate(rows, tablefmt="plain").splitlines()]


def _figures(estimates: Estimates) -> Iterator[tuple[str, str]]:
    if estimates.area:
        yield "Board area", area_words(estimates.area)
    if estimates.mass:
        yield "Mass", mass_words(estimates.mass)
    endurance = estimates.endurance
    if endurance and endurance.hours:
        yield "Run time", hours_words(endurance.hours)


def _coverage(page: Page, coverage: tuple[Coverage, ...], every: bool) -> None:
    words = {
        "pass": "hold",
        "fail": "do not hold",
        "unknown": "could not be judged",
        "not-applicable": "do not apply here",
    }
    counts = {verdict: sum(c.verdict == verdict for c in coverage) for verdict in words}
    said = ", ".join(f"{counts[v]} {words[v]}" for v in words if counts[v])
    page.gap()
    page.write(f"Of {count(len(coverage), 'rule')}, {said}.")
    if every:
        for covered in coverage:
            reason = f": {covered.reason}" if covered.reason else ""
            verdict = covered.verdict.replace("-", " ").replace("unknown", "cannot judge")
            page.write(f"{covered.rule}: {verdict}{reason}", first="  ", rest="      ")
