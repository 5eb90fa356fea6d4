"""Two boards compared in full."""

from __future__ import annotations

from counterpoise.compare.ledger import (
    bom_lines,
    findings_change,
    fitted_count,
    mass_change,
    parts_ledger,
)
from counterpoise.compare.result import Comparison, Figures
from counterpoise.compare.wiring import compare_wiring
from counterpoise.model.report import Report
from counterpoise.model.verdicts import Severity
from counterpoise.roles.board import Board


def compare(
    old: Board,
    new: Board,
    reports: tuple[Report, Report],
    labels: tuple[str, str] = ("old", "new"),
    seconds: float = 20.0,
) -> Comparison:
    """Wiring, parts, area, mass, run time and findings of two boards.

    Args:
        old: the board that was.
        new: the board that is to take its place.
        reports: what ``check`` says of each.
        labels: what the boards are called in messages.
        seconds: the longest that the wiring may take.

    Raises:
        KeepError: a pattern of [compare] keep fits no part.
    """
    outcome = compare_wiring(old, new, labels, seconds)
    pairing = outcome.pairing
    parts = parts_ledger(pairing)
    before, after = (report.estimates.mass for report in reports)
    altered = {c.old for c in parts.changed}
    stayed = {a: b for a, b in parts.matched if a not in altered}
    fixed, fresh = findings_change(reports[0].findings, reports[1].findings, pairing)
    return Comparison(
        old=figures(old, reports[0], labels[0]),
        new=figures(new, reports[1], labels[1]),
        wiring=outcome.wiring,
        parts=parts,
        mass_change=mass_change(before, after, stayed) if before and after else None,
        fixed=fixed,
        fresh=fresh,
    )


def figures(board: Board, report: Report, label: str) -> Figures:
    """What one board measures."""
    estimates = report.estimates
    return Figures(
        label=label,
        parts=len(board.circuit.parts),
        fitted=fitted_count(board),
        bom_lines=bom_lines(board),
        nets=len(board.circuit.nets),
        area=estimates.area,
        mass=estimates.mass.total if estimates.mass else None,
        endurance=estimates.endurance,
        stops=report.count(Severity.STOP),
        cautions=report.count(Severity.CAUTION),
    )
