"""The parenthesised text that boards and netlists are written in.

One child of the root at a time is built and handed on, so that a file of any size costs its own
text and its largest child. Atoms stay text: ``0402`` and ``1e5`` are names until a field says
otherwise.
Input is not trusted: depth is capped, control characters are refused, nothing recurses.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from counterpoise.readers._source import InputError, Source

HEAD = 65536
"""Bytes that are enough to tell what a file is."""

MAX_DEPTH = 100
"""Lists within lists. Boards and netlists seen in the field nest seven deep."""


class Quoted(str):
    """An atom that stood in quotes: a bare ``9`` may be a number, a quoted one is a name."""

    __slots__ = ()


class Node(list["str | Node"]):
    """A list: its head and what follows. ``offset`` is the character its bracket stands at."""

    __slots__ = ("offset",)
    offset: int


_STRING = r'"([^"\\]*+(?:\\.[^"\\]*+)*+)"'
# Most lists are leaves: they are taken whole, in one match, which halves the time of a large board.
# White space is taken with the token before it, so that no search has to step over it.
_FORMS = (
    r'(?:\(([^()"]*+)\)'  # 1 a leaf without strings
    r'|([^\s()"]++)'  # 2 a bare atom
    r"|(\))"  # 3
    r'|\(([^\s()"]++)\s++' + _STRING + r"\s*+\)"  # 4, 5 a head and one string
    r"|"
    + _STRING  # 6
    + r"|{}(\()"  # 7, or 8 where runs of points are taken whole
    r'|("))\s*+'  # a string that never ends
)
# The outer + is not possessive: before 3.11.5 Python forgot to step back from a last point that does
# not fit (its issue 106052).
_POINTS = r'\(pts\s++((?:\(xy\s++[^\s()"]++\s++[^\s()"]++\s*+\)\s*+)+)\)|'
_TOKEN, _TOKEN_OR_POINTS = (
    re.compile(_FORMS.replace("{}", more), re.DOTALL | re.ASCII) for more in ("", _POINTS)
)
_LEAF, _BARE, _CLOSE, _HEAD, _STRING_LEAF, _QUOTED = 1, 2, 3, 4, 5, 6
_POINT = re.compile(r"\(([^()]*)\)")

_PREAMBLE = re.compile(r"(?:[ \t\r\n]++|#[^\n]*+)*+")
_ROOT = re.compile(r'(?:[ \t\r\n]++|#[^\n]*+)*+\([ \t\r\n]*+([^ \t\r\n()"]++)')
_ESCAPE = re.compile(r"\\(x[0-9A-Fa-f]{1,2}|[0-7]{1,3}|.)", re.DOTALL)
_LETTERS = {"n": "\n", "t": "\t", "r": "\r", "a": "\a", "b": "\b", "f": "\f", "v": "\v"}
_WORD = re.compile(r"[^ \t\r\n]++")
_SPACE = re.compile(r"[ \t\r\n]++")
_ODD_SPACES = (
    "\x85\xa0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a"
    "\u2028\u2029\u202f\u205f\u3000"
)
_CONTROL_BYTES = bytes(c for c in range(32) if c not in b"\t\n\r")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")

_ROOTS = {
    "export": "a netlist",
    "kicad_pcb": "a board",
    "kicad_sch": "a schematic: export its netlist",
    "kicad_symbol_lib": "a symbol library",
    "footprint": "a single footprint",
    "module": "a single footprint",
    "kicad_wks": "a drawing sheet",
    "kicad_dru": "a file of design rules",
    "fp_lib_table": "a list of footprint libraries",
    "sym_lib_table": "a list of symbol libraries",
    "edif": "an EDIF netlist",
    "pcb": "an autorouter's board",
    "session": "an autorouter's session",
}


def root_word(head: bytes) -> str:
    """The first word of the root list, "" when the text does not begin with a list."""
    match = _ROOT.match(head.decode("utf-8-sig", "replace"))
    return match[1] if match else ""


def is_list(head: bytes) -> bool:
    """Whether the text begins with a bracket, whatever the list is of."""
    text = head.decode("utf-8-sig", "replace")
    start = _PREAMBLE.match(text)
    return text.startswith("(", start.end() if start else 0)


def check_root(source: Source, word: str, expected: str) -> None:
    """Refuse a file whose root list does not begin with ``word``.

    Raises:
        InputError: as ``wrong_root`` words it.
    """
    if root_word(source.data[:HEAD]) != word:
        raise wrong_root(source, expected)


def wrong_root(source: Source, expected: str) -> InputError:
    """The error for a file of another kind, saying what it is where that is known."""
    head = source.data[:HEAD]
    if not head.strip(b"\xef\xbb\xbf \t\r\n"):
        return source.error(None, f"expected {expected}; the file is empty")
    found = root_word(head)
    if found in _ROOTS:
        return source.error(None, f"expected {expected}; this is {_ROOTS[found]}")
    if found:
        return source.error(None, f"expected {expected}; its root list is a {found[:40]!r}")
    return source.error(None, f"expected {expected}; it does not begin with a list and its name")


class Points(Node):
    """A ``(pts (xy X Y) …)`` list kept as text: most of a poured board is such runs, and a node a
    point would cost several times the reading of its numbers. Holds the head and that text."""

    __slots__ = ("at",)
    at: int

    def numbers(self) -> list[float]:
        """All the numbers in a row.

        Raises:
            ValueError: one is none.
        """
        return list(map(float, str(self[1]).replace("(xy", "").replace(")", "").split()))

    def unpacked(self) -> Node:
        """The list as it would have been without this shortcut."""
        node = Node((self[0],))
        node.offset = self.offset
        for match in _POINT.finditer(str(self[1])):
            point = Node(_split(match[1]))
            point.offset = self.at + match.start()
            node.append(point)
        return node


def children(source: Source, *, points: bool = False) -> Iterator[Node]:
    """Each list inside the root as it closes; last the root, holding only its own atoms.

    With ``points`` a list of nothing but points comes as ``Points``.

    Raises:
        InputError: the text is not UTF-8, holds a control character, nests deeper than
            ``MAX_DEPTH``, a list or string is never closed, or text stands outside the root.
    """
    text = source.utf8
    start = _start(source, text)
    current = Node()
    current.offset = start
    parents: list[Node] = []
    # str.split would also part words at a no-break space and its like, which belong to the word.
    odd = not text.isascii() and any(space in text for space in _ODD_SPACES)
    split = _split if odd else str.split
    tokens, opens = (_TOKEN_OR_POINTS, 8) if points else (_TOKEN, 7)
    for match in tokens.finditer(text, _inside(text, start)):
        kind = match.lastindex
        if kind == _BARE:
            current.append(match[_BARE])
            continue
        if kind == _LEAF:
            node = Node(split(match[_LEAF]))
            node.offset = match.start()
        elif kind == _STRING_LEAF:
            node = Node((match[_HEAD], _unescaped(source, match, _STRING_LEAF)))
            node.offset = match.start()
        elif kind == opens:
            parents.append(current)
            current = Node()
            current.offset = match.start()
            if len(parents) >= MAX_DEPTH:
                raise _error(source, match.start(), f"at most {MAX_DEPTH} lists within lists")
            continue
        elif kind == _CLOSE and parents:
            node, current = current, parents.pop()
        elif kind == _CLOSE:
            _finish(source, text, match.end())
            yield current
            return
        else:
            current.append(_rarer(source, match, points=points))
            continue
        if parents:
            current.append(node)
        else:
            yield node
    raise _error(source, current.offset, "')' for the list that opens here; the file ends first")


def _start(source: Source, text: str) -> int:
    # Looking through the bytes is ten times faster than through the text, and control characters
    # are single bytes in UTF-8.
    if len(source.data.translate(None, _CONTROL_BYTES)) != len(source.data):
        bad = _CONTROL.search(text)
        if bad:
            raise _error(source, bad.start(), "text without control characters")
    before = _PREAMBLE.match(text)
    start = before.end() if before else 0
    if not text.startswith("(", start):
        raise _error(source, start, "'(' to open the root list")
    return start


def _inside(text: str, start: int) -> int:
    space = _SPACE.match(text, start + 1)
    return space.end() if space else start + 1


def _finish(source: Source, text: str, end: int) -> None:
    rest = _SPACE.match(text, end)
    end = rest.end() if rest else end
    if end != len(text):
        raise _error(source, end, "the end of the file after the root list")


def _split(atoms: str) -> list[str]:
    return atoms.split() if atoms.isascii() else _WORD.findall(atoms)


def _rarer(source: Source, match: re.Match[str], *, points: bool) -> Quoted | Points:
    kind = match.lastindex
    if points and kind == _QUOTED + 1:
        run = Points(("pts", match[kind]))
        run.offset, run.at = match.start(), match.start(kind)
        return run
    if kind != _QUOTED:
        raise _error(source, match.start(), "'\"' to close the string that opens here")
    return _unescaped(source, match, _QUOTED)


def _unescaped(source: Source, match: re.Match[str], group: int) -> Quoted:
    text = match[group]
    if "\\" not in text:
        return Quoted(text)
    text = _ESCAPE.sub(_character, text)
    if _CONTROL.search(text):
        raise _error(source, match.start(), "text without control characters")
    return Quoted(text)


def _character(match: re.Match[str]) -> str:
    code = match[1]
    if code in _LETTERS:
        return _LETTERS[code]
    if code[0] == "x" and len(code) > 1:
        return chr(int(code[1:], 16))
    return chr(int(code, 8)) if code[0] in "01234567" else code


def _error(source: Source, offset: int, expected: str) -> InputError:
    return source.error(source.line_at(offset), f"expected {expected}")
