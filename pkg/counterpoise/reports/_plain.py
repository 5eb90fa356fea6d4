"""Text from a board made harmless for a terminal."""

from __future__ import annotations

import re
import unicodedata

_LONG = re.compile(r"\S{300,}")


def plain(text: str) -> str:
    """``text`` on one line, with characters that could steer a terminal or reorder text spelt out.

    Control characters, line and paragraph separators, surrogates and format characters (among them
    the bidirectional overrides) become ``\\x1b`` or ``\\u202e``; line breaks and tabs become blanks.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_spelt(c) for c in text)


def short(text: str) -> str:
    """``text`` with words that no one reads to their end cut in the middle, so told by a "…"."""
    return _LONG.sub(lambda found: f"{found[0][:150]}…{found[0][-50:]}", text)


def _spelt(character: str) -> str:
    if character in "\n\r\t":
        return " "
    if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"):
        code = ord(character)
        return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}"
    return character
