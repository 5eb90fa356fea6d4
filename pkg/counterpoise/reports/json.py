"""The JSON answers: contracts with versions, sorted keys, no clock, no absolute path."""

from __future__ import annotations

import json
from typing import Any

from counterpoise import __version__
from counterpoise.model.report import Area, Endurance, Estimates, Mass, Report
from counterpoise.model.verdicts import Coverage, Finding, Severity
from counterpoise.values.ranges import Estimate

SCHEMA = "counterpoise/report/1"
_LARGEST = 1e308


def number(value: float) -> float:
    """A figure rounded to nine significant digits: the same on every machine.

    JSON has no infinity; a figure that ran over becomes the largest that it can hold.
    """
    return float(f"{min(max(value, -_LARGEST), _LARGEST):.9g}")


def dump(tree: Any) -> str:
    """JSON text: two blanks of indent, sorted keys, one newline at the end.

    Letters stay as they are; what could steer a terminal or reorder text is escaped.
    """
    text = json.dumps(tree, indent=2, sort_keys=True, ensure_ascii=False, allow_nan=False)
    if not text.isascii() or "\x7f" in text:
        text = "".join(c if c == "\n" or c.isprintable() else _escaped(c) for c in text)
    return text + "\n"


def _escaped(character: str) -> str:
    return json.dumps(character)[1:-1] if character != "\x7f" else "\\u007f"


def tree(report: Report) -> dict[str, Any]:
    """The report as plain data, as the contract counterpoise/report/1 says."""
    return {
        "schema": SCHEMA,
        "tool": {"name": "counterpoise", "version": __version__},
        "board": {
            "name": report.board,
            "files": [{"path": f.path, "kind": f.kind, "sha256": f.sha256} for f in report.files],
            "parts": report.parts,
            "nets": report.nets,
        },
        "findings": [_finding(f) for f in report.findings],
        "coverage": [_coverage(c) for c in report.coverage],
        "estimates": _estimates(report.estimates),
        "summary": {
            "stop": report.count(Severity.STOP),
            "caution": report.count(Severity.CAUTION),
            "unknown": sum(c.verdict == "unknown" for c in report.coverage),
            "waived": sum(f.waived is not None for f in report.findings),
        },
    }


def render(report: Report) -> str:
    """One report as JSON text."""
    return dump(tree(report))


def render_all(reports: list[Report]) -> str:
    """One report as itself; several as a list under "reports"."""
    if len(reports) == 1:
        return render(reports[0])
    return dump({"schema": "counterpoise/reports/1", "reports": [tree(r) for r in reports]})


def _finding(finding: Finding) -> dict[str, Any]:
    place, figure, limit = finding.place, finding.measured, finding.limit
    message = finding.message
    if finding.under:
        message += " Because of it: " + " ".join(finding.under)
    return {
        "rule": finding.rule,
        "severity": finding.severity.value,
        "subjects": list(finding.subjects),
        "nets": list(finding.nets),
        "place": place
        and {"x_mm": number(place.x_mm), "y_mm": number(place.y_mm), "side": place.side},
        "measured": figure and {"value": number(figure.value), "unit": figure.unit},
        "limit": limit
        and {
            "min": None if limit.min is None else number(limit.min),
            "max": None if limit.max is None else number(limit.max),
            "unit": limit.unit,
        },
        "message": message,
        "remedy": finding.remedy,
        "sources": list(finding.sources),
        "fingerprint": finding.fingerprint,
        "waived": finding.waived,
    }


def _coverage(covered: Coverage) -> dict[str, Any]:
    return {
        "rule": covered.rule,
        "verdict": covered.verdict,
        "judged": covered.judged,
        "reason": covered.reason,
        "needs": [{"what": need.what, "where": need.where} for need in covered.needs],
    }


def _estimates(estimates: Estimates) -> dict[str, Any]:
    return {
        "area": area_tree(estimates.area),
        "mass": mass_tree(estimates.mass),
        "endurance": estimates.endurance and endurance_tree(estimates.endurance),
    }


def area_tree(area: Area | None) -> dict[str, Any] | None:
    """Areas in mm², sizes in mm; None stays null."""
    if area is None:
        return None
    return {
        "board_mm2": number(area.board_mm2),
        "bounding_mm2": number(area.bounding_mm2),
        "width_mm": number(area.width_mm),
        "height_mm": number(area.height_mm),
        "holes_mm2": number(area.holes_mm2),
    }


def mass_tree(mass: Mass | None) -> dict[str, Any] | None:
    """The ledger in grams; None stays null."""
    if mass is None:
        return None
    return {
        "low_g": number(mass.total.low),
        "likely_g": number(mass.total.likely),
        "high_g": number(mass.total.high),
        "items": [
            {
                "name": item.name,
                "ref": item.ref,
                "low_g": number(item.mass.low),
                "likely_g": number(item.mass.likely),
                "high_g": number(item.mass.high),
                "basis": item.basis,
            }
            for item in mass.items
        ],
    }


def endurance_tree(answer: Endurance) -> dict[str, Any]:
    """Capacity in mAh, currents in mA, volts, hours; what is not known is null."""
    hours, capacity, peak = answer.hours, answer.capacity_ah, answer.peak
    return {
        "capacity_mah": _three(capacity, 1000.0),
        "modes": [
            {
                "name": mode.name,
                "current_ma": number(mode.current_a * 1000),
                "share": None if mode.share is None else number(mode.share),
            }
            for mode in answer.modes
        ],
        "hours": _three(hours),
        "charge_hours": None
        if answer.charge_hours is None
        else {"likely": number(answer.charge_hours)},
        "peak": peak
        and {
            "current_ma": number(peak.current_a * 1000),
            "sag_v": None if peak.sag_v is None else number(peak.sag_v.likely),
            "rail_v": None if peak.rail_v is None else number(peak.rail_v),
        },
        "needs": [{"what": need.what, "where": need.where} for need in answer.needs],
    }


def _three(value: Estimate | None, factor: float = 1.0) -> dict[str, float] | None:
    if value is None:
        return None
    return {
        "low": number(value.low * factor),
        "likely": number(value.likely * factor),
        "high": number(value.high * factor),
    }
