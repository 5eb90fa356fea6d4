"""``counterpoise weigh``."""

from __future__ import annotations

from pathlib import Path

import click

from counterpoise.cli._output import READABLE, colour_option, format_option, output_option


@click.command(name="weigh")
@click.argument("path", type=READABLE, metavar="PATH")
@click.option("--all", "every", is_flag=True, help="Every item of the ledger.")
@format_option("text", "json", "markdown")
@output_option
@colour_option
def command(path: Path, every: bool, form: str, output: Path | None, no_colour: bool) -> int:
    """Tell what a board will weigh, how sure that is, and where grams can go.

    Exit status: 0, 1 over the limit of mass or area in board.toml, 2 an input cannot be used.
    """
    from counterpoise.cli import _output, _work
    from counterpoise.estimates.weigh import weigh
    from counterpoise.model.facts import Need
    from counterpoise.reports.weigh import render, render_json, render_markdown

    board = _work.board_at(path)
    answer = weigh(board)
    if isinstance(answer, Need):
        raise click.ClickException(f"cannot weigh: needs {answer.what}; {answer.where}")
    if form == "json":
        text = render_json(answer)
    elif form == "markdown":
        text = render_markdown(answer)
    else:
        colour = _output.wants_colour(no_colour, output)
        text = render(answer, width=_output.width(), colour=colour, every=every)
    _output.write(text, output)
    mass_over = answer.mass_limit_g is not None and answer.mass.total.likely > answer.mass_limit_g
    limit = answer.area_limit_mm2
    return int(mass_over or (limit is not None and answer.area.board_mm2 > limit))
