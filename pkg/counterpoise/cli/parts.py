"""``counterpoise parts``."""

from __future__ import annotations

from pathlib import Path

import click

from counterpoise.cli._output import READABLE, colour_option, format_option, output_option


@click.command(name="parts")
@click.argument("path", type=READABLE, metavar="PATH")
@click.option("--unsure", is_flag=True, help="Only parts whose role is not firm.")
@format_option("text", "json")
@output_option
@colour_option
def command(path: Path, unsure: bool, form: str, output: Path | None, no_colour: bool) -> int:
    """Show what each part was taken for, by which evidence, and how to correct it."""
    from counterpoise.cli import _output, _work
    from counterpoise.reports.parts import render, render_json
    from counterpoise.roles.explain import explain

    board = _work.board_at(path)
    lines = [line for line in explain(board) if not (unsure and line.firm)]
    if form == "json":
        text = render_json(board.design.name, lines)
    else:
        colour = _output.wants_colour(no_colour, output)
        text = render(board.design.name, lines, width=_output.width(), colour=colour)
    _output.write(text, output)
    return 0
