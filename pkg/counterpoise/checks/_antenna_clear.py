"""What lies in the clear zone of each antenna, layer by layer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from counterpoise.catalog.rules import Rule
from counterpoise.checks._antenna_copper import drawn_in_copper
from counterpoise.checks._antenna_zone import Zone, antennas, zone_of
from counterpoise.checks._layout import copper_of, layout_of, material, place, side_of
from counterpoise.geometry.copper import LayerCopper
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Measured, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board


@dataclass(frozen=True, slots=True)
class Intruder:
    """Foreign copper in a zone on one layer: what, how much of zone and body (shares), where."""

    what: str
    layer: str
    net: str | None
    area: float
    of_zone: float
    of_body: float
    at: tuple[float, float]
    ref: str = ""


def clear_zone(board: Board, rule: Rule) -> Iterator[Verdict]:
    """One verdict an antenna: the worst intruder over all layers."""
    found = antennas(board)
    for part in found:
        zone = zone_of(board, part, rule.limit("margin").low)
        yield _judge(board, zone, rule) if isinstance(zone, Zone) else zone
    if not found and not board.parts_as("antenna-connector"):
        yield from drawn_in_copper(board)


def _judge(board: Board, zone: Zone, rule: Rule) -> Verdict:
    ref = zone.part.ref
    shape = material(board)
    room = None if shape is None else shape.intersection(shapely.union_all(zone.spots).envelope)
    trials = [_intruders(board, zone, spot, room) for spot in zone.spots]
    found = min(trials, key=lambda t: sum(i.area for i in t))
    least = rule.limit("speck").high
    found = [i for i in found if i.area > least]
    slack = rule.limit("slight").high
    if zone.radiator.kind == "module":
        # Pours end a little inside the pad-free end on many sound boards.
        found = [i for i in found if i.of_zone > slack or not i.what.startswith("copper area")]
    if not found:
        return _unfilled(board, zone) or Pass(ref)
    worst = max(found, key=lambda i: (i.of_body, i.area))
    heavy = worst.of_body >= rule.limit("under-body").high
    heavy = heavy or (zone.sure and worst.of_zone >= rule.limit("under-zone").high)
    layers = ", ".join(dict.fromkeys(i.layer for i in found))
    words = {
        "what": worst.what,
        "layers": layers,
        "share": f"{max(i.of_zone for i in found):.0%}",
        "basis": zone.basis,
    }
    return Fail(
        (ref, *sorted({i.ref for i in found if i.ref and i.ref != ref})),
        "under" if heavy else "slight",
        words,
        nets=tuple({i.net for i in found if i.net}),
        place=place(worst.at, side_of(worst.layer)),
        measured=Measured(round(sum(i.area for i in found), 2), "mm²"),
        severity=None if heavy else Severity.CAUTION,
        firm=not zone.guessed,
        doubt=zone.guessed,
    )


def _intruders(
    board: Board, zone: Zone, spot: BaseGeometry, shape: BaseGeometry | None
) -> list[Intruder]:
    """Foreign copper in one place of the zone, on every layer, what lies on the board only."""
    area = spot if shape is None else spot.intersection(shape)
    if area.is_empty or area.area <= 0:
        return []
    own = frozenset() if zone.radiator.kind == "module" else _feed_nets(board, zone.part)
    body = zone.radiator.body.intersection(area)
    found: list[Intruder] = []
    for layer in copper_of(board).layers.values():
        found += _pours(layer, area, body, own)
        found += _items(layer, area, body, own, zone.part.ref)
    return found


def _feed_nets(board: Board, part: Part) -> frozenset[str]:
    """Nets of the antenna's own feed: of all its pins that are no ground."""
    nets = {p.net for p in part.pins if p.net is not None and not board.is_ground(p.net)}
    return frozenset(nets)


def _pours(
    layer: LayerCopper, area: BaseGeometry, body: BaseGeometry, own: frozenset[str]
) -> Iterator[Intruder]:
    by_net: dict[str | None, list[BaseGeometry]] = {}
    for pour in layer.pours_near(area):
        if pour.net in own:
            continue
        piece = pour.within(area)
        if piece.area > 0:
            by_net.setdefault(pour.net, []).append(piece)
    for net, pieces in by_net.items():
        piece = shapely.union_all(pieces)
        yield _intruder(f"copper area {net or 'without net'}", layer, net, piece, area, body)


def _items(
    layer: LayerCopper,
    area: BaseGeometry,
    body: BaseGeometry,
    own: frozenset[str],
    ref: str,
) -> Iterator[Intruder]:
    by_owner: dict[tuple[str, str, str | None], list[BaseGeometry]] = {}
    for index in layer.near(area):
        item = layer.items[index]
        if item.ref == ref or (item.net is not None and item.net in own):
            continue
        piece = layer.shape(index).intersection(area)
        if piece.area > 0:
            owner = f"{item.ref}.{item.pin}" if item.ref else ""
            by_owner.setdefault((item.kind, owner, item.net), []).append(piece)
    for (kind, owner, net), pieces in sorted(by_owner.items(), key=lambda e: str(e[0])):
        what = f"pad {owner}" if kind == "pad" else f"{kind} {net or owner or 'without net'}"
        piece = shapely.union_all(pieces)
        yield _intruder(what, layer, net, piece, area, body, owner.partition(".")[0])


def _intruder(
    what: str,
    layer: LayerCopper,
    net: str | None,
    piece: BaseGeometry,
    area: BaseGeometry,
    body: BaseGeometry,
    ref: str = "",
) -> Intruder:
    at = piece.representative_point()
    of_body = piece.intersection(body).area / body.area if body.area else 0.0
    return Intruder(
        what, layer.name, net, piece.area, piece.area / area.area, of_body, (at.x, at.y), ref
    )


def _unfilled(board: Board, zone: Zone) -> Verdict | None:
    """Cannot judge where an area that would pour copper here is not poured in the file."""
    for area in layout_of(board).zones:
        if area.keepout is not None or area.fills or area.owner == zone.part.ref:
            continue
        for outline in area.outlines:
            if len(outline.points) < 3:
                continue
            shape = shapely.make_valid(shapely.Polygon(outline.points))
            share = shape.intersection(zone.spots[0]).area / zone.spots[0].area
            if share > 0.1:
                what = f"the copper areas poured round {zone.part.ref}"
                return Unknown(
                    zone.part.ref, (Need(what, "the board file: fill all zones and save"),)
                )
    return None
