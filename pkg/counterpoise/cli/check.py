"""``counterpoise check``."""

from __future__ import annotations

from pathlib import Path

import click

from counterpoise.cli._output import READABLE, colour_option, format_option, output_option


@click.command(name="check")
@click.argument("paths", nargs=-1, required=True, type=READABLE, metavar="PATH…")
@click.option(
    "--netlist", type=READABLE, metavar="FILE", help="Netlist, in place of the manifest's."
)
@click.option("--layout", type=READABLE, metavar="FILE", help="Board file, likewise.")
@click.option("--bom", type=READABLE, metavar="FILE", help="Bill of materials, likewise.")
@click.option("--centroid", type=READABLE, metavar="FILE", help="Placement file, likewise.")
@click.option("--only", multiple=True, metavar="RULE", help="Run only this rule; may be repeated.")
@click.option("--skip", multiple=True, metavar="RULE", help="Leave this rule out; may be repeated.")
@click.option("--strict", is_flag=True, help="Cautions, and stop rules not judged, fail too.")
@click.option(
    "--since", type=READABLE, metavar="REPORT.json", help="Only what is new since then fails."
)
@click.option(
    "--on", "today", metavar="DATE", help="Waivers that ended before this ISO date are void."
)
@click.option("--quiet", "-q", is_flag=True, help="Only the findings.")
@click.option("--all", "every", is_flag=True, help="Also the verdict of every rule.")
@format_option("text", "json")
@output_option
@colour_option
def command(
    paths: tuple[Path, ...],
    netlist: Path | None,
    layout: Path | None,
    bom: Path | None,
    centroid: Path | None,
    only: tuple[str, ...],
    skip: tuple[str, ...],
    strict: bool,
    since: Path | None,
    today: str | None,
    quiet: bool,
    every: bool,
    form: str,
    output: Path | None,
    no_colour: bool,
) -> int:
    """Look for what would stop a board working, hurt its cell or break its radio.

    PATH is a board.toml, a folder that holds one (or design files), a netlist or a board file.

    Exit status: 0 no stop, 1 at least one stop, 2 an input cannot be used.
    """
    from counterpoise.cli import _output, _work
    from counterpoise.cli._since import known_before

    files = _work.Files(netlist, layout, bom, centroid)
    if len(paths) > 1 and files != _work.Files():
        raise click.UsageError("--netlist, --layout, --bom and --centroid go with one PATH only")
    day = _iso(today)
    known = known_before(since) if since else frozenset()
    rules = _work.picked_rules(only, skip)
    reports = [_work.examine(_work.board_at(path, files), rules, today=day) for path in paths]
    if form == "json":
        from counterpoise.reports.json import render_all

        text = render_all(reports)
    else:
        from counterpoise.reports.text import render

        colour = _output.wants_colour(no_colour, output)
        pages = [
            render(r, width=_output.width(), colour=colour, quiet=quiet, every=every, known=known)
            for r in reports
        ]
        text = "\n".join(pages)
    _output.write(text, output)
    return int(any(_work.fails(report, rules, strict=strict, known=known) for report in reports))


def _iso(day: str | None) -> str | None:
    from datetime import date

    if day is None:
        return None
    try:
        return date.fromisoformat(day).isoformat()
    except ValueError as error:
        raise click.BadParameter(
            f'--on: expected a date such as 2026-11-25, got "{day}"'
        ) from error
