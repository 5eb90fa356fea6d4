"""Numbers and counts as people read them; shared by the forms meant for people."""

from __future__ import annotations

from counterpoise.model.report import Area, Mass, Report
from counterpoise.model.verdicts import Limit, Measured, Severity
from counterpoise.values.ranges import Estimate


def figure(value: float, digits: int = 3) -> str:
    """A number to so many significant digits, without an exponent where one can do without."""
    if value == 0:
        return "0"
    text = f"{value:.{digits}g}"
    return f"{float(text):.0f}" if "e+" in text and abs(value) < 1e7 else text


def count(number: int, word: str, plural: str | None = None) -> str:
    """ "1 stop", "2 stops"."""
    return f"{number} {word if number == 1 else plural or word + 's'}"


def measured(value: Measured | None, limit: Limit | None) -> str:
    """ "measured 12.4 ppm, limit at most 10 ppm", or "" when the finding has no figure."""
    if value is None:
        return ""
    said = f"{figure(value.value)} {value.unit}".strip()
    if limit is None:
        return said
    ends = []
    if limit.min is not None:
        ends.append(f"at least {figure(limit.min)}")
    if limit.max is not None:
        ends.append(f"at most {figure(limit.max)}")
    return f"{said} ({' and '.join(ends)} {limit.unit})".replace(" )", ")") if ends else said


def headline(report: Report) -> str:
    """The answer in one sentence."""
    stops, cautions = report.count(Severity.STOP), report.count(Severity.CAUTION)
    unknown = [c for c in report.coverage if c.verdict == "unknown"]
    unread = sum(bool(c.needs) and all(need.file for need in c.needs) for c in unknown)
    unjudged = len(unknown) - unread
    open_points = f"; {count(unjudged, 'rule')} could not be judged" if unjudged else ""
    if unread:
        open_points += (
            f"{' and' if unjudged else ';'} {unread} {'need' if unread > 1 else 'needs'} more files"
        )
    if stops:
        also = f" and {count(cautions, 'caution')}" if cautions else ""
        return f"Do not order this board yet: {count(stops, 'stop')}{also}{open_points}."
    if cautions:
        return (
            f"Nothing here stops the order; {count(cautions, 'caution')} to look at{open_points}."
        )
    return f"Nothing was found that speaks against ordering it{open_points}."


def hours_words(hours: Estimate) -> str:
    """ "14.2 h likely (11 to 16 h)"; days beyond a hundred hours."""
    if hours.likely >= 100:
        days = hours.scaled(1 / 24)
        return f"{figure(days.likely)} days likely ({figure(days.low)} to {figure(days.high)} days)"
    return f"{figure(hours.likely)} h likely ({figure(hours.low)} to {figure(hours.high)} h)"


def area_words(area: Area) -> str:
    """ "18.4 cm² of 45 x 42 mm (97 %)"."""
    share = area.board_mm2 / area.bounding_mm2 if area.bounding_mm2 else 0.0
    size = f"{figure(area.width_mm, 4)} x {figure(area.height_mm, 4)} mm"
    return f"{figure(area.board_mm2 / 100, 4)} cm² of {size} ({share:.0%})"


def mass_words(mass: Mass) -> str:
    """ "6.1 g likely (5.5 to 6.9 g)"."""
    total = mass.total
    return f"{figure(total.likely)} g likely ({figure(total.low)} to {figure(total.high)} g)"
