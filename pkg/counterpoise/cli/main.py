"""The group of commands. Only click loads here, so that help and version are instant."""

from __future__ import annotations

import gc
from importlib import import_module
from typing import NoReturn

import click

from counterpoise import __version__
from counterpoise.cli.errors import guarded

COMMANDS = ("check", "compare", "weigh", "endurance", "ringout", "parts", "rules", "start")
"""In the order in which a person meets them; each is ``cli/<name>.py`` with a ``command``."""


class Commands(click.Group):
    """Finds a command's module by its name when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in their own order."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """One command, loaded now."""
        if cmd_name not in COMMANDS:
            return None
        found = import_module(f"counterpoise.cli.{cmd_name}").command
        assert isinstance(found, click.Command)
        return found


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="counterpoise", message="%(prog)s %(version)s")
def group() -> None:
    """Check, weigh and compare a small battery-powered wireless board before it is ordered.

    Reads the open files that design tools export: s-expression netlist and board, CSV BOM and
    placement. Start with "counterpoise check FOLDER".

    Exit status: 0 nothing stands against it, 1 something does, 2 an input cannot be used. Passing is
    never a certificate.
    """


def main() -> NoReturn:
    """Run the command line and end the process with its exit status."""
    # One run makes millions of objects and hardly a cycle: looking for cycles less often saves a
    # tenth of the time.
    gc.set_threshold(100_000, 20, 50)
    raise SystemExit(guarded(group))
