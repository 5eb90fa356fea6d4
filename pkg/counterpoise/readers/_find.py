"""Which files of a folder are design files, told from what they hold."""

from __future__ import annotations

from pathlib import Path

from counterpoise.readers import detect, sexpr
from counterpoise.readers._source import InputError

MANIFEST = "board.toml"
_BACKUP_ENDS = ("~", ".bak", "-bak", ".tmp", ".lck", ".orig", ".old")
_PROSE = frozenset((".md", ".markdown", ".rst", ".html", ".htm", ".json", ".py", ".pdf", ".toml"))
_FILES = 2000
"""Files of one folder that are looked at, in the order of their names."""


def find_files(folder: Path) -> list[tuple[str, str, str]]:
    """The design files of a folder, by name: (name, kind, note).

    ``kind`` is manifest, netlist, layout, bom or placement. ``note`` says why a file should not be
    taken ("a backup copy"), "" when nothing speaks against it.

    Raises:
        InputError: the folder cannot be read.
    """
    try:
        paths = sorted(p for p in folder.iterdir() if p.is_file() and p.name[0] != ".")
    except OSError as error:
        raise InputError(folder.name, None, f"cannot be read: {error.strerror}") from error
    found = []
    for path in paths[:_FILES]:
        kind = "manifest" if path.name == MANIFEST else kind_of(path)
        if kind is not None:
            found.append((path.name, kind, "a backup copy" if _is_backup(path.name) else ""))
    return found


def kind_of(path: Path) -> str | None:
    """The kind of design file, None for any other or one that cannot be opened."""
    if path.suffix.casefold() in _PROSE:
        return None
    try:
        with path.open("rb") as file:
            head = file.read(sexpr.HEAD)
    except OSError:
        return None
    return next((kind for kind, reader in detect.available() if reader.sniff(head)), None)


def _is_backup(name: str) -> bool:
    folded = name.casefold()
    return folded.startswith(("_autosave-", "~")) or folded.endswith(_BACKUP_ENDS)
