"""Patterns for order codes and footprints, compiled when a text first comes near to one.

Hundreds of cards ship and a board needs a few: compiling every pattern would cost more than the
check of a small board.
"""

from __future__ import annotations

import re

from counterpoise.catalog.toml import CatalogError

_LONGEST = 300
_OPEN_REPEATS = 3
_LITERAL = re.compile(r"[A-Za-z0-9_-]*")
_ESCAPED = re.compile(r"\\.")
_CLASS = re.compile(r"\[\^?\]?[^\]]*\]")


class Pattern:
    """A regular expression of a card, with the place it is written at."""

    __slots__ = ("_compiled", "file", "key", "prefix", "text")

    def __init__(self, text: str, file: str = "", key: str = "") -> None:
        self.text, self.file, self.key = text, file, key
        self.prefix = _prefix(text)
        self._compiled: re.Pattern[str] | None = None

    @property
    def compiled(self) -> re.Pattern[str]:
        """The expression, compiled.

        Raises:
            CatalogError: it is none.
        """
        if self._compiled is None:
            try:
                self._compiled = re.compile(self.text, re.ASCII)
            except (re.error, RecursionError, OverflowError) as error:
                raise CatalogError(self.file, self.key, f"not a pattern: {error}") from error
        return self._compiled

    @property
    def groups(self) -> int:
        """How many groups it has."""
        return self.compiled.groups

    def fullmatch(self, text: str) -> re.Match[str] | None:
        """The match of the whole text."""
        return self.compiled.fullmatch(text) if text.startswith(self.prefix) else None

    def search(self, text: str) -> re.Match[str] | None:
        """The first match anywhere."""
        return self.compiled.search(text) if self.prefix in text else None

    def check(self) -> None:
        """Refuse what is no pattern, or one that could make the tool hang: a repeated group, or
        many open repeats.

        Raises:
            CatalogError: with file and key.
        """
        plain = _CLASS.sub("a", _ESCAPED.sub("a", self.text))
        if re.search(r"[)*+}][*+{]", plain) or len(self.text) > _LONGEST:
            raise CatalogError(
                self.file, self.key, "expected a plain pattern without nested repeats"
            )
        if len(re.findall(r"[*+]|\{\d*,\d*\}", plain)) > _OPEN_REPEATS:
            expected = f"expected a pattern with at most {_OPEN_REPEATS} open repeats"
            raise CatalogError(self.file, self.key, expected)
        _ = self.compiled


def _prefix(text: str) -> str:
    """Plain characters that every match begins with; "" where that is not certain."""
    match = _LITERAL.match(text)
    end = match.end() if match else 0
    if not end or "|" in _unbracketed(text):
        return ""
    if text[end : end + 1] in ("?", "*", "{"):
        end -= 1
    return text[:end]


def _unbracketed(text: str) -> str:
    """The text up to its first bracket and behind its last, where a bar parts whole patterns."""
    if "|" not in text or "(" not in text:
        return text
    plain = _CLASS.sub("a", _ESCAPED.sub("a", text))
    depth, outside = 0, []
    for character in plain:
        depth += (character == "(") - (character == ")")
        if depth == 0:
            outside.append(character)
    return "".join(outside)
