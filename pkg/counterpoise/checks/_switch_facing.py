"""Which way switches and sockets face, and the order of their pads."""

from __future__ import annotations

import math
from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import layout_of, material, place
from counterpoise.geometry.bodies import EDGES, angle_between, edge_word, points_to
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.layout import BACK, XY, Footprint
from counterpoise.model.manifest import PartFacts
from counterpoise.model.verdicts import Fail, Measured, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.facts import key_of

ROLES = ("push-switch", "change-over-switch")
ACTUATORS = ("plunger", "lever", "shaft", "mouth")
_CONNECTORS = ("usb-connector", "connector", "cell")
_WORDS = {
    **dict.fromkeys(ROLES, "plunger"),
    "slide-switch": "lever",
    "encoder": "shaft",
    "potentiometer": "shaft",
    **dict.fromkeys(_CONNECTORS, "mouth"),
}
_OPPOSITE = 130
"""Degrees off from which a part points away from the edge that it should face."""


def _orientation(board: Board, part: Part, *keys: str) -> str | None:
    """What the part's card says of its footprint, if that footprint is one the card knows."""
    card = board.card(part.ref)
    for package in card.packages if card else ():
        if package.matches.search(part.footprint):
            return next((package.orientation[k] for k in keys if k in package.orientation), None)
    return None


def _side(board: Board, part: Part) -> str | None:
    """The side of the footprint, as drawn unturned, where plunger, lever, shaft or mouth is."""
    stated = board.manifest.parts.get(part.ref, PartFacts()).plunger
    return stated or _orientation(board, part, *ACTUATORS)


def facing(board: Board, rule: Rule) -> Iterator[Verdict]:
    """One verdict a switch; switches of which nothing is known share one need.

    Slide switches, encoders and connectors are judged only where the manifest or a card tells
    their orientation: with nothing stated their footprints are seldom wrong and often symmetric.
    """
    silent: list[Part] = []
    for part in board.parts_as(*_WORDS):
        footprint = layout_of(board).footprint(part.ref)
        stated = board.manifest.parts.get(part.ref, PartFacts())
        if footprint is None or board.text(part, "actuation") == "top":
            continue
        side = _side(board, part)
        switch = board.role(part.ref).name in ROLES
        if stated.faces == "any":
            yield Pass(part.ref)
        elif side is not None:
            yield from _faces(board, part, footprint, (side, stated.faces), rule)
        elif switch or stated.faces is not None:
            silent.append(part)
    if silent:
        yield _silent(board, silent)


def _silent(board: Board, silent: list[Part]) -> Unknown:
    first = silent[0].ref
    what = f"the side of the {_WORDS[board.role(first).name]} of {_and_more(silent)}"
    where = (
        f'board.toml: [parts.{key_of(first)}] plunger = "up", faces = "front" '
        '(or actuation = "top" where it is pressed from above)'
    )
    return Unknown(first, (Need(what, where),))


def _faces(
    board: Board, part: Part, footprint: Footprint, known: tuple[str, str | None], rule: Rule
) -> Iterator[Verdict]:
    side, faces = known
    role = board.role(part.ref).name
    way, most = points_to(footprint, side), rule.limit("angle").high
    if faces is None and role in _CONNECTORS:
        # A plug needs room: that it comes in across the board is certain for USB alone.
        if role == "usb-connector":
            yield _mouth(board, part, footprint, way)
        return
    wanted = board.manifest.board.front if faces in (None, "front") else faces
    if wanted is None:
        line = 'board.toml: [board] front = "top" (the edge under the fingers)'
        yield Unknown(part.ref, (Need("the edge under the fingers", line),))
        return
    off = angle_between(way, EDGES[wanted])
    if off <= most:
        yield Pass(part.ref)
        return
    inward = off > _OPPOSITE and _across(board, footprint, way)
    if faces is None and not inward and _over_edge(board, footprint, way):
        line = f'board.toml: [parts.{key_of(part.ref)}] faces = "{edge_word(way)}" or "front"'
        yield Unknown(part.ref, (Need(f"where {part.ref} must face", line),))
        return
    words = {
        "actuator": _WORDS[role],
        "way": _way(off, way),
        "fingers": "fingers are at" if faces in (None, "front") else "it should face",
        "edge": wanted,
        "turn": f"{round(off)}°",
    }
    sure = faces is not None or inward
    yield Fail(
        (part.ref,),
        "turned",
        words,
        place=place(footprint.at, footprint.side),
        measured=Measured(round(off, 1), "°"),
        firm=sure,
        doubt="" if sure else f'[parts.{part.ref}] faces is not stated; taken as "front"',
    )


def _mouth(board: Board, part: Part, footprint: Footprint, way: XY) -> Verdict:
    """A USB socket whose mouth is known, but not where it must face: any near edge will do."""
    if not _across(board, footprint, way):
        return Pass(part.ref)
    return Fail(
        (part.ref,),
        "mouth",
        {"actuator": "mouth"},
        place=place(footprint.at, footprint.side),
        firm=False,
        doubt=f"[parts.{part.ref}] faces is not stated",
    )


def _room(board: Board, footprint: Footprint, way: XY) -> tuple[float, float] | None:
    """Board before and behind the part along a direction, in mm; None without a closed edge."""
    shape = material(board)
    if shape is None or shape.is_empty:
        return None
    x1, y1, x2, y2 = shape.bounds
    (x, y), (wx, wy) = footprint.at, way
    along = [(cx - x) * wx + (cy - y) * wy for cx in (x1, x2) for cy in (y1, y2)]
    return max(along), -min(along)


def _across(board: Board, footprint: Footprint, way: XY) -> bool:
    """Whether the direction runs over the larger part of the board."""
    room = _room(board, footprint, way)
    return room is not None and room[0] > 2 * room[1]


def _over_edge(board: Board, footprint: Footprint, way: XY) -> bool:
    """Whether the direction leaves the board nearby: a control made for another edge."""
    room = _room(board, footprint, way)
    return room is not None and 2 * room[0] < room[1]


def _way(off: float, way: XY) -> str:
    # Opposite the wanted edge is "into the board" for whoever holds it.
    return "into the board" if off > _OPPOSITE else f"to the {edge_word(way)} edge"


# -- pad order ----------------------------------------------------------------------------------
def mirrored(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare each switch's pads with the order its card gives for the side it stands on.

    ``pad_order`` gives them from left to right with the plunger up ("1 2 3"), in the manifest or as
    ``order`` in a card's ``orientation``; a card may say ``round`` ("1 2 4 3": counter-clockwise as
    seen from the part) instead.
    """
    unknown: list[Part] = []
    for part in board.parts_as("change-over-switch", "slide-switch", "encoder"):
        footprint = layout_of(board).footprint(part.ref)
        if footprint is None:
            continue
        ring = _orientation(board, part, "round")
        row = board.text(part, "pad_order") or _orientation(board, part, "order")
        hand = None
        if ring:
            hand = _hand_of_ring(footprint, ring.split())
        elif row and (side := _side(board, part)):
            hand = _hand_of_row(footprint, row.split(), side)
        if hand is None:
            unknown.append(part)
        elif hand > 0:
            yield Pass(part.ref)
        else:
            yield Fail((part.ref,), "mirrored", {}, place=place(footprint.at, footprint.side))
    if unknown:
        what = f"the order of the pads of {_and_more(unknown)}"
        where = (
            f'board.toml: [parts.{key_of(unknown[0].ref)}] plunger = "up", pad_order = "1 2 3" '
            "(left to right, seen from the part, plunger up)"
        )
        yield Unknown(unknown[0].ref, (Need(what, where),))


def _and_more(parts: list[Part]) -> str:
    more = f" and {len(parts) - 1} more" if len(parts) > 1 else ""
    return f"{parts[0].ref}{more}"


def _centres(footprint: Footprint, numbers: list[str]) -> list[XY] | None:
    """Pad centres in that order as seen from the part's own side."""
    found = []
    flip = -1 if footprint.side == BACK else 1
    for number in numbers:
        pads = [p for p in footprint.pads if p.number == number and p.copper]
        if not pads:
            return None
        x = sum(p.at[0] for p in pads) / len(pads)
        found.append((flip * x, sum(p.at[1] for p in pads) / len(pads)))
    return found


def _hand_of_ring(footprint: Footprint, numbers: list[str]) -> float | None:
    points = _centres(footprint, numbers)
    if points is None or len(points) < 3:
        return None
    twice = sum(
        ax * by - ay * bx
        for (ax, ay), (bx, by) in zip(points, points[1:] + points[:1], strict=True)
    )
    return -twice if abs(twice) > 0.1 else None


def _hand_of_row(footprint: Footprint, numbers: list[str], side: str) -> float | None:
    points = _centres(footprint, numbers)
    if points is None or len(points) < 2:
        return None
    wx, wy = points_to(footprint, side)
    if footprint.side == BACK:
        wx = -wx
    rx, ry = points[-1][0] - points[0][0], points[-1][1] - points[0][1]
    # Right of "plunger up" (y down on the screen): up turned clockwise.
    along = rx * -wy + ry * wx
    return along if abs(along) > 0.3 * math.hypot(rx, ry) else None
