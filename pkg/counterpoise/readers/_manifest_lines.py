"""Where each key of a TOML text stands: ``tomllib`` gives values but no lines."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TypeAlias

KeyPath: TypeAlias = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_STRING = re.compile(
    r'"""(?:[^\\"]|\\.|"(?!""))*"{3,5}'
    r"|'''(?:[^']|'(?!''))*'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.S,
)
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}\n#\"'\[{]*")


def key_lines(text: str) -> dict[KeyPath, int]:
    """The line, counted from one, of every table and key of a valid TOML text.

    Paths are as ``tomllib`` nests them, with an index for each member of an array: ("extra", 0,
    "mass"). A text that is not valid TOML gives what was found up to the first oddity.
    """
    return _Scanner(text).lines()


@dataclass
class _Scanner:
    text: str
    at: int = 0
    line: int = 1
    found: dict[KeyPath, int] = field(default_factory=dict)
    counts: dict[KeyPath, int] = field(default_factory=dict)

    def lines(self) -> dict[KeyPath, int]:
        table: KeyPath = ()
        while self._blank():
            start = self.at
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._value(self._pair(table))
            if self.at == start:
                break
        return self.found

    def _blank(self) -> bool:
        """Move over spaces, line ends and comments; False at the end of the text."""
        match = _BLANK.match(self.text, self.at)
        self._go(match.end() if match else self.at)
        return self.at < len(self.text)

    def _go(self, to: int) -> None:
        self.line += self.text.count("\n", self.at, to)
        self.at = to

    def _mark(self, path: KeyPath) -> None:
        self.found.setdefault(path, self.line)

    def _header(self) -> KeyPath:
        array = self.text.startswith("[[", self.at)
        self._go(self.at + (2 if array else 1))
        path: KeyPath = ()
        keys = self._keys()
        for place, key in enumerate(keys):
            path += (key,)
            self._mark(path)
            if array and place == len(keys) - 1:
                self.counts[path] = self.counts.get(path, 0) + 1
            if path in self.counts:
                path += (self.counts[path] - 1,)
                self._mark(path)
        end = self.text.find("\n", self.at)
        self._go(len(self.text) if end < 0 else end)
        return path

    def _keys(self) -> list[str]:
        """The parts of a dotted key, from here to "=" or "]"."""
        keys: list[str] = []
        while self._blank() and self.text[self.at] not in "=]":
            if self.text[self.at] == ".":
                self._go(self.at + 1)
                continue
            quoted = _STRING.match(self.text, self.at)
            match = quoted or _BARE.match(self.text, self.at)
            if not match:
                break
            keys.append(_unquoted(match[0]) if quoted else match[0])
            self._go(match.end())
        return keys

    def _pair(self, table: KeyPath) -> KeyPath:
        """Move over ``key =`` and note the line of the key."""
        start, path = self.line, table
        for key in self._keys():
            path += (key,)
            self.found.setdefault(path, start)
        if self.text.startswith("=", self.at):
            self._go(self.at + 1)
        return path

    def _value(self, path: KeyPath) -> None:
        """Move over one value, noting the keys of inline tables and the members of arrays.

        Brackets are kept on a list, not on the call stack: a hostile text may nest them deep.
        """
        open_: list[tuple[str, KeyPath, int]] = []
        here = path
        while self._blank():
            mark = self.text[self.at]
            if mark in "[{":
                open_.append((mark, here, 0))
                here = self._enter(mark, here)
            elif mark in "]}":
                self._go(self.at + 1)
                if open_:
                    open_.pop()
            elif mark == ",":
                if not open_:
                    return
                here = self._next(open_)
            elif not self._scalar():
                return
            if not open_:
                return

    def _enter(self, mark: str, path: KeyPath) -> KeyPath:
        self._go(self.at + 1)
        self._blank()
        if self.text.startswith("]" if mark == "[" else "}", self.at):
            return path
        if mark == "{":
            return self._pair(path)
        self._mark((*path, 0))
        return (*path, 0)

    def _next(self, open_: list[tuple[str, KeyPath, int]]) -> KeyPath:
        """Move over a comma to the next key or member of the innermost bracket."""
        mark, path, index = open_[-1]
        self._go(self.at + 1)
        self._blank()
        if mark == "{":
            return self._pair(path)
        open_[-1] = (mark, path, index + 1)
        if not self.text.startswith("]", self.at):
            self._mark((*path, index + 1))
        return (*path, index + 1)

    def _scalar(self) -> bool:
        match = _STRING.match(self.text, self.at) or _SCALAR.match(self.text, self.at)
        if not match or match.end() == self.at:
            return False
        self._go(match.end())
        return True


def _unquoted(text: str) -> str:
    if text[0] == "'":
        return text[1:-1]
    import tomllib

    try:
        return str(tomllib.loads(f"key = {text}")["key"])
    except tomllib.TOMLDecodeError:
        return text[1:-1]
