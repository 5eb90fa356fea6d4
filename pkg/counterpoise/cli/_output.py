"""Options and writing that several commands share."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

F = TypeVar("F", bound=Callable[..., Any])

READABLE = click.Path(path_type=Path)


def output_option(function: F) -> F:
    """``--output FILE``."""
    return click.option(
        "--output", "-o", type=READABLE, metavar="FILE", help="Write there, not to the screen."
    )(function)


def format_option(*forms: str) -> Callable[[F], F]:
    """``--format`` with these forms, the first by default."""

    def add(function: F) -> F:
        return click.option(
            "--format",
            "form",
            type=click.Choice(forms),
            default=forms[0],
            show_default=True,
            help="The form of the answer.",
        )(function)

    return add


def colour_option(function: F) -> F:
    """``--no-color``."""
    return click.option(
        "--no-color", "no_colour", is_flag=True, help="No colour, even on a terminal."
    )(function)


def wants_colour(no_colour: bool, output: Path | None) -> bool:
    """Colour only on a terminal, and never against the user's word (option or NO_COLOR)."""
    refused = no_colour or os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return not refused and output is None and sys.stdout.isatty()


def width() -> int:
    """Columns of the terminal, 80 where there is none, never over 100 (long lines read badly)."""
    import shutil

    return min(shutil.get_terminal_size((80, 24)).columns, 100)


def reader_gone() -> None:
    """A pager closed: nothing to say, no second error while flushing, and the status still counts."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def write(text: str, output: Path | None) -> None:
    """To the screen, or to a file that is whole or not there at all.

    Raises:
        click.ClickException: the file cannot be written.
    """
    if output is None:
        # UTF-8 and plain line ends whatever the locale: the same answer gives the same bytes.
        try:
            sys.stdout.flush()
            sys.stdout.buffer.write(text.encode("utf-8", "replace"))
            sys.stdout.buffer.flush()
        except BrokenPipeError:
            reader_gone()
        return
    try:
        handle, partial = tempfile.mkstemp(dir=output.parent, prefix=".counterpoise-")
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
            umask = os.umask(0)
            os.umask(umask)
            Path(partial).chmod(0o666 & ~umask)
            Path(partial).replace(output)
        except BaseException:
            Path(partial).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise click.ClickException(f"{output.name}: cannot be written: {error.strerror}") from error
