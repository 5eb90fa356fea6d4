"""The netlist export: parts, what their library says of their pins, and the nets."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from counterpoise.model.circuit import NO_FIELDS, Circuit, Part, Pin, PinKind
from counterpoise.model.facts import Origin
from counterpoise.readers import _names, sexpr
from counterpoise.readers._reading import Reading
from counterpoise.readers._source import Source
from counterpoise.readers.sexpr import Node

KIND = "netlist"
_ROOT = "export"


def sniff(head: bytes) -> bool:
    """Whether the first bytes of a file look like a netlist export."""
    return sexpr.root_word(head) == _ROOT


def read(source: Source) -> Reading:
    """Read a netlist.

    Raises:
        InputError: it is not a netlist, is cut short, or a part, pin or net lacks its name.
    """
    sexpr.check_root(source, _ROOT, "a netlist")
    reader = _Reader(source)
    for group in sexpr.children(source):
        if group and isinstance(group[0], str):
            reader.take(group[0], group)
    return Reading(KIND, circuit=reader.circuit(), notes=tuple(reader.notes))


@dataclass(frozen=True, slots=True)
class _Symbol:
    """What the library says: pins by number, as (name, type) texts."""

    description: str
    pins: Mapping[str, tuple[str, str]]


@dataclass(slots=True)
class _Reader:
    source: Source
    notes: list[str] = field(default_factory=list)
    has_nets: bool = False
    _parts: list[tuple[Part, tuple[str, str]]] = field(default_factory=list)
    _symbols: dict[tuple[str, str], _Symbol] = field(default_factory=dict)
    _nodes: dict[str, dict[str, Pin]] = field(default_factory=dict)
    _first_seen: dict[str, int] = field(default_factory=dict)

    def take(self, head: str, group: Node) -> None:
        """Take in one group of the export; groups it does not know are left out."""
        self.has_nets |= head == "nets"
        entry, take = {
            "components": ("comp", self.take_part),
            "libparts": ("libpart", self.take_symbol),
            "nets": ("net", self.take_net),
        }.get(head, ("", None))
        if take is not None:
            for child in _lists(group, entry):
                take(child)

    def take_part(self, comp: Node) -> None:
        ref = self._required(comp, "ref", "(ref …) in this part")
        library = _child(comp, "libsource")
        flags, fields = _fields(comp)
        said = _text(comp, "description") or (_text(library, "description") if library else "")
        sheet = _child(comp, "sheetpath")
        part = Part(
            ref,
            value=_names.text_of(_text(comp, "value")),
            footprint=_names.bare_name(_names.text_of(_text(comp, "footprint"))),
            symbol=_text(library, "part") if library else "",
            description=_names.text_of(said),
            fields=fields,
            fitted="dnp" not in flags,
            bought="exclude_from_bom" not in flags,
            sheet=_names.unescaped(_text(sheet, "names")) if sheet else "",
            origin=Origin(self.source.name, self.source.line_at(comp.offset)),
        )
        key = (_text(library, "lib"), part.symbol) if library else ("", "")
        self._parts.append((part, key))

    def take_symbol(self, libpart: Node) -> None:
        library, name = _text(libpart, "lib"), _text(libpart, "part")
        pins: dict[str, tuple[str, str]] = {}
        for pin in _lists(_child(libpart, "pins"), "pin"):
            number = self._required(pin, "num", "(num …) in this pin")
            pins.setdefault(number, (_text(pin, "name"), _text(pin, "type")))
        symbol = _Symbol(_text(libpart, "description"), pins)
        aliases = (_atom(alias, 1) for alias in _lists(_child(libpart, "aliases"), "alias"))
        for key in (name, *aliases):
            self._symbols.setdefault((library, key), symbol)

    def take_net(self, net: Node) -> None:
        name = _names.unescaped(self._required(net, "name", "(name …) in this net"))
        for node in _lists(net, "node"):
            ref = self._required(node, "ref", "(ref …) in this node")
            number = self._required(node, "pin", "(pin …) in this node")
            kind, marked = _names.pin_kind(_text(node, "pintype"))
            called = _names.pin_name(_text(node, "pinfunction"))
            pin = Pin(ref, number, name or None, called, kind, marked)
            line = self.source.line_at(node.offset)
            self._first_seen.setdefault(ref, line)
            first = self._nodes.setdefault(ref, {}).setdefault(number, pin)
            if first.net != pin.net:
                self.notes.append(
                    f"{self.source.name}:{line}: {ref} pin {number} is on two nets, "
                    f"{first.net} and {pin.net}; the first is kept"
                )

    def circuit(self) -> Circuit:
        parts = list(self._joined())
        for ref, pins in self._nodes.items():  # what is left belongs to no part listed
            line = self._first_seen[ref]
            origin = Origin(self.source.name, line)
            parts.append(Part(ref, pins=tuple(pins.values()), origin=origin))
            self.notes.append(
                f"{self.source.name}:{line}: {ref} is on a net but not among the components"
            )
        return Circuit(tuple(parts), knows_wiring=self.has_nets)

    def _joined(self) -> Iterator[Part]:
        for part, key in self._parts:
            symbol = self._symbols.get(key)
            nodes = self._nodes.pop(part.ref, {})
            known = symbol.pins if symbol else {}
            pins = [_pin(part.ref, number, nodes.get(number), known.get(number))
                    for number in dict.fromkeys((*known, *nodes))]  # fmt: skip
            said = part.description or _names.text_of(symbol.description if symbol else "")
            yield replace(part, pins=tuple(pins), description=said)

    def _required(self, node: Node, head: str, expected: str) -> str:
        child = _child(node, head)
        if child is None or (len(child) < 2 and head != "name"):
            raise self.source.error(self.source.line_at(node.offset), f"expected {expected}")
        return _atom(child, 1)


def _pin(ref: str, number: str, node: Pin | None, known: tuple[str, str] | None) -> Pin:
    name, kind, marked = "", PinKind.UNKNOWN, False
    if known:
        name = _names.pin_name(known[0])
        kind, marked = _names.pin_kind(known[1])
    if node is None:
        return Pin(ref, number, None, name, kind, marked)
    # Writers tell pins of one name apart by the number ("GND_2"); the library has the name itself.
    if node.name and node.name != f"{name}_{number}":
        name = node.name
    if node.kind is not PinKind.UNKNOWN:
        kind = node.kind
    return Pin(ref, number, node.net, name, kind, marked or node.marked_open)


def _fields(comp: Node) -> tuple[set[str], Mapping[str, str]]:
    """The flags set, and the user's fields: listed twice by newer writers, kept once."""
    flags: set[str] = set()
    fields: dict[str, str] = {}
    for entry in _lists(_child(comp, "fields"), "field"):
        fields.setdefault(_text(entry, "name"), _names.text_of(_atom(entry, 2)))
    for entry in _lists(comp, "property"):
        name, value = _text(entry, "name"), _child(entry, "value")
        if value is None:
            flags.add(name.lower())
        else:
            fields.setdefault(name, _names.text_of(_atom(value, 1)))
    datasheet = _names.text_of(_text(comp, "datasheet"))
    if datasheet:
        fields.setdefault("Datasheet", datasheet)
    kept = {k: v for k, v in fields.items() if v and _names.is_user_field(k)}
    return flags, MappingProxyType(kept) if kept else NO_FIELDS


def _lists(node: Node | None, head: str) -> Iterator[Node]:
    for child in node or ():
        if isinstance(child, Node) and child and child[0] == head:
            yield child


def _child(node: Node, head: str) -> Node | None:
    return next(_lists(node, head), None)


def _atom(node: Node, index: int) -> str:
    atom = node[index] if len(node) > index else ""
    return atom if isinstance(atom, str) else ""


def _text(node: Node, head: str) -> str:
    child = _child(node, head)
    return _atom(child, 1) if child is not None else ""
