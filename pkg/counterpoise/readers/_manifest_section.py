"""One table of the manifest, taken apart key by key so that every mistake names its line."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TypeVar

from counterpoise.catalog.toml import nearest
from counterpoise.readers._manifest_lines import KeyPath
from counterpoise.readers._source import InputError
from counterpoise.values.ranges import Range
from counterpoise.values.units import DIMENSIONS, quantity, quantity_range

T = TypeVar("T")

MOST = 1_000_000
"""No board carries more of anything."""


def shown(text: str) -> str:
    """A text made fit for a one-line message: no control characters, cut when long."""
    plain = "".join(c if c.isprintable() else " " for c in text)
    return plain if len(plain) <= 400 else plain[:397] + "..."


class Section:
    """A table, or one member of an array of tables.

    ``path`` is how ``tomllib`` nests it, ``name`` how a person writes it: "[cell]", "[[extra]]".
    """

    def __init__(
        self,
        file: str,
        lines: Mapping[KeyPath, int],
        path: KeyPath,
        data: object,
        name: str | None = None,
    ) -> None:
        self.file, self.lines, self.path = file, lines, path
        self.name = name if name is not None else _written(path)
        if not isinstance(data, dict):
            raise self.error(None, "expected a table")
        self._data: dict[str, object] = dict(data)
        self._known: list[str] = []

    def line(self, key: str | None = None) -> int | None:
        """The line of a key, else of the table, else of the nearest table around it."""
        path: KeyPath = self.path if key is None else (*self.path, key)
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path)

    def error(self, key: str | None, expected: str) -> InputError:
        """The error for one key, or for the whole table when ``key`` is None."""
        at = " ".join(piece for piece in (self.name, key) if piece)
        return InputError(self.file, self.line(key), shown(f"{at}: {expected}" if at else expected))

    def __contains__(self, key: str) -> bool:
        return key in self._data

    def take(self, key: str) -> object:
        """The value of a key as TOML gives it, None when absent; the key is known from now on."""
        self._known.append(key)
        return self._data.pop(key, None)

    def read(self, key: str, reader: Callable[[str], T], example: str) -> T | None:
        """A text given to ``reader``, whose ValueError becomes this key's error."""
        value = self.take(key)
        if value is None:
            return None
        if isinstance(value, int | float) and not isinstance(value, bool):
            raise self.error(key, f'{value} has no unit; write a text such as "{example}"')
        if not isinstance(value, str):
            raise self.error(key, f'expected a text such as "{example}"')
        try:
            return reader(value)
        except ValueError as error:
            raise self.error(key, str(error)) from error

    def text(self, key: str) -> str | None:
        """A text with something in it."""
        value = self.take(key)
        if value is None:
            return None
        if not isinstance(value, str) or not value.strip():
            raise self.error(key, "expected a text" if not isinstance(value, str) else "is empty")
        return value.strip()

    def required(self, key: str, why: str) -> str:
        """A text that must be there."""
        value = self.text(key)
        if value is None:
            raise self.error(None, f'"{key}" is required: {why}')
        return value

    def flag(self, key: str) -> bool | None:
        """A truth value."""
        value = self.take(key)
        if value is not None and not isinstance(value, bool):
            raise self.error(key, "expected true or false")
        return value

    def count(self, key: str, default: int) -> int:
        """A whole number of at least one."""
        value = self.take(key)
        if value is None:
            return default
        if not isinstance(value, int) or isinstance(value, bool) or value < 1:
            raise self.error(key, "expected a whole number of at least 1")
        if value > MOST:
            raise self.error(key, f"expected a whole number of at most {MOST}")
        return value

    def amount(self, key: str, dimension: str, *, zero: bool = False) -> float | None:
        """A quantity above zero (or zero, when ``zero``), in the dimension's own unit."""

        def reader(text: str) -> float:
            return _checked(quantity(text, dimension), text, dimension, zero)

        return self.read(key, reader, DIMENSIONS[dimension][1])

    def span(self, key: str, dimension: str, *, zero: bool = False) -> Range | None:
        """A quantity or two joined by "to", above zero."""

        def reader(text: str) -> Range:
            ends = quantity_range(text, dimension)
            _checked(ends.low, text, dimension, zero)
            return ends

        return self.read(key, reader, DIMENSIONS[dimension][1])

    def choice(
        self, key: str, known: Iterable[str], same: Mapping[str, str] | None = None
    ) -> str | None:
        """One of a few words, whatever its case; ``same`` maps further spellings to them."""
        written = self.text(key)
        if written is None:
            return None
        words = list(known)
        word = written.casefold().replace("_", "-")
        word = (same or {}).get(word, word)
        if word not in words:
            raise self.error(key, f'expected one of {", ".join(words)}; got "{written}"')
        return word

    def section(self, key: str) -> Section | None:
        """A table inside this one."""
        value = self.take(key)
        return None if value is None else Section(self.file, self.lines, (*self.path, key), value)

    def sections(self, key: str) -> dict[str, Section]:
        """A table of named tables: [modes.hold], [parts.U7] and so on."""
        outer = self.section(key)
        if outer is None:
            return {}
        return {
            name: Section(self.file, self.lines, (*self.path, key, name), value)
            for name, value in outer.rest().items()
        }

    def array(self, key: str) -> list[Section]:
        """An array of tables: [[extra]], [[waivers]]."""
        value = self.take(key)
        if value is None:
            return []
        if not isinstance(value, list):
            raise self.error(key, f"expected tables written [[{key}]]")
        return [
            Section(self.file, self.lines, (*self.path, key, index), member, f"[[{key}]]")
            for index, member in enumerate(value)
        ]

    def rest(self) -> dict[str, object]:
        """Whatever was not taken yet, taken now."""
        left, self._data = self._data, {}
        return left

    def unknown(self, key: str, known: Iterable[str]) -> InputError:
        """The error for a key nobody knows."""
        words = list(known)
        hint = nearest(key, words) or f"; known: {', '.join(words)}"
        at = " ".join(piece for piece in (self.name, f'unknown key "{key}"') if piece)
        return InputError(self.file, self.line(key), shown(f"{at}{hint}"))

    def done(self) -> None:
        """Refuse the keys that nobody asked for.

        Raises:
            InputError: names the first such key and the nearest known one.
        """
        for key in self._data:
            raise self.unknown(key, self._known)


def _checked(value: float, text: str, dimension: str, zero: bool) -> float:
    if value < 0 or (value == 0 and not zero):
        least = "not below zero" if zero else "above zero"
        raise ValueError(f'expected a {dimension} {least}, got "{text}"')
    return value


def _written(path: KeyPath) -> str:
    names = [str(step) for step in path if isinstance(step, str)]
    return f"[{'.'.join(names)}]" if names else ""
