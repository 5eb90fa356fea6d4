"""Pads: where their copper and their hole really are, in which shape, on which layers."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.model.layout import XY, Drawing, Drill, Pad
from counterpoise.readers import _names
from counterpoise.readers._board_context import BoardContext, Heads, atom, by_head, words
from counterpoise.readers._board_shapes import Frame, primitive
from counterpoise.readers.sexpr import Node


@dataclass(frozen=True, slots=True)
class ReadPad:
    """A pad, and what the file says of the pin it stands for."""

    pad: Pad
    joins: bool
    pin_type: str
    node: Node


def read_pad(context: BoardContext, node: Node, frame: Frame) -> ReadPad:
    """Read one pad of the footprint that stands in ``frame``.

    ``joins`` is whether it is copper that a pin can be joined to: paste alone is not, nor is the
    ring of an unplated hole without a net.

    Raises:
        InputError: it lacks its place, size or shape, or a number is none.
    """
    heads = by_head(node)
    where = context.need(node, heads, "at")
    angle = context.number(where, 3) if len(where) > 3 and atom(where, 3) else 0.0
    hole_at = frame.place(context.xy(where))
    size = context.xy(context.need(node, heads, "size"))
    kind, shape = atom(node, 2), atom(node, 3)
    if not kind or not shape:
        raise context.error(node, "(pad NUMBER TYPE SHAPE …)")
    drill, offset = _drill(context, heads, hole_at, angle, plated=kind != "np_thru_hole")
    turned = Frame.at(*hole_at, angle)
    at = turned.place(offset) if offset != (0.0, 0.0) else hole_at
    layers = context.layers(heads.get("layers"))
    corners = tuple(words(heads.get("chamfer")))
    extra: tuple[Drawing, ...] = ()
    if "primitives" in heads:
        copper = next((name for name in layers if name.endswith(".Cu")), "")
        extra = _primitives(context, heads["primitives"], Frame.at(*at, angle), copper)
    delta = heads.get("rect_delta")
    pad = Pad(
        atom(node, 1),
        at,
        size,
        shape,
        angle,
        layers,
        drill,
        context.net(heads.get("net")),
        _names.pin_name(atom(heads.get("pinfunction"), 1)),
        _corner_ratio(context, heads, shape),
        (context.optional(heads, "chamfer_ratio") or 0.0) if corners else 0.0,
        corners,
        context.xy(delta) if delta is not None else (0.0, 0.0),
        extra,
    )
    joins = bool(pad.copper) and (kind != "np_thru_hole" or pad.net is not None)
    if "padstack" in heads:
        context.note(node, "a pad differs from layer to layer; its front shape stands for all")
    return ReadPad(pad, joins, atom(heads.get("pintype"), 1), node)


def _corner_ratio(context: BoardContext, heads: Heads, shape: str) -> float:
    """Corner radius over the shorter side; one half makes the round anchor of a custom pad."""
    if shape == "custom":
        options = heads.get("options")
        anchor = atom(by_head(options).get("anchor"), 1) if options is not None else ""
        return 0.0 if anchor == "rect" else 0.5
    return min(context.optional(heads, "roundrect_rratio") or 0.0, 0.5)


def _drill(
    context: BoardContext, heads: Heads, at: XY, angle: float, *, plated: bool
) -> tuple[Drill | None, XY]:
    """The hole, and by how much the copper is moved off it, in the pad's own frame."""
    node = heads.get("drill")
    if node is None:
        return None, (0.0, 0.0)
    moved = by_head(node).get("offset")
    offset = context.xy(moved) if moved is not None else (0.0, 0.0)
    sizes = [index for index, word in enumerate(node) if index and isinstance(word, str)]
    if sizes and node[sizes[0]] == "oval":
        sizes = sizes[1:]
    if not sizes:
        return None, offset
    width = context.number(node, sizes[0])
    height = context.number(node, sizes[1]) if len(sizes) > 1 else width
    if width <= 0.0 or height <= 0.0:
        return None, offset
    return Drill(at, width, height, angle, plated), offset


def _primitives(context: BoardContext, node: Node, frame: Frame, layer: str) -> tuple[Drawing, ...]:
    drawn = (primitive(context, child, frame, layer) for child in node if isinstance(child, Node))
    return tuple(found for found in drawn if found is not None)
