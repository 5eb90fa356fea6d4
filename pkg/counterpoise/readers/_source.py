"""A file's bytes, its name as people see it, and the one error every reader raises."""

from __future__ import annotations

import bisect
import hashlib
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

SIZE_LIMIT = 512 * 1024 * 1024
"""Bytes. A design file above this is refused before it is read."""


class InputError(Exception):
    """An input that cannot be used: file, line (None when no line applies), what was expected."""

    def __init__(self, file: str, line: int | None, expected: str) -> None:
        super().__init__(
            f"{file}:{line}: {expected}" if line is not None else f"{file}: {expected}"
        )
        self.file, self.line, self.expected = file, line, expected


@dataclass(frozen=True)
class Source:
    """One input. ``name`` is what messages show: never an absolute path."""

    name: str
    data: bytes = field(repr=False)

    @classmethod
    def of(cls, path: Path, name: str | None = None) -> Source:
        """Read a file whole.

        Raises:
            InputError: it is absent, not a file, cannot be opened, or is larger than ``SIZE_LIMIT``.
        """
        shown = name if name is not None else path.name
        try:
            if not path.is_file():
                raise InputError(shown, None, _no_file(path))
            if path.stat().st_size > SIZE_LIMIT:
                raise InputError(
                    shown, None, f"larger than {SIZE_LIMIT // 2**20} MiB; expected a design file"
                )
            return cls(shown, path.read_bytes())
        except OSError as error:
            raise InputError(shown, None, f"cannot be read: {error.strerror}") from error

    @cached_property
    def sha256(self) -> str:
        """Hex digest of the bytes."""
        return hashlib.sha256(self.data).hexdigest()

    @cached_property
    def utf8(self) -> str:
        """The text, for formats that are UTF-8 by definition (a byte-order mark is dropped).

        Raises:
            InputError: with the line of the first byte that is not UTF-8.
        """
        try:
            return self.data.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line = self.data.count(b"\n", 0, error.start) + 1
            raise InputError(self.name, line, "expected UTF-8 text") from error

    @cached_property
    def _breaks(self) -> list[int]:
        breaks, at = [], self.utf8.find("\n")
        while at >= 0:
            breaks.append(at)
            at = self.utf8.find("\n", at + 1)
        return breaks

    def line_at(self, offset: int) -> int:
        """The line, counted from one, of a character offset into ``utf8``."""
        return bisect.bisect_left(self._breaks, offset) + 1

    def error(self, line: int | None, expected: str) -> InputError:
        """An error for this file."""
        return InputError(self.name, line, expected)


def _no_file(path: Path) -> str:
    if not path.exists():
        return "no such file"
    return f"expected a file, found {'a folder' if path.is_dir() else 'a pipe or a device'}"
