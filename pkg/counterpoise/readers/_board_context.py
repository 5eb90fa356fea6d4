"""What every piece of a board needs to be read: numbers, layer names and net names of this file."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TypeAlias

from counterpoise.model.facts import Origin
from counterpoise.model.layout import XY
from counterpoise.readers import _names
from counterpoise.readers._source import InputError, Source
from counterpoise.readers.sexpr import Node, Quoted

LARGEST = 1e6
"""Millimetres or degrees. Anything larger is no coordinate (boards end at about two metres)."""

NO_NET_NUMBERS = 20251028
"""From this version on nets are referred to by name alone."""

Heads: TypeAlias = dict[str, Node]

_INNER = re.compile(r"In(\d+)\.Cu")
_COPPER_TYPES = frozenset(("signal", "power", "mixed", "jumper"))


def by_head(node: Node) -> Heads:
    """The lists inside by their head; of lists with the same head the last."""
    try:
        return {child[0]: child for child in node if isinstance(child, Node)}  # type: ignore[misc]
    except (IndexError, TypeError):  # a list that is empty, or begins with a list
        return {
            child[0]: child
            for child in node
            if isinstance(child, Node) and child and isinstance(child[0], str)
        }


def atom(node: Node | None, index: int) -> str:
    """The text at that place, "" where there is none."""
    if node is None or len(node) <= index:
        return ""
    found = node[index]
    return found if isinstance(found, str) else ""


def words(node: Node | None) -> list[str]:
    """All texts after the head."""
    return [a for a in node[1:] if isinstance(a, str)] if node is not None else []


def is_yes(node: Node | None) -> bool:
    """Whether a flag given as a list is set: ``(x)`` and ``(x yes)`` are, ``(x no)`` is not."""
    return node is not None and atom(node, 1) != "no"


class BoardContext:
    """The file being read: its version, layers and nets as known so far, and what was doubtful."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.version = 0
        self.copper: tuple[str, ...] = ()
        self.notes: list[str] = []
        self.net_names: dict[str, None] = {}
        self._noted: set[str] = set()
        self._last_offset, self._last_line = 0, 1
        self._net_numbers: dict[str, str] = {}
        self._renamed: dict[str, str] = {}
        self._expanded: dict[tuple[str, ...], tuple[str, ...]] = {}

    @property
    def knows_nets(self) -> bool:
        """Whether a reference to a net can be resolved yet."""
        return bool(self._net_numbers) or self.version >= NO_NET_NUMBERS

    def error(self, node: Node, expected: str) -> InputError:
        """An error at the line a list begins on."""
        return self.source.error(self._line(node), f"expected {expected}")

    def origin(self, node: Node) -> Origin:
        """Where a list begins."""
        return Origin(self.source.name, self._line(node))

    def note(self, node: Node, text: str) -> None:
        """Keep a doubt, with the line it first arose on; the same doubt is told once."""
        if text not in self._noted:
            self._noted.add(text)
            self.notes.append(f"{self.source.name}:{self._line(node)}: {text}")

    def _line(self, node: Node) -> int:
        # Nodes come nearly in file order: counting on from the last one is far cheaper than a
        # table of all lines.
        text, last, at = self.source.utf8, self._last_offset, node.offset
        if at >= last:
            self._last_line += text.count("\n", last, at)
        else:
            self._last_line -= text.count("\n", at, last)
        self._last_offset = at
        return self._last_line

    def number(self, node: Node, index: int) -> float:
        """The number at that place of a list.

        Raises:
            InputError: there is none, or it is not a plain finite number.
        """
        try:
            text = node[index]
            value = float(text)  # type: ignore[arg-type]  # a list here raises TypeError
        except (ValueError, TypeError, IndexError):
            text, value = atom(node, index), LARGEST
        if not -LARGEST < value < LARGEST or "_" in text:
            shown = f"found {text[:40]!r}" if text else "found none"
            raise self.error(node, f"a number in ({atom(node, 0)} …), {shown}")
        return value

    def xy(self, node: Node) -> XY:
        """The two numbers after the head."""
        return (self.number(node, 1), self.number(node, 2))

    def need(self, node: Node, heads: Heads, head: str) -> Node:
        """A list that may not be missing.

        Raises:
            InputError: it is.
        """
        found = heads.get(head)
        if found is None:
            raise self.error(node, f"({head} …) in this {atom(node, 0)}")
        return found

    def optional(self, heads: Heads, head: str) -> float | None:
        """The number of a list that may be missing."""
        found = heads.get(head)
        return None if found is None else self.number(found, 1)

    # layers

    def set_layers(self, node: Node) -> None:
        """Take the layer table: copper front to back, whatever the file calls or numbers it."""
        rows = [
            (self.number(row, 0), atom(row, 1), atom(row, 2))
            for row in node[1:]
            if isinstance(row, Node) and len(row) >= 3
        ]
        copper = [(n, name) for n, name, kind in rows
                  if name.endswith(".Cu") or (kind in _COPPER_TYPES and n < 32)]  # fmt: skip
        # The oldest tables count copper from the back.
        copper.sort(key=lambda row: _rank(*row, backwards=0 < self.version <= 3))
        last = len(copper) - 1
        names = []
        for place, (_, name) in enumerate(copper):
            canonical = name
            if name not in ("F.Cu", "B.Cu") and not _INNER.fullmatch(name):
                canonical = "F.Cu" if place == 0 else "B.Cu" if place == last else f"In{place}.Cu"
                self._renamed[name] = canonical
            names.append(canonical)
        self.copper = tuple(dict.fromkeys(names))

    def layer(self, node: Node | None) -> str:
        """The canonical name of the layer a ``(layer …)`` list names."""
        name = atom(node, 1)
        return self._renamed.get(name, name)

    def layers(self, node: Node | None) -> tuple[str, ...]:
        """The layers a ``(layers …)`` list names, wildcards spelt out."""
        written = tuple(words(node))
        found = self._expanded.get(written)
        if found is None:
            spelt = (layer for name in written for layer in self._spelt(name))
            found = self._expanded[written] = tuple(dict.fromkeys(spelt))
        return found

    def between(self, names: Sequence[str]) -> tuple[str, ...]:
        """All copper layers from the first named to the last named."""
        places = [self.copper.index(name) for name in names if name in self.copper]
        return self.copper[min(places) : max(places) + 1] if places else self.copper

    def _spelt(self, name: str) -> Sequence[str]:
        if name == "*.Cu":
            return self.copper
        if name == "*In.Cu":
            return self.copper[1:-1]
        side, dot, rest = name.partition(".")
        if side in ("*", "F&B"):
            return (f"F{dot}{rest}", f"B{dot}{rest}")
        return (self._renamed.get(name, name),)

    # nets

    def set_net(self, node: Node) -> None:
        """Take one line of the board's net list: number and name."""
        name = _names.unescaped(atom(node, 2))
        self._net_numbers[atom(node, 1)] = name
        if name:
            self.net_names[name] = None

    def net(self, node: Node | None) -> str | None:
        """The net a ``(net …)`` list refers to, by number, by name or by both; None for no net.

        A bare word is a number where the net list has it; writers of different age mix both.
        """
        if node is None or len(node) < 2:
            return None
        if len(node) > 2:
            name = _names.unescaped(atom(node, 2))
        else:
            written = atom(node, 1)
            numbered = None if isinstance(written, Quoted) else self._net_numbers.get(written)
            name = _names.unescaped(written) if numbered is None else numbered
            if numbered is None and name == "0" and not isinstance(written, Quoted):
                name = ""
        if not name:
            return None
        self.net_names[name] = None
        return name


def _rank(number: float, name: str, *, backwards: bool) -> tuple[int, float]:
    if name == "F.Cu":
        return (0, 0)
    if name == "B.Cu":
        return (2, 0)
    inner = _INNER.fullmatch(name)
    if inner:
        return (1, int(inner[1]))
    front, back = (15, 0) if backwards else (0, 31)
    if number in (front, back):
        return (0 if number == front else 2, 0)
    return (1, -number if backwards else number)
