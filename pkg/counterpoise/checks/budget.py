"""Rules of the domain budget: the limits that the maker sets."""

from __future__ import annotations

from collections.abc import Iterator
from types import MappingProxyType

from counterpoise.catalog.rules import Rule
from counterpoise.estimates.area import area
from counterpoise.estimates.endurance import endurance
from counterpoise.estimates.mass import mass
from counterpoise.estimates.run_time import charge_hours
from counterpoise.model.facts import Need
from counterpoise.model.report import Area, Mass
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.cells import capacity_of
from counterpoise.roles.charging import charge_current, shown_current

_LOAD = Need("a current that is above zero", 'board.toml: [modes.hold] current = "6.2 mA"')


def mass_over(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the likely and the high mass in grams with [limits] mass."""
    limit = board.manifest.limits.mass_g
    if limit is None:
        return
    found = mass(board)
    if isinstance(found, Need):
        yield Unknown("board", (found,))
        return
    total = found.total
    if total.high <= limit:
        yield Pass("board")
        return
    words = {
        "likely": f"{total.likely:.3g} g",
        "low": f"{total.low:.3g} g",
        "high": f"{total.high:.3g} g",
        "limit": f"{limit:.3g} g",
        "over": f"{total.likely - limit:.2g} g",
        "unsure": ", ".join(_least_sure(found)),
    }
    over = total.likely > limit
    yield Fail(
        (),
        "likely" if over else "high",
        MappingProxyType(words),
        measured=Measured(total.likely if over else total.high, "g"),
        limit=Limit(None, limit, "g"),
        severity=None if over else Severity.CAUTION,
    )


def endurance_short(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the likely and the low run time in hours with [limits] endurance."""
    limit = board.manifest.limits.endurance_h
    if limit is None:
        return
    answer = endurance(board)
    hours = answer.hours
    if hours is None:
        needs = answer.needs or (_LOAD,)
        yield Unknown("board", needs)
        return
    if hours.low >= limit:
        yield Pass("board")
        return
    short = hours.likely < limit
    words = {
        "likely": f"{hours.likely:.3g} h",
        "low": f"{hours.low:.3g} h",
        "high": f"{hours.high:.3g} h",
        "limit": f"{limit:.3g} h",
    }
    yield Fail(
        (board.cell.ref,) if board.cell else (),
        "likely" if short else "low",
        MappingProxyType(words),
        measured=Measured(hours.likely if short else hours.low, "h"),
        limit=Limit(limit, None, "h"),
        severity=None if short else Severity.CAUTION,
    )


def charge_time_long(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare the hours that each charger needs with [limits] charge_time."""
    limit = board.manifest.limits.charge_time_h
    if limit is None:
        return
    for charger in board.parts_as("charger"):
        rated, current = capacity_of(board, board.cell), charge_current(board, charger)
        missing = tuple(fact for fact in (rated, current) if isinstance(fact, Need))
        if isinstance(rated, Need) or isinstance(current, Need):
            yield Unknown(charger.ref, missing)
            continue
        if current.amperes.low <= 0:
            yield Unknown(charger.ref, (_LOAD,))
            continue
        # Of several cells in series each takes the whole current.
        slow, fast = (
            charge_hours(rated, amperes) for amperes in (current.amperes.low, current.amperes.high)
        )
        likely = charge_hours(rated, current.amperes.middle)
        if likely <= limit:
            yield Pass(charger.ref)
            continue
        ends = f" ({fast:.2g} to {slow:.2g} h)" if slow > fast else ""
        words = {
            "measured": f"about {likely:.3g} h{ends}",
            "current": shown_current(current.amperes),
            "limit": f"{limit:.3g} h",
        }
        yield Fail(
            (charger.ref,),
            "long",
            MappingProxyType(words),
            measured=Measured(likely, "h"),
            limit=Limit(None, limit, "h"),
            firm=current.firm and fast > limit,
        )


def _least_sure(found: Mass) -> list[str]:
    wide = sorted(found.items, key=lambda i: (i.mass.low - i.mass.high, i.ref, i.name))
    return [f"{item.ref} {item.name}".strip() for item in wide[:3]]


def area_over(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare board area, bounding area and size in mm with the limits stated for them."""
    limits = board.manifest.limits
    stated = (limits.area_mm2, limits.bounding_mm2, limits.width_mm, limits.length_mm)
    if all(limit is None for limit in stated):
        return
    found = area(board)
    if isinstance(found, Need):
        yield Unknown("board", (found,))
        return
    fails = list(_over(found, *stated))
    yield from fails
    if not fails:
        yield Pass("board")


def _over(
    found: Area,
    area_mm2: float | None,
    bounding_mm2: float | None,
    width_mm: float | None,
    length_mm: float | None,
) -> Iterator[Fail]:
    if area_mm2 is not None and found.board_mm2 > area_mm2:
        yield _fail("area", found.board_mm2, area_mm2, "mm²")
    if bounding_mm2 is not None and found.bounding_mm2 > bounding_mm2:
        yield _fail("bounding", found.bounding_mm2, bounding_mm2, "mm²")
    if width_mm is not None and found.width_mm > width_mm:
        yield _fail("size", found.width_mm, width_mm, "mm", "wide")
    if length_mm is not None and found.height_mm > length_mm:
        yield _fail("size", found.height_mm, length_mm, "mm", "long")


def _fail(case: str, value: float, limit: float, unit: str, way: str = "") -> Fail:
    def said(figure: float) -> str:
        return f"{figure / 100:.4g} cm²" if unit == "mm²" else f"{figure:.4g} {unit}"

    words = {"measured": said(value), "limit": said(limit), "way": way, "pin": way}
    return Fail(
        (),
        case,
        MappingProxyType(words),
        measured=Measured(value, unit),
        limit=Limit(None, limit, unit),
    )
