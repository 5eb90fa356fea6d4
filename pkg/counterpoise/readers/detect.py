"""Which reader a file is for, told from its content and never from its name."""

from __future__ import annotations

import importlib
import pkgutil
from typing import Protocol, cast

from counterpoise import readers
from counterpoise.readers import sexpr
from counterpoise.readers._reading import Reading
from counterpoise.readers._source import Source

_EXPECTED = {
    "netlist": "a netlist",
    "layout": "a board",
    "placement": "a placement file",
    "bom": "a BOM",
}
"""What each kind is called, in the order the kinds are tried: a placement file is a table too, and
the more particular one."""

_ANY = "a netlist, board, BOM or placement file"


class Reader(Protocol):
    """What a reader's module offers."""

    def sniff(self, head: bytes) -> bool:
        """Whether the first bytes of a file look like its own kind."""

    def read(self, source: Source) -> Reading:
        """Read a file of its own kind."""


def available() -> tuple[tuple[str, Reader], ...]:
    """The readers of design files that are in the package, each with its kind.

    A module is one when it offers ``sniff`` and ``read`` and its ``KIND``, or else its own name, is
    a kind known here. Modules of a leading underscore are helpers.
    """
    found: list[tuple[str, str, Reader]] = []
    for entry in pkgutil.iter_modules(readers.__path__):
        if entry.name.startswith("_") or entry.name == "detect":
            continue
        module = importlib.import_module(f"{readers.__name__}.{entry.name}")
        kind = getattr(module, "KIND", entry.name)
        if kind in _EXPECTED and hasattr(module, "sniff") and hasattr(module, "read"):
            found.append((kind, entry.name, cast(Reader, module)))
    order = list(_EXPECTED)
    found.sort(key=lambda each: (order.index(each[0]), each[1]))
    return tuple((kind, reader) for kind, _, reader in found)


def read(source: Source) -> Reading:
    """Read a file of whichever kind it is.

    Raises:
        InputError: it is of none of the kinds, or its own reader refuses it.
    """
    head = source.data[: sexpr.HEAD]
    for _, reader in available():
        if reader.sniff(head):
            return reader.read(source)
    if sexpr.is_list(head):
        raise sexpr.wrong_root(source, "a netlist or board")
    if not head.strip():
        raise source.error(None, f"expected {_ANY}; the file is empty")
    raise source.error(None, f"expected {_ANY}; its content is none of these")


def read_as(source: Source, kind: str) -> Reading:
    """Read a file that must be of one kind: netlist, layout, bom or placement.

    Raises:
        InputError: it is of another kind, or its reader refuses it.
        KeyError: there is no reader of that kind.
    """
    head = source.data[: sexpr.HEAD]
    own = [reader for each, reader in available() if each == kind]
    if not own:
        raise KeyError(kind)
    for reader in own:
        if reader.sniff(head):
            return reader.read(source)
    for other, reader in available():
        if reader.sniff(head) and {kind, other} != {"bom", "placement"}:
            raise source.error(None, f"expected {_EXPECTED[kind]}; this is {_EXPECTED[other]}")
    if sexpr.is_list(head):
        raise sexpr.wrong_root(source, _EXPECTED[kind])
    return own[0].read(source)  # its own words for what is wrong
