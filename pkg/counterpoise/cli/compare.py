"""``counterpoise compare``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from counterpoise.cli._output import READABLE, colour_option, format_option, output_option

if TYPE_CHECKING:
    from counterpoise.compare.result import Comparison


@click.command(name="compare")
@click.argument("paths", nargs=-1, required=True, type=READABLE, metavar="OLD NEW [MORE…]")
@click.option(
    "--seconds",
    type=click.FloatRange(min=0.0, min_open=True, max=86400.0),
    default=20.0,
    show_default=True,
    metavar="S",
    help="The longest that the wiring of one pair may take.",
)
@format_option("text", "json", "markdown")
@output_option
@colour_option
def command(
    paths: tuple[Path, ...], seconds: float, form: str, output: Path | None, no_colour: bool
) -> int:
    """Show what a revision changed, and prove that what had to stay the same circuit did.

    Parts are paired by what they are and what they join: references, net names and order may all
    differ. What had to stay is what [compare] keep names in a manifest; without it, the whole board,
    or all but the power section when that was replaced. More boards give their history: each is held
    against OLD, and the last one decides the exit status.

    Exit status: 0 the wiring that had to stay stayed, 1 it did not (or that could not be judged in
    time), 2 an input cannot be used.
    """
    from counterpoise.cli import _output

    if len(paths) < 2:
        raise click.UsageError("compare needs two boards: OLD and NEW")
    comparisons = _compared(paths, seconds)
    if form == "json":
        from counterpoise.reports.compare_json import render as render_json

        text = render_json(comparisons)
    else:
        from counterpoise.reports import compare as report

        wide, colour = _output.width(), _output.wants_colour(no_colour, output)
        if form == "markdown":
            text = report.render_markdown(comparisons)
        elif len(comparisons) == 1:
            text = report.render(comparisons[0], width=wide, colour=colour)
        else:
            text = report.render_history(comparisons, width=wide, colour=colour)
    _output.write(text, output)
    return int(comparisons[-1].wiring.verdict != "same")


def _compared(paths: tuple[Path, ...], seconds: float) -> list[Comparison]:
    """Each later board against the first.

    Raises:
        InputError: a board has no wiring to compare.
        click.ClickException: a pattern of [compare] keep fits no part.
    """
    from counterpoise.cli import _work
    from counterpoise.compare.regions import KeepError
    from counterpoise.compare.run import compare
    from counterpoise.readers._source import InputError

    boards = [_work.board_at(path) for path in paths]
    for path, board in zip(paths, boards, strict=True):
        if not board.circuit.knows_wiring or not board.circuit.parts:
            raise InputError(path.name, None, "expected a board with its wiring (a netlist)")
    rules = _work.picked_rules((), ())
    reports = [_work.examine(board, rules) for board in boards]
    names = labels(paths)
    found = []
    for place in range(1, len(boards)):
        pair, called = (reports[0], reports[place]), (names[0], names[place])
        try:
            found.append(compare(boards[0], boards[place], pair, called, seconds))
        except KeepError as error:
            raise click.ClickException(str(error)) from error
    return found


def labels(paths: tuple[Path, ...]) -> list[str]:
    """What the boards are called: their folder's name or file's stem, numbered when they repeat."""
    stems = []
    for path in paths:
        folder = path if path.is_dir() else path.parent if path.name == "board.toml" else None
        stems.append((folder.resolve().name if folder is not None else path.stem) or "board")
    if len(set(stems)) == len(stems):
        return stems
    if len(stems) == 2:
        return ["old", "new"]
    return [f"{stem} ({place})" for place, stem in enumerate(stems, 1)]
