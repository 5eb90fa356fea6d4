"""``counterpoise ringout``."""

from __future__ import annotations

import re
from pathlib import Path

import click

from counterpoise.cli._output import READABLE, colour_option, format_option, output_option


@click.command(name="ringout")
@click.argument("log", type=READABLE, metavar="LOG")
@click.option(
    "--parts", type=READABLE, metavar="FILE", help="A netlist, or a BOM with a Pins column."
)
@click.option("--netlist", type=READABLE, metavar="OUT", help="Write what was recovered there.")
@click.option(
    "--beep-below",
    type=click.FloatRange(0, 1000, min_open=True),
    default=50.0,
    show_default=True,
    metavar="OHMS",
    help="The meter beeps below this.",
)
@click.option(
    "--lifted", multiple=True, metavar="REF", help="Off the board throughout; may be repeated."
)
@click.option("--bare", is_flag=True, help="The board was bare: every beep is copper.")
@click.option(
    "--page", type=click.IntRange(1), default=1, show_default=True, help="Page of next probes."
)
@click.option(
    "--probes", type=click.IntRange(1, 1000), default=20, show_default=True, help="Probes a page."
)
@format_option("text", "json", "markdown")
@output_option
@colour_option
def command(
    log: Path,
    parts: Path | None,
    netlist: Path | None,
    beep_below: float,
    lifted: tuple[str, ...],
    bare: bool,
    page: int,
    probes: int,
    form: str,
    output: Path | None,
    no_colour: bool,
) -> int:
    """Turn a log of continuity readings into a netlist, and say what to probe next.

    LOG is a table with the columns from, to, reading and note. A reading is beep, open, ohms (4k7) or
    a diode drop (0.62 V); a place is a pin (U2.5) or a part swept along (U2.*). Readings are taken
    with the cell out and nothing plugged in.

    Exit status: 0 consistent, 1 the log contradicts itself, 2 an input cannot be used.
    """
    from counterpoise.catalog.cards import all_cards
    from counterpoise.cli import _output
    from counterpoise.readers._source import Source
    from counterpoise.readers.ringout import parts_of, read, read_parts
    from counterpoise.reports import ringout as report
    from counterpoise.ringout.evidence import Bench
    from counterpoise.ringout.recover import recover, recovered_circuit

    listed = read_parts(Source.of(parts)) if parts else None
    readings = read(Source.of(log), listed)
    known = listed if listed is not None else parts_of(readings)
    off = frozenset(ref for each in lifted for ref in re.split(r"[\s,;]+", each) if ref)
    unknown = sorted(off - {part.ref for part in known.parts})
    if unknown:
        raise click.BadParameter(f"--lifted: {unknown[0]} is not in the parts list")
    found = recover(
        readings,
        known,
        all_cards(),
        bench=Bench(beep_below, off, bare),
        page=page,
        probes=probes,
        all_pins_known=listed is not None,
    )
    if netlist is not None:
        from counterpoise.reports.netlist import render

        said = (report.headline(found), report.effort_words(found))
        title = f"recovered from {readings.name}"
        text = render(recovered_circuit(found, known), title=title, comments=said)
        _output.write(text, netlist)
    if form == "json":
        text = report.render_json(found)
    elif form == "markdown":
        text = report.render_markdown(found)
    else:
        colour = _output.wants_colour(no_colour, output)
        text = report.render(found, width=_output.width(), colour=colour)
    _output.write(text, output)
    return int(bool(found.contradictions))
