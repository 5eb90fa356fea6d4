"""The mass ledger and the ways to shave it: for a terminal, as Markdown, as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from counterpoise.model.report import MassItem
from counterpoise.model.weigh import Weigh
from counterpoise.reports._markdown import cell, table
from counterpoise.reports._page import Page
from counterpoise.reports._plain import plain
from counterpoise.reports._words import area_words, count, figure, mass_words
from counterpoise.reports.json import area_tree, dump, mass_tree, number
from counterpoise.roles.facts import key_of

_SHOWN = 12


def grams(value: float) -> str:
    """Grams in the unit that gives a short number."""
    return f"{value * 1000:.3g} mg" if abs(value) < 0.1 else f"{value:.2f} g"


def ranked(items: Iterable[MassItem]) -> list[MassItem]:
    """Heaviest first; equal ones by ref."""
    return sorted(items, key=lambda i: (-i.mass.likely, i.ref, i.name))


def render(answer: Weigh, *, width: int = 80, colour: bool = False, every: bool = False) -> str:
    """The ledger in words: the heaviest items (all with ``every``), then what could go."""
    from tabulate import tabulate

    page = Page(width, colour)
    page.write(answer.board, style="strong")
    page.write(f"Board area {area_words(answer.area)}")
    page.write(f"Mass {mass_words(answer.mass)}")
    page.write(
        f"Worst case {figure(answer.mass.worst_low_g)} to {figure(answer.mass.worst_high_g)} g"
    )
    _limits(page, answer)
    page.gap()
    items = ranked(answer.mass.items)
    shown = items if every else items[:_SHOWN]
    rows = [_row(i) for i in shown]
    if len(items) > len(shown):
        rest = sum(i.mass.likely for i in items[len(shown) :])
        rows.append((f"{len(items) - len(shown)} more (--all)", grams(rest), ""))
    lines = tabulate(
        rows,
        headers=("item", "likely", "range"),
        colalign=("left", "right", "left"),
        tablefmt="simple",
        disable_numparse=True,
    ).splitlines()
    page.lines += [plain(line).rstrip() for line in lines]
    if every:
        _bases(page, items)
    _unknown(page, answer)
    _shave(page, answer)
    for row in answer.scale:
        page.gap()
        page.write(f"The scale says {row.scale_g:g} g for the {row.what}: {row.says}")
    if answer.filled is not None and answer.least_mm2 is not None:
        page.gap()
        page.write(
            f"Parts cover {answer.filled:.0%} of both sides; the busier side would fit on about "
            f"{figure(answer.least_mm2 / 100)} cm²."
        )
    return page.text()


def _row(item: MassItem) -> tuple[str, str, str]:
    ends = "stated"
    if item.mass.low < item.mass.high:
        ends = f"{grams(item.mass.low)} to {grams(item.mass.high)}"
    return f"{item.ref} {item.name}".strip()[:30], grams(item.mass.likely), ends


def _bases(page: Page, items: list[MassItem]) -> None:
    """Where the figures come from: each basis once, with the items that rest on it."""
    rest: dict[str, list[str]] = {}
    for item in items:
        rest.setdefault(item.basis, []).append(item.ref or item.name)
    page.gap()
    page.write("Where the figures come from", style="strong")
    for basis, names in rest.items():
        page.write(f"{', '.join(names)}: {basis}", first="  ", rest="    ")


def _unknown(page: Page, answer: Weigh) -> None:
    """Masses that were only estimated or bounded, and how to state them."""
    bounded = [i for i in answer.mass.items if i.basis.startswith("unknown")]
    refs = {i.ref for i in bounded}
    guessed = [ref for ref in answer.mass.unknown if ref not in refs]
    for item in bounded:
        page.gap()
        page.write(f"{f'{item.ref} {item.name}'.strip()} {item.basis}; the range is wide for it.")
    if guessed:
        page.gap()
        named = ", ".join(guessed[:8])
        more = f" and {len(guessed) - 8} more" if len(guessed) > 8 else ""
        page.write(
            f"Estimated from their envelope only: {named}{more}. To state one: board.toml: "
            f'[parts.{key_of(guessed[0])}] mass = "0.4 g"'
        )


def _limits(page: Page, answer: Weigh) -> None:
    if answer.mass_limit_g is not None:
        over = answer.mass.total.likely - answer.mass_limit_g
        word = f"{figure(over)} g over" if over > 0 else f"{figure(-over)} g under"
        page.write(
            f"The likely mass is {word} the limit of {answer.mass_limit_g:g} g.",
            style="stop" if over > 0 else "good",
        )


def _shave(page: Page, answer: Weigh) -> None:
    if not answer.shave:
        return
    page.gap()
    page.write(f"{count(len(answer.shave), 'way')} to save grams", style="strong")
    for position, way in enumerate(answer.shave, 1):
        page.write(f"{grams(way.saves_g)}: {way.change}", first=f"{position:3}. ")
        page.write(way.costs, first="     Costs: ")
        page.write(way.how, first="     How: ")


def render_markdown(answer: Weigh) -> str:
    """The same as Markdown, every item listed."""
    lines = [
        f"# {cell(answer.board)}: mass",
        "",
        f"Board area {area_words(answer.area)}. Mass {mass_words(answer.mass)}.",
        "",
        *table(
            ("item", "likely", "low", "high", "basis"),
            [
                (
                    f"{i.ref} {i.name}".strip(),
                    grams(i.mass.likely),
                    grams(i.mass.low),
                    grams(i.mass.high),
                    i.basis,
                )
                for i in ranked(answer.mass.items)
            ],
        ),
    ]
    if answer.shave:
        rows = [(grams(w.saves_g), w.change, w.costs, w.how) for w in answer.shave]
        lines += [
            "",
            "## Ways to save grams",
            "",
            *table(("saves", "change", "costs", "how"), rows),
        ]
    lines += [
        "",
        *(
            f"The scale says {row.scale_g:g} g for the {cell(row.what)}: {cell(row.says)}"
            for row in answer.scale
        ),
    ]
    return "\n".join(lines).rstrip() + "\n"


def render_json(answer: Weigh) -> str:
    """The contract counterpoise/weigh/1."""
    limits: dict[str, Any] | None = None
    if answer.mass_limit_g is not None or answer.area_limit_mm2 is not None:
        limits = {"mass_g": answer.mass_limit_g, "area_mm2": answer.area_limit_mm2}
    return dump(
        {
            "schema": "counterpoise/weigh/1",
            "area": area_tree(answer.area),
            "mass": mass_tree(answer.mass),
            "shave": [
                {"change": w.change, "saves_g": number(w.saves_g), "costs": w.costs, "how": w.how}
                for w in answer.shave
            ],
            "limits": limits,
        }
    )
