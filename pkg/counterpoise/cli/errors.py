"""The one place that turns an exception into a line on standard error and exit status 2."""

from __future__ import annotations

import os
import warnings
from pathlib import Path

import click

UNUSABLE = 2


def guarded(group: click.Command) -> int:
    """Run the command line; every way to fail is one line, never a traceback.

    ``COUNTERPOISE_DEBUG=1`` in the environment lets unforeseen faults through with their traceback.
    """
    try:
        with warnings.catch_warnings():
            # Arithmetic on absurd coordinates: the rules judge its result, a person cannot.
            warnings.filterwarnings("ignore", category=RuntimeWarning)
            status = group.main(prog_name="counterpoise", standalone_mode=False)
        return status if isinstance(status, int) else 0
    except click.exceptions.Exit as end:
        return end.exit_code
    except click.UsageError as error:
        hint = f" (try: {error.ctx.command_path} --help)" if error.ctx else ""
        return _say(error.format_message() + hint)
    except click.ClickException as error:
        return _say(error.format_message())
    except (click.Abort, KeyboardInterrupt):
        return _say("interrupted", 130)
    except SystemExit:
        # click ends the process itself after completing a word in a shell, and, with 1, when a
        # pager closed while it wrote its help.
        if "_COUNTERPOISE_COMPLETE" in os.environ:
            raise
        from counterpoise.cli._output import reader_gone

        reader_gone()
        return 0
    except Exception as error:
        line = _foreseen(error)
        if line is None and os.environ.get("COUNTERPOISE_DEBUG"):
            raise
        return _say(line or _unforeseen(error))


def _foreseen(error: Exception) -> str | None:
    from counterpoise.catalog.toml import CatalogError
    from counterpoise.readers._source import InputError

    if isinstance(error, InputError | CatalogError):
        return str(error)
    if isinstance(error, OSError) and error.strerror:
        name = Path(str(error.filename)).name if error.filename else ""
        return f"{name}: {error.strerror}" if name else error.strerror
    if isinstance(error, MemoryError):
        return "not enough memory for this input"
    return None


def _unforeseen(error: Exception) -> str:
    return (
        f"a fault inside counterpoise ({type(error).__name__}); "
        "COUNTERPOISE_DEBUG=1 shows where, please report it"
    )


def _say(text: str, status: int = UNUSABLE) -> int:
    from counterpoise.reports._plain import plain, short

    click.echo(f"counterpoise: {short(plain(text))}", err=True)
    return status
