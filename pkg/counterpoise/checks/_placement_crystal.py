"""How far crystals stand from their pins, and what crosses under them."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import body_of, copper_of, layout_of, mm, place, side_of
from counterpoise.geometry.distance import pad_distance
from counterpoise.geometry.pads import pad_shape
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.layout import BACK, Footprint
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known

_CHIPS = ("radio", "controller", "chip", "radio-module", "memory", "logic", "unknown")
_SLOW_HZ = 1e6


def crystal_distance(board: Board, rule: Rule) -> Iterator[Verdict]:
    """One verdict a crystal: the further of its two lines, then what runs under it."""
    for part in board.parts_as("crystal", "resonator"):
        footprint = layout_of(board).footprint(part.ref)
        if footprint is None:
            continue
        far = _farthest(board, part)
        if far is None:
            what = f"the pins that {part.ref} is joined to"
            where = "the netlist: join the crystal to its oscillator"
            yield Unknown(part.ref, (Need(what, where),))
            continue
        crossing = _crossing(board, part, footprint)
        verdict = _judge(board, rule, part, footprint, far)
        if crossing is not None and isinstance(verdict, Pass):
            yield crossing
        else:
            yield verdict


def _farthest(board: Board, part: Part) -> tuple[float, str] | None:
    """The larger of the distances from a signal pad to the nearest chip pin on its net (a series
    resistor may stand between), and that pin."""
    layout = layout_of(board)
    best: list[tuple[float, str]] = []
    for pin in part.pins:
        if pin.net is None or board.is_ground(pin.net):
            continue
        nets = board.reach(pin.net, "resistor", "link")
        others = [
            other
            for net in nets
            for chip in board.on_net(net, *_CHIPS)
            for other in chip.pins
            if other.net == net
        ]
        gaps = [
            (gap, other.label)
            for other in others
            if (gap := pad_distance(layout, (part.ref, pin.number), (other.ref, other.number)))
            is not None
        ]
        if gaps:
            best.append(min(gaps))
    return max(best) if best else None


def _judge(
    board: Board, rule: Rule, part: Part, footprint: Footprint, far: tuple[float, str]
) -> Verdict:
    gap, pin = far
    known = board.known(part, "frequency")
    fast, slow = rule.limit("fast").high, rule.limit("slow").high
    if isinstance(known, Known):
        limit = slow if known.value.high < _SLOW_HZ else fast
    elif gap <= min(fast, slow):
        return Pass(part.ref)
    elif gap <= max(fast, slow):
        return Unknown(part.ref, (known,))
    else:
        limit = max(fast, slow)
    if gap <= limit:
        return Pass(part.ref)
    return Fail(
        (part.ref,),
        "far",
        {"measured": mm(gap), "pin": pin, "limit": mm(limit)},
        place=place(footprint.at, footprint.side),
        measured=Measured(round(gap, 2), "mm"),
        limit=Limit(None, limit, "mm"),
    )


def _crossing(board: Board, part: Part, footprint: Footprint) -> Fail | None:
    """A foreign signal's track under the body with no ground between."""
    own = {n for net in part.nets if not board.is_ground(net) for n in board.reach(net, "resistor")}
    pads = [pad_shape(p) for p in footprint.pads if p.copper]
    body = body_of(footprint)
    if not pads or body is None:
        return None
    room = shapely.union_all(pads).convex_hull.intersection(body)
    if room.area <= 0:
        return None
    names = list(layout_of(board).copper_layers)
    order = names[::-1] if footprint.side == BACK else names
    for name in order:
        layer = copper_of(board).layers.get(name)
        if layer is None:
            continue
        for index in layer.near(room):
            item = layer.items[index]
            if item.kind != "track" or item.net is None or item.net in own:
                continue
            if board.is_ground(item.net) or item.net in board.rails:
                continue
            piece = layer.shape(index).intersection(room)
            if piece.area > 0.25 * room.area**0.5 * item.width:
                words = {"net": item.net, "layer": name}
                spot = place(item.at, side_of(name))
                return Fail((part.ref,), "crossed", words, nets=(item.net,), place=spot)
        if _grounded(board, name, room):
            return None
    return None


def _grounded(board: Board, name: str, room: BaseGeometry) -> bool:
    near = copper_of(board).layers[name].pours_near(room)
    pours = [p for p in near if board.is_ground(p.net)]
    return sum(p.within(room).area for p in pours) >= 0.5 * room.area
