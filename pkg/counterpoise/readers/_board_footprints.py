"""Footprints where they stand, and the parts of the circuit they stand for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from counterpoise.model.circuit import NO_FIELDS, Part, Pin
from counterpoise.model.layout import BACK, FRONT, Drawing, Footprint, Zone
from counterpoise.readers import _names
from counterpoise.readers._board_context import BoardContext, Heads, atom, by_head, is_yes, words
from counterpoise.readers._board_copper import read_zone
from counterpoise.readers._board_pads import ReadPad, read_pad
from counterpoise.readers._board_shapes import Frame, drawing
from counterpoise.readers.sexpr import Node


@dataclass(frozen=True, slots=True)
class ReadFootprint:
    """A footprint, the zones inside it, and its part; None where it stands for none."""

    footprint: Footprint
    zones: tuple[Zone, ...]
    part: Part | None


@dataclass(slots=True)
class _Contents:
    """What is inside a footprint, sorted by what it is."""

    ref: str = ""
    value: str = ""
    fields: dict[str, str] = field(default_factory=dict)
    pads: list[Node] = field(default_factory=list)
    graphics: list[tuple[str, Node]] = field(default_factory=list)
    zones: list[Node] = field(default_factory=list)

    def take(self, child: Node) -> None:
        head = child[0] if child else ""
        if head == "pad":
            self.pads.append(child)
        elif head == "property":
            self.fields[atom(child, 1)] = _names.text_of(atom(child, 2))
        elif head == "fp_text":
            self._take_text(child)
        elif head == "zone":
            self.zones.append(child)
        elif isinstance(head, str) and head.startswith("fp_"):
            self.graphics.append((head[3:], child))

    def _take_text(self, child: Node) -> None:
        if atom(child, 1) == "reference":
            self.ref = atom(child, 2)
        elif atom(child, 1) == "value":
            self.value = _names.text_of(atom(child, 2))


def read_footprint(context: BoardContext, node: Node) -> ReadFootprint:
    """Read one footprint ("module" in older files) with all that is in it.

    Raises:
        InputError: it or a pad lacks its place, or a number is none.
    """
    heads = by_head(node)
    inside = _Contents()
    for child in node:
        if isinstance(child, Node):
            inside.take(child)
    ref = inside.fields.get("Reference", inside.ref)
    where = context.need(node, heads, "at")
    angle = context.number(where, 3) if atom(where, 3) else 0.0
    x, y = context.xy(where)
    frame = Frame.at(x, y, angle)
    pads = [read_pad(context, pad, frame) for pad in inside.pads]
    drawn = (drawing(context, child, kind, frame, ref) for kind, child in inside.graphics)
    attributes = frozenset(words(heads.get("attr")))
    if is_yes(heads.get("dnp")):
        attributes |= {"dnp"}
    footprint = Footprint(
        ref,
        (x, y),
        angle,
        BACK if context.layer(heads.get("layer")) == "B.Cu" else FRONT,
        _names.bare_name(atom(node, 1)),
        inside.fields.get("Value", inside.value),
        atom(heads.get("descr"), 1),
        _mount(attributes, older=node[0] == "module"),
        _user_fields(inside.fields),
        tuple(read.pad for read in pads),
        tuple(found for found in drawn if isinstance(found, Drawing)),
        fitted="dnp" not in attributes,
        bought=attributes.isdisjoint(("exclude_from_bom", "virtual")),
        placed=attributes.isdisjoint(("exclude_from_pos_files", "virtual")),
        board_only="board_only" in attributes,
        net_ties=_net_ties(heads, pads),
        origin=context.origin(node),
    )
    sheet = atom(heads.get("sheetname"), 1) or inside.fields.get("Sheetname", "")
    part = _part(context, footprint, pads, inside.fields.get("Description", ""), sheet)
    zones = tuple(read_zone(context, zone, ref, frame) for zone in inside.zones)
    return ReadFootprint(footprint, zones, part)


def _part(
    context: BoardContext, drawn: Footprint, pads: list[ReadPad], description: str, sheet: str
) -> Part | None:
    pins: dict[str, Pin] = {}
    for read in pads:
        if read.joins and read.pad.number:
            _merge(context, pins, drawn.ref, read)
    if not pins and not drawn.ref:
        return None
    return Part(
        drawn.ref,
        value=drawn.value,
        footprint=drawn.name,
        description=description,
        fields=drawn.fields,
        pins=tuple(pins.values()),
        fitted=drawn.fitted,
        bought=drawn.bought,
        sheet=_names.unescaped(sheet),
        origin=drawn.origin,
    )


def _merge(context: BoardContext, pins: dict[str, Pin], ref: str, read: ReadPad) -> None:
    """One pin for all pads of a number: the first net named, the first name and type given."""
    pad = read.pad
    kind, marked = _names.pin_kind(read.pin_type)
    new = Pin(ref, pad.number, pad.net, pad.name, kind, marked)
    known = pins.setdefault(pad.number, new)
    if known is new or known == new:
        return
    if known.net is not None and pad.net is not None and known.net != pad.net:
        context.note(
            read.node,
            f"{ref or 'a footprint'} has pads numbered {pad.number} on two nets, "
            f"{known.net} and {pad.net}; the first is kept",
        )
    pins[pad.number] = Pin(
        ref,
        pad.number,
        known.net if known.net is not None else pad.net,
        known.name or pad.name,
        known.kind if read.pin_type == "" or known.kind.value != "unknown" else kind,
        known.marked_open or marked,
    )


def _mount(attributes: frozenset[str], *, older: bool) -> str:
    if "smd" in attributes:
        return "smd"
    # Older writers say nothing of a part with leads.
    if "through_hole" in attributes or (older and "virtual" not in attributes):
        return "through-hole"
    return "other"


def _user_fields(properties: Mapping[str, str]) -> Mapping[str, str]:
    kept = {k: v for k, v in properties.items() if v and _names.is_user_field(k)}
    return MappingProxyType(kept) if kept else NO_FIELDS


def _net_ties(heads: Heads, pads: list[ReadPad]) -> tuple[tuple[str, ...], ...]:
    """Groups of pads the drawing joins on purpose; older files only say so in their keywords."""
    groups = heads.get("net_tie_pad_groups")
    if groups is not None:
        return tuple(tuple(n.strip() for n in group.split(",")) for group in words(groups))
    if "net tie" in atom(heads.get("tags"), 1).lower():
        return (tuple(dict.fromkeys(read.pad.number for read in pads if read.pad.number)),)
    return ()
