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

_UNPOURED = 0.1
"""Share of a clear zone under an area without its fill from which the copper there is unknown."""

_UNDER = 0.01
"""Share of the body from which copper lies under it rather than beside it."""


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
    ref: str
    poured: bool


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
    trials = [
        (spot, _judged(_intruders(board, zone, spot, room), zone, rule)) for spot in zone.spots
    ]
    clean = [spot for spot, found in trials if not found]
    if clean:
        if not all(_unpoured(board, zone, spot) for spot in clean):
            return Pass(ref)
        what = f"the copper areas poured round {ref}"
        return Unknown(ref, (Need(what, "the board file: fill all zones and save"),))
    return _fail(zone, min((found for _, found in trials), key=_area), rule)


def _area(found: list[Intruder]) -> float:
    return sum(i.area for i in found)


def _judged(found: list[Intruder], zone: Zone, rule: Rule) -> list[Intruder]:
    """What of it counts."""
    least, slack = rule.limit("speck").high, rule.limit("slight").high
    found = [i for i in found if i.area > least]
    if zone.radiator.kind == "module":
        # Pours end a little inside the pad-free end on many sound boards.
        found = [i for i in found if i.of_zone > slack or not i.poured]
    return found


def _fail(zone: Zone, found: list[Intruder], rule: Rule) -> Fail:
    ref = zone.part.ref
    heavy = [
        i
        for i in found
        if i.of_body >= rule.limit("under-body").high
        or (zone.sure and i.of_zone >= rule.limit("under-zone").high)
    ]
    worst = max(heavy or found, key=lambda i: (i.of_body, i.area))
    layers = ", ".join(dict.fromkeys(i.layer for i in found))
    words = {
        "what": worst.what,
        "layers": layers,
        "share": f"{max(i.of_zone for i in found):.0%}",
        "basis": zone.basis,
    }
    return Fail(
        (ref, *sorted({i.ref for i in found if i.ref and i.ref != ref})),
        _case(worst) if heavy else "slight",
        words,
        nets=tuple({i.net for i in found if i.net}),
        place=place(worst.at, side_of(worst.layer)),
        measured=Measured(round(_area(found), 2), "mm²"),
        severity=None if heavy else Severity.CAUTION,
        firm=not zone.guessed,
        doubt=zone.guessed,
    )


def _case(worst: Intruder) -> str:
    return "under" if worst.of_body > _UNDER else "within"


def _intruders(
    board: Board, zone: Zone, spot: BaseGeometry, shape: BaseGeometry | None
) -> list[Intruder]:
    """Foreign copper in one place of the zone, on every layer, what lies on the board only."""
    area = spot if shape is None else spot.intersection(shape)
    own = frozenset() if zone.radiator.kind == "module" else _feed_nets(board, zone.part)
    body = zone.radiator.body.intersection(area)
    found: list[Intruder] = []
    for layer in copper_of(board).layers.values():
        found += _pours(layer, area, body, own)
        found += _items(layer, area, body, own, zone.part.ref)
    return found


def _feed_nets(board: Board, part: Part) -> frozenset[str]:
    """Nets of the antenna's own feed: of all its pins that are no ground."""
    return frozenset(net for net in part.nets if not board.is_ground(net))


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
        what = f"copper area {net or 'without net'}"
        yield _intruder(what, layer, net, piece, area, body, poured=True)


def _items(
    layer: LayerCopper,
    area: BaseGeometry,
    body: BaseGeometry,
    own: frozenset[str],
    ref: str,
) -> Iterator[Intruder]:
    by_owner: dict[tuple[str, str, str, str | None], list[BaseGeometry]] = {}
    for index in layer.near(area):
        item = layer.items[index]
        if item.ref == ref or item.net in own:
            continue
        piece = layer.shape(index).intersection(area)
        if piece.area > 0:
            by_owner.setdefault((item.kind, item.ref, item.pin, item.net), []).append(piece)
    for (kind, owner, pin, net), pieces in by_owner.items():
        pad = f"pad {owner}.{pin}" if pin else f"a pad of {owner}"
        what = pad if kind == "pad" else f"{kind} {net or owner or 'without net'}"
        yield _intruder(what, layer, net, shapely.union_all(pieces), area, body, ref=owner)


def _intruder(
    what: str,
    layer: LayerCopper,
    net: str | None,
    piece: BaseGeometry,
    area: BaseGeometry,
    body: BaseGeometry,
    ref: str = "",
    poured: bool = False,
) -> Intruder:
    at = piece.representative_point()
    of_body = piece.intersection(body).area / body.area if body.area else 0.0
    of_zone = piece.area / area.area
    return Intruder(what, layer.name, net, piece.area, of_zone, of_body, (at.x, at.y), ref, poured)


def _unpoured(board: Board, zone: Zone, spot: BaseGeometry) -> bool:
    """Whether an area that would pour copper on the spot is not poured in the file."""
    for area in layout_of(board).zones:
        if area.keepout is not None or area.fills or area.owner == zone.part.ref:
            continue
        for outline in area.outlines:
            if len(outline.points) < 3:
                continue
            shape = shapely.make_valid(shapely.Polygon(outline.points))
            if shape.intersection(spot).area > _UNPOURED * spot.area:
                return True
    return False
