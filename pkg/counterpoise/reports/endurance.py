"""Run time, charge time and cell choices: for a terminal, as Markdown, as JSON."""

from __future__ import annotations

from typing import Any

from counterpoise.model.report import CellChoice, Endurance
from counterpoise.reports._markdown import cell, table
from counterpoise.reports._page import Page
from counterpoise.reports._plain import plain
from counterpoise.reports._words import figure, hours_words
from counterpoise.reports.json import dump, endurance_tree


def amperes(value: float) -> str:
    """A current in the unit that gives a short number."""
    for factor, unit in ((1.0, "A"), (1e-3, "mA"), (1e-6, "µA"), (1e-9, "nA")):
        if abs(value) >= factor:
            return f"{value / factor:.3g} {unit}"
    return "0 A"


def render(
    name: str,
    answer: Endurance,
    *,
    width: int = 80,
    colour: bool = False,
    limit_h: float | None = None,
) -> str:
    """The answer in words."""
    from tabulate import tabulate

    page = Page(width, colour)
    page.write(name, style="strong")
    if answer.hours is not None:
        page.write(f"Run time {hours_words(answer.hours)}")
    _limit(page, answer, limit_h)
    for line in _facts(answer):
        page.write(line)
    if answer.modes:
        page.gap()
        _table(page, tabulate(_mode_rows(answer), headers=_MODE_HEADS, disable_numparse=True))
    if answer.drains:
        page.gap()
        page.write("Always drawn from the cell", style="strong")
        for drain in answer.drains:
            lead = f"{amperes(drain.current_a.likely):>8}  {drain.name} {drain.ref}".rstrip()
            page.write(f"{lead}: {drain.basis}", first="  ", rest=" " * 12)
    if any(c.hours for c in answer.choices):
        page.gap()
        _table(
            page,
            tabulate(choice_rows(answer.choices), headers=_CHOICE_HEADS, disable_numparse=True),
        )
    if answer.needs:
        page.gap()
        page.write("Cannot tell yet; add", style="strong")
        for need in answer.needs:
            page.write(need.where, first="  - ")
    return page.text()


def _limit(page: Page, answer: Endurance, limit_h: float | None) -> None:
    if limit_h is not None and answer.hours is not None:
        short = answer.hours.likely < limit_h
        word = "too short" if short else "long enough"
        if not short and answer.hours.low < limit_h:
            word += f", but an old cell in the worst case gives {figure(answer.hours.low)} h"
        page.write(f"The limit is {limit_h:g} h: {word}.", style="stop" if short else "good")


_MODE_HEADS = ("mode", "on the rail", "from the cell", "share")


def _mode_rows(answer: Endurance) -> list[tuple[str, str, str, str]]:
    return [
        (
            m.name,
            amperes(m.current_a),
            amperes(m.cell_a.likely),
            "" if m.share is None else f"{m.share:.0%}",
        )
        for m in answer.modes
    ]


_NAME = 32
_CHOICE_HEADS = ("cell", "grams", "run time", "h per g", "at 0.5C, 1C")


def _table(page: Page, text: str) -> None:
    page.lines += [plain(line).rstrip() for line in text.splitlines()]


def choice_rows(choices: tuple[CellChoice, ...]) -> list[tuple[str, str, str, str, str]]:
    """One row a cell that fits; hours to charge it at 0.5C and at 1C in the last column."""
    rows = []
    for choice in choices:
        if not choice.fits or choice.hours is None:
            continue
        half, full = choice.charge_half_h, choice.charge_full_h
        charged = f"{half:.2g} h, {full:.2g} h" if half and full else "not here"
        rows.append(
            (
                choice.name if len(choice.name) <= _NAME else f"{choice.name[: _NAME - 1]}…",
                figure(choice.mass_g.likely),
                f"{figure(choice.hours.likely)} h",
                figure(choice.hours.likely / choice.mass_g.likely),
                charged,
            )
        )
    return rows


def _facts(answer: Endurance) -> list[str]:
    said = []
    if answer.path:
        said.append(f"Supply: {answer.path}")
    if answer.capacity_ah is not None:
        c = answer.capacity_ah.scaled(1000)
        said.append(
            f"Of the cell's capacity the load gets {figure(c.likely)} mAh "
            f"({figure(c.low)} old, {figure(c.high)} at best)"
        )
    said += answer.assumed
    if answer.charge_hours is not None:
        said.append(f"Charged in about {figure(answer.charge_hours)} h")
    if answer.peak is not None:
        peak = f"Peak {amperes(answer.peak.current_a)} from the cell"
        if answer.peak.sag_v is not None:
            sag = answer.peak.sag_v
            ends = (
                f" ({figure(sag.low, 2)} to {figure(sag.high, 2)} V)" if sag.low < sag.high else ""
            )
            peak += f", which sags {figure(sag.likely, 2)} V{ends}"
        if answer.peak.rail_v is not None:
            peak += f"; the rail keeps {figure(answer.peak.rail_v)} V"
        said.append(peak)
    if answer.shelf_months is not None:
        s = answer.shelf_months
        said.append(
            f"On the shelf, load off: {figure(s.likely, 2)} months "
            f"({figure(s.low, 2)} to {figure(s.high, 2)})"
        )
    return said


def render_markdown(name: str, answer: Endurance) -> str:
    """The same as Markdown."""
    lines = [f"# {cell(name)}: endurance", ""]
    if answer.hours is not None:
        lines.append(f"- Run time {hours_words(answer.hours)}")
    lines += [f"- {cell(line)}" for line in _facts(answer)]
    if answer.modes:
        lines += ["", *table(_MODE_HEADS, _mode_rows(answer))]
    if answer.drains:
        drained = [(d.name, d.ref, amperes(d.current_a.likely), d.basis) for d in answer.drains]
        lines += ["", *table(("always drawn", "ref", "current", "basis"), drained)]
    if any(c.hours for c in answer.choices):
        lines += ["", *table(_CHOICE_HEADS, choice_rows(answer.choices))]
    lines += ["", *(f"- Add {cell(need.where)}" for need in answer.needs)]
    return "\n".join(lines).rstrip() + "\n"


def render_json(answer: Endurance) -> str:
    """The contract counterpoise/endurance/1."""
    tree: dict[str, Any] = {"schema": "counterpoise/endurance/1", **endurance_tree(answer)}
    return dump(tree)
