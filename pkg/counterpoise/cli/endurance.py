"""``counterpoise endurance``."""

from __future__ import annotations

from pathlib import Path

import click

from counterpoise.cli._output import READABLE, colour_option, format_option, output_option


@click.command(name="endurance")
@click.argument("path", type=READABLE, metavar="PATH")
@format_option("text", "json", "markdown")
@output_option
@colour_option
def command(path: Path, form: str, output: Path | None, no_colour: bool) -> int:
    """Tell how long a board runs and charges, and what another cell would change.

    Exit status: 0, 1 shorter than the limit in board.toml, 2 an input cannot be used.
    """
    from counterpoise.cli import _output, _work
    from counterpoise.estimates.endurance import endurance
    from counterpoise.reports.endurance import render, render_json, render_markdown

    board = _work.board_at(path)
    answer = endurance(board)
    limit = board.manifest.limits.endurance_h
    if form == "json":
        text = render_json(answer)
    elif form == "markdown":
        text = render_markdown(board.design.name, answer)
    else:
        colour = _output.wants_colour(no_colour, output)
        text = render(
            board.design.name, answer, width=_output.width(), colour=colour, limit_h=limit
        )
    _output.write(text, output)
    return int(limit is not None and answer.hours is not None and answer.hours.likely < limit)
