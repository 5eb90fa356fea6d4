"""What a ring-out log proves, in words, as Markdown and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from counterpoise.model.ringout import NextProbe, Recovered
from counterpoise.reports._page import Page
from counterpoise.reports._plain import plain
from counterpoise.reports._words import count
from counterpoise.reports.json import dump

SCHEMA = "counterpoise/ringout/1"
_SHOWN = 12
"""Contradictions, doubts and explanations told in words; JSON has them all."""

_ALONE = 40
"""Pins on no net that are named one by one."""


_MARKS = {mark: f"\\{mark}" for mark in "\\|*_`[]#"} | {"<": "&lt;", ">": "&gt;", "&": "&amp;"}


def headline(found: Recovered) -> str:
    """The answer in one sentence."""
    if found.contradictions:
        return f"The log contradicts itself: {count(len(found.contradictions), 'contradiction')}."
    if found.complete:
        return "Complete: readings prove every pair of pins joined or apart."
    left = count(found.untested, "pair") + " of nets untested"
    doubts = f", {count(len(found.doubtful), 'doubt')}" if found.doubtful else ""
    return f"Consistent so far, not complete: {left}{doubts}."


def effort_words(found: Recovered) -> str:
    """The readings against both yardsticks."""
    effort = found.effort
    return (
        f"{count(effort.readings, 'reading')} for {count(effort.pins, 'pin')} in "
        f"{count(effort.nets, 'net')} (pins joined to nothing counted as nets); without sweeps it "
        f"takes at least {effort.floor}, pin by pin {effort.pairs}."
    )


def suspect_words(found: Recovered) -> str:
    """Which single row would explain the most, "" without contradictions."""
    if not found.suspects:
        return ""
    first = found.suspects[0]
    rows = [str(each.row) for each in found.suspects if each.shares == first.shares]
    whole = len(found.contradictions)
    shown = " or ".join(rows[:4]) + (" or others" if len(rows) > 4 else "")
    if whole == 1:
        return f"Read again first: row {shown}; any one of them misread would explain it."
    if first.explains < first.shares:
        return f"Read again first: row {shown}; {first.shares} of {whole} run through it."
    return f"Read again first: row {shown}; misread, it alone would explain {first.explains} of {whole}."


def render(found: Recovered, *, width: int = 80, colour: bool = False) -> str:
    """For a person at a terminal."""
    page = Page(width, colour)
    page.write(found.log, style="strong")
    page.write(effort_words(found))
    page.gap()
    page.write(headline(found), style="stop" if found.contradictions else "good")
    for note in found.notes:
        page.write(note, first="Note: ")
    _contradictions(page, found)
    _section(page, "Nets", (f"{net.name}: {_pins(net.pins)}" for net in found.nets), whole=True)
    if found.alone:
        few = len(found.alone) <= _ALONE
        which = _pins(found.alone) if few else count(len(found.alone), "pin")
        page.write(f"joined to nothing so far: {which}", first="  ", rest="      ")
    _section(page, "Doubtful", (f"{d.a} and {d.b}: {d.message}" for d in found.doubtful))
    _section(page, "Explained", iter(found.explained))
    _next(page, found)
    return page.text()


def _pins(pins: tuple[object, ...]) -> str:
    return " ".join(str(pin) for pin in pins)


def _section(page: Page, title: str, lines: Iterator[str], *, whole: bool = False) -> None:
    listed = list(lines)
    if not listed:
        return
    page.gap()
    page.write(title, style="strong")
    shown = listed if whole else listed[:_SHOWN]
    for line in shown:
        page.write(line, first="  ", rest="      ")
    if len(shown) < len(listed):
        page.write(f"and {len(listed) - len(shown)} more (all in JSON)", first="  ")


def _contradictions(page: Page, found: Recovered) -> None:
    if not found.contradictions:
        return
    page.write(suspect_words(found))
    page.gap()
    page.write("Contradictions", style="stop")
    for number, each in enumerate(found.contradictions[:_SHOWN], 1):
        page.write(each.message, first=f"{number:3}. ")
    hidden = len(found.contradictions) - _SHOWN
    if hidden > 0:
        page.write(f"and {hidden} more (all in JSON)", first="     ")


def _next(page: Page, found: Recovered) -> None:
    if not found.following:
        return
    page.gap()
    page.write(f"Probe next (page {found.page})", style="strong")
    lifted = _lifted(found.following)
    if lifted:
        page.write(
            f'With {lifted} lifted off the board; write "{lifted} lifted" in the notes.',
            first="  ",
        )
    from_width = max(len(str(each.start)) for each in found.following)
    to_width = max(len(str(each.end)) for each in found.following)
    for each in found.following:
        page.write(
            each.why, first=plain(f"  {each.start!s:{from_width}}  {each.end!s:{to_width}}  ")
        )
    if found.more:
        page.write(f"More follow: --page {found.page + 1}, or log these first.", first="  ")


def _lifted(probes: tuple[NextProbe, ...]) -> str:
    return ", ".join(sorted({ref for each in probes for ref in each.lifted}))


# -- Markdown -------------------------------------------------------------------------------------
def render_markdown(found: Recovered) -> str:
    """For an issue or a wiki page."""
    lines = [f"# {_cell(found.log)}", "", f"**{headline(found)}**", "", effort_words(found), ""]
    if found.contradictions:
        lines += [suspect_words(found), "", "## Contradictions", ""]
        lines += [f"{n}. {_cell(c.message)}" for n, c in enumerate(found.contradictions, 1)]
        lines.append("")
    lines += _table("Nets", ("net", "pins"), ((n.name, _pins(n.pins)) for n in found.nets))
    doubts = ((str(d.a), str(d.b), d.message) for d in found.doubtful)
    lines += _table("Doubtful", ("pin", "pin", "why"), doubts)
    probes = ((str(p.start), str(p.end), "", _why(p)) for p in found.following)
    lines += _table(f"Probe next (page {found.page})", ("from", "to", "reading", "why"), probes)
    return "\n".join(lines).rstrip("\n") + "\n"


def _table(title: str, heads: tuple[str, ...], rows: Iterator[tuple[str, ...]]) -> list[str]:
    listed = list(rows)
    if not listed:
        return []
    made = [f"## {title}", "", _row(heads), _row(tuple("---" for _ in heads))]
    return [*made, *(_row(tuple(_cell(cell) for cell in row)) for row in listed), ""]


def _row(cells: tuple[str, ...]) -> str:
    return f"| {' | '.join(cells)} |"


def _cell(text: str) -> str:
    """Text that no table or markup can be made of."""
    return "".join(_MARKS.get(character, character) for character in plain(text))


def _why(probe: NextProbe) -> str:
    return probe.why + (f" (with {', '.join(probe.lifted)} lifted)" if probe.lifted else "")


# -- JSON -----------------------------------------------------------------------------------------
def tree(found: Recovered) -> dict[str, Any]:
    """The answer as plain data, as the contract counterpoise/ringout/1 says."""
    return {
        "schema": SCHEMA,
        "nets": [{"name": net.name, "pins": [str(p) for p in net.pins]} for net in found.nets],
        "contradictions": [
            {"pins": [str(p) for p in c.pins], "rows": list(c.rows), "message": c.message}
            for c in found.contradictions
        ],
        "doubtful": [{"a": str(d.a), "b": str(d.b), "message": d.message} for d in found.doubtful],
        "untested": found.untested,
        "next": [{"from": str(p.start), "to": str(p.end), "why": _why(p)} for p in found.following],
        "complete": found.complete,
    }


def render_json(found: Recovered) -> str:
    """The answer as JSON text."""
    return dump(tree(found))
