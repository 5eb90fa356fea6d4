"""``counterpoise start``."""

from __future__ import annotations

from pathlib import Path

import click

from counterpoise.cli._output import READABLE


@click.command(name="start")
@click.argument("folder", type=READABLE, metavar="FOLDER")
@click.option("--print", "to_screen", is_flag=True, help="Show the manifest; write nothing.")
def command(folder: Path, to_screen: bool) -> int:
    """Find the design files in a folder and write a commented board.toml there.

    An existing board.toml is never overwritten.
    """
    from counterpoise.cli import _output
    from counterpoise.cli._manifest import draft

    if not folder.is_dir():
        raise click.ClickException(f"{folder.name}: expected a folder with design files")
    target = folder / "board.toml"
    if target.exists() and not to_screen:
        raise click.ClickException(f"{target.name}: already there; --print shows a fresh one")
    text, said = draft(folder)
    if to_screen:
        _output.write(text, None)
        return 0
    _output.write(text, target)
    from counterpoise.reports._plain import plain

    for line in said:
        click.echo(plain(line))
    click.echo(
        "Wrote board.toml. State what you know in it, then: counterpoise check "
        + plain(folder.name or ".")
    )
    return 0
