"""A comparison as a note for a person at a terminal, and as Markdown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from counterpoise.compare.result import Comparison, Figures, Wiring
from counterpoise.reports import _compared as words
from counterpoise.reports._page import Page
from counterpoise.reports._plain import plain

_STYLES = {"same": "good", "different": "stop", "unknown": "caution"}
_MOST = 20
_BESIDE = ("moved", "exchanged", "opened", "closed", "split", "joined")


def render(comparison: Comparison, *, width: int = 80, colour: bool = False) -> str:
    """One comparison in words."""
    page = Page(width, colour)
    _wiring(page, comparison)
    _figures(page, list(words.rows(comparison)), comparison)
    for title, lines in _lists(comparison):
        page.write("; ".join(lines) + ".", first=f"{title}: ", rest="  ")
    return page.text()


def render_history(
    comparisons: Sequence[Comparison], *, width: int = 80, colour: bool = False
) -> str:
    """Several revisions: one table of all, then what became of the wiring of each.

    All are held against the first board.
    """
    page = Page(width, colour)
    page.write("History of revisions", style="strong")
    page.gap()
    heads, rows = history(comparisons)
    _table(page, heads, rows)
    for comparison in comparisons:
        page.gap()
        _wiring(page, comparison)
    return page.text()


def _wiring(page: Page, comparison: Comparison) -> None:
    wiring = comparison.wiring
    page.write(f"{comparison.old.label} to {comparison.new.label}", style="strong")
    page.write(words.headline(wiring), style=_STYLES[wiring.verdict])
    if wiring.differences:
        page.gap()
    if wiring.differences and wiring.verdict == "unknown":
        page.write("The best pairing found, which is no proof, leaves these differences:")
    for number, difference in enumerate(wiring.differences[:_MOST], 1):
        page.write(difference.message + ".", first=f"{number:3}. ")
    if len(wiring.differences) > _MOST:
        page.write(f"     … and {len(wiring.differences) - _MOST} more.")
    page.gap()
    if wiring.kept:
        page.write(words.kept(wiring), rest="  ")
    for text in _beside(wiring):
        page.write(text, rest="  ")
    page.gap()


def _beside(wiring: Wiring) -> Iterator[str]:
    if wiring.alike:
        groups = [words.listed(words.runs(group)) for group in wiring.alike]
        yield f"Interchangeable, paired in any order: {'; '.join(groups)}."
    power = words.replaced(wiring)
    if power:
        yield f"Power: {power}."
    for edge in wiring.boundary:
        yield f"Supply: {words.sources(edge)}."
    others = [d for d in wiring.elsewhere if d.kind in _BESIDE]
    for difference in others[:5]:
        yield f"Elsewhere, where nothing had to stay: {difference.message}."
    if len(others) > 5:
        yield f"Elsewhere: {len(others) - 5} more."


def _figures(page: Page, rows: list[words.Row], comparison: Comparison) -> None:
    _table(page, ("", comparison.old.label, comparison.new.label, "change"), rows)
    page.gap()


def _table(page: Page, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    lines = [[plain(cell) for cell in row] for row in (heads, *rows)]
    widths = [max(len(line[i]) for line in lines) for i in range(len(heads))]
    for line in lines:
        text = "  ".join(cell.ljust(w) for cell, w in zip(line, widths, strict=True))
        page.lines.append(text.rstrip()[: max(page.width, 40)])


def _lists(comparison: Comparison) -> Iterator[tuple[str, list[str]]]:
    """The ledgers that are lists, each with its title, empty ones left out."""
    parts = comparison.parts
    changed = [
        f"{c.old} {c.what}" if c.old == c.new else f"{c.old} (now {c.new}) {c.what}"
        for c in parts.changed
    ]
    lists = (
        ("Changed", changed),
        ("Removed", words.described(parts.removed, parts.old_words)),
        ("Added", words.described(parts.added, parts.words)),
        ("Not fitted, left out", _unfitted(comparison)),
        ("Findings fixed", words.findings_words(comparison.fixed or ())),
        ("Findings new", words.findings_words(comparison.fresh or ())),
    )
    for title, lines in lists:
        if lines:
            yield title, lines


def _unfitted(comparison: Comparison) -> list[str]:
    parts = comparison.parts
    sides = (
        (comparison.old.label, parts.old_unfitted),
        (comparison.new.label, parts.new_unfitted),
    )
    return [f"{label} {words.listed(words.runs(refs))}" for label, refs in sides if refs]


def history(comparisons: Sequence[Comparison]) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Heads and rows of the table of revisions: one column a board."""
    boards: list[Figures] = [comparisons[0].old, *(c.new for c in comparisons)]
    wiring = ["", *(c.wiring.verdict for c in comparisons)]
    added = ["", *(f"+{len(c.parts.added)} -{len(c.parts.removed)}" for c in comparisons)]
    table = [
        ("Board area", *(words.area_word(b) for b in boards)),
        ("Mass", *(words.mass_word(b) for b in boards)),
        ("Run time", *(words.hours(b.endurance) or "?" for b in boards)),
        ("Fitted parts", *(str(b.fitted) for b in boards)),
        ("BOM lines", *(str(b.bom_lines) for b in boards)),
        ("Parts in, out", *added),
        ("Stops", *(str(b.stops) for b in boards)),
        ("Cautions", *(str(b.cautions) for b in boards)),
        ("Kept wiring", *wiring),
    ]
    heads = ("", *(b.label for b in boards))
    return heads, [row for row in table if any(cell not in ("", "?") for cell in row[1:])]


# -- Markdown -----------------------------------------------------------------------------------------
def render_markdown(comparisons: Sequence[Comparison]) -> str:
    """One comparison, or the history of several, as Markdown."""
    lines: list[str] = []
    if len(comparisons) > 1:
        heads, rows = history(comparisons)
        lines += ["# History of revisions", "", *_md_table(heads, rows), ""]
    for comparison in comparisons:
        title = f"{comparison.old.label} to {comparison.new.label}"
        lines += [f"{'#' if len(comparisons) == 1 else '##'} {_md(title)}", ""]
        lines += [f"**{_md(words.headline(comparison.wiring))}**", ""]
        told = [f"{n}. {_md(d.message)}." for n, d in enumerate(comparison.wiring.differences, 1)]
        lines += [*told, ""] if told else []
        lines += _md_rest(comparison)
        if len(comparisons) == 1:
            heads = ("", comparison.old.label, comparison.new.label, "change")
            lines += [*_md_table(heads, list(words.rows(comparison))), ""]
            told = [f"- **{name}:** {_md('; '.join(text))}." for name, text in _lists(comparison)]
            lines += [*told, ""] if told else []
    return "\n".join(lines).rstrip("\n") + "\n"


def _md_rest(comparison: Comparison) -> list[str]:
    wiring = comparison.wiring
    kept = words.kept(wiring) if wiring.kept else ""
    told = [f"- {_md(text)}" for text in (kept, *_beside(wiring)) if text]
    return [*told, ""] if told else []


def _md(text: str) -> str:
    """Text from a board with nothing left that Markdown or HTML would act on."""
    escaped = plain(text).replace("\\", "\\\\")
    for character in "`*_[]#|!~":
        escaped = escaped.replace(character, "\\" + character)
    return escaped.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _md_table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    yield f"| {' | '.join(_md(head) for head in heads)} |"
    yield f"|{'---|' * len(heads)}"
    for row in rows:
        yield f"| {' | '.join(_md(cell) for cell in row)} |"
