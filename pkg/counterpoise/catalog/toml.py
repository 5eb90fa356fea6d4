"""Reading TOML so that every mistake is one line: file, key, what was expected."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Callable, Iterable, Mapping
from importlib.resources.abc import Traversable
from typing import Any

_DOTS = 2000


class CatalogError(Exception):
    """A rule, card, profile or table file that cannot be used: file, key, what was expected."""

    def __init__(self, file: str, key: str, expected: str) -> None:
        super().__init__(f"{file}: {key}: {expected}" if key else f"{file}: {expected}")
        self.file, self.key, self.expected = file, key, expected


def load(path: Traversable) -> dict[str, Any]:
    """The tables of one file.

    Raises:
        CatalogError: not TOML; the message holds the parser's line.
    """
    try:
        text = path.read_bytes().decode("utf-8")
        crowded = crowded_line(text)
        if crowded is not None:
            raise CatalogError(path.name, f"line {crowded}", "a line with thousands of dots")
        return tomllib.loads(text)
    except RecursionError as error:
        raise CatalogError(path.name, "", "nested too deep") from error
    except ValueError as error:  # not UTF-8, not TOML, or a number of too many digits
        raise CatalogError(path.name, "", f"not readable as TOML: {error}") from error


def crowded_line(text: str) -> int | None:
    """The first line with so many dots that a dotted key on it would take the parser very long."""
    if text.count(".") <= _DOTS:
        return None
    lines = enumerate(text.split("\n"), 1)
    return next((number for number, line in lines if line.count(".") > _DOTS), None)


def nearest(word: str, known: Iterable[str]) -> str:
    """' (did you mean "x"?)' for the nearest known word, or "" when none is near."""
    found = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f' (did you mean "{found[0]}"?)' if found else ""


class Table:
    """One table of a file, taken apart key by key; ``done`` refuses what nobody asked for."""

    def __init__(self, file: str, name: str, data: Mapping[str, Any]) -> None:
        self.file, self.name = file, name
        self._data = dict(data)
        self._known: list[str] = []

    def error(self, key: str, expected: str) -> CatalogError:
        """The error for one key of this table."""
        return CatalogError(self.file, f"[{self.name}] {key}".rstrip(), expected)

    def take(self, key: str, kind: type | tuple[type, ...], default: Any = ...) -> Any:
        """The value of ``key``, of that ``kind``; ``default`` when absent, else an error."""
        self._known.append(key)
        if key not in self._data:
            if default is ...:
                raise self.error(key, "this key is required")
            return default
        value = self._data.pop(key)
        if not isinstance(value, kind) or (
            isinstance(value, bool)
            and kind is not bool
            and kind != (bool,)
            and not (isinstance(kind, tuple) and bool in kind)
        ):
            names = " or ".join(k.__name__ for k in (kind if isinstance(kind, tuple) else (kind,)))
            raise self.error(key, f"expected {names}, got {type(value).__name__}")
        return value

    def keys(self) -> tuple[str, ...]:
        """The keys not taken yet, in file order."""
        return tuple(self._data)

    def text(self, key: str, default: str | None = None) -> str:
        """A text; ``default`` None makes it required."""
        return str(self.take(key, str, ... if default is None else default))

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts, or one text alone; empty when absent."""
        value = self.take(key, (list, str), [])
        items = [value] if isinstance(value, str) else value
        if not all(isinstance(item, str) for item in items):
            raise self.error(key, "expected a list of texts")
        return tuple(items)

    def flag(self, key: str, default: bool) -> bool:
        """A truth value."""
        return bool(self.take(key, bool, default))

    def tables(self, key: str) -> dict[str, Any]:
        """A table of further keys; empty when absent."""
        return dict(self.take(key, dict, {}))

    def read(self, key: str, reader: Callable[[str], Any], default: Any = None) -> Any:
        """A text given to ``reader``; its ValueError becomes this key's error."""
        text = self.take(key, str, None)
        if text is None:
            return default
        try:
            return reader(text)
        except ValueError as error:
            raise self.error(key, str(error)) from error

    def rest(self) -> dict[str, Any]:
        """What was not taken yet, taken now."""
        left, self._data = self._data, {}
        return left

    def done(self) -> None:
        """Refuse keys that nobody asked for.

        Raises:
            CatalogError: naming the first such key and its nearest known one.
        """
        for key in self._data:
            raise self.error(key, f"unknown key{nearest(key, self._known)}")
