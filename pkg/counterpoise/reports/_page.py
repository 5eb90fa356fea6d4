"""A page of wrapped lines for a terminal."""

from __future__ import annotations

import textwrap

from counterpoise.reports._plain import plain, short

_STYLES = {"stop": "1;31", "caution": "33", "good": "32", "strong": "1", "quiet": "2"}


class Page:
    """Lines being written, wrapped to a width. Every text from a board passes ``plain``."""

    def __init__(self, width: int, colour: bool) -> None:
        self.width = max(width, 40)
        self._colour = colour
        self.lines: list[str] = []

    def styled(self, text: str, style: str) -> str:
        """``text`` in one of the styles, when colour is on."""
        return f"\x1b[{_STYLES[style]}m{text}\x1b[0m" if self._colour and style else text

    def write(
        self, text: str, *, first: str = "", rest: str | None = None, style: str = ""
    ) -> None:
        """A paragraph, wrapped.

        ``first`` starts its first line, ``rest`` (as many blanks unless given) the others. A first that
        leaves too little room stands on a line of its own.
        """
        first = short(plain(first))
        if len(first) > self.width - 20:
            self.write(first.strip(), rest="  ", style=style)
            first = "  "
        indent = " " * len(first) if rest is None else rest
        wrapped = textwrap.wrap(
            short(plain(text)),
            self.width,
            initial_indent=first,
            subsequent_indent=indent,
            break_on_hyphens=False,
        )
        self.lines += [self.styled(line, style) for line in wrapped or [first.rstrip()]]

    def gap(self) -> None:
        """One empty line, never two."""
        if self.lines and self.lines[-1]:
            self.lines.append("")

    def text(self) -> str:
        """All that was written, ending in one newline."""
        return "\n".join(line.rstrip() for line in self.lines).strip("\n") + "\n"
