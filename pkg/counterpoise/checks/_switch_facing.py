"""Which way switches face: their plungers, their siblings, their pad order."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import layout_of, material, place
from counterpoise.geometry.bodies import EDGES, angle_between, edge_word, points_to
from counterpoise.geometry.pads import turn
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.layout import BACK, XY, Footprint
from counterpoise.model.manifest import PartFacts
from counterpoise.model.verdicts import Fail, Measured, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.facts import key_of
from counterpoise.roles.refdes import natural

ROLES = ("push-switch", "change-over-switch")


def _orientation(board: Board, part: Part, key: str) -> str | None:
    """What the part's card says of its footprint, if that footprint is one the card knows."""
    card = board.card(part.ref)
    for package in card.packages if card else ():
        if package.matches.fullmatch(part.footprint) and key in package.orientation:
            return package.orientation[key]
    return None


def _plunger(board: Board, part: Part) -> str | None:
    stated = board.manifest.parts.get(part.ref, PartFacts()).plunger
    found = stated or _orientation(board, part, "plunger")
    return {"top": "up", "bottom": "down"}.get(found or "", found)


def facing(board: Board, rule: Rule) -> Iterator[Verdict]:
    """One verdict a switch; switches of which nothing is known share one need."""
    silent: list[Part] = []
    for part in board.parts_as(*ROLES):
        footprint = layout_of(board).footprint(part.ref)
        stated = board.manifest.parts.get(part.ref, PartFacts())
        if footprint is None or board.text(part, "actuation") == "top":
            continue
        side = _plunger(board, part)
        if stated.faces == "any":
            yield Pass(part.ref)
        elif side is None:
            silent.append(part)
        else:
            yield _faces(board, part, footprint, side, (stated.faces, rule.limit("angle").high))
    if silent:
        first = silent[0].ref
        yield Unknown(
            first,
            (
                Need(
                    f"the side of the plunger of {_and_more(silent)}",
                    f'board.toml: [parts.{key_of(first)}] plunger = "up", faces = "front" '
                    '(or actuation = "top" where it is pressed from above)',
                ),
            ),
        )


def _faces(
    board: Board, part: Part, footprint: Footprint, side: str, asked: tuple[str | None, float]
) -> Verdict:
    faces, most = asked
    wanted = board.manifest.board.front if faces in (None, "front") else faces
    if wanted is None:
        line = 'board.toml: [board] front = "top" (the edge under the fingers)'
        return Unknown(part.ref, (Need("the edge under the fingers", line),))
    way, aim = points_to(footprint, side), EDGES[wanted]
    off = angle_between(way, aim)
    if off <= most:
        return Pass(part.ref)
    words = {
        "way": _way(off, way),
        "fingers": "fingers are at" if faces in (None, "front") else "it should face",
        "edge": wanted,
        "turn": f"{round(off)}°",
    }
    return Fail(
        (part.ref,),
        "turned",
        words,
        place=place(footprint.at, footprint.side),
        measured=Measured(round(off, 1), "°"),
        firm=faces is not None,
        doubt="" if faces else f'[parts.{key_of(part.ref)}] faces is not stated; taken as "front"',
    )


def _way(off: float, way: XY) -> str:
    # Opposite the wanted edge is "into the board" for whoever holds it.
    return "into the board" if off > 130 else f"to the {edge_word(way)} edge"


# -- siblings -----------------------------------------------------------------------------------
def siblings(board: Board, rule: Rule) -> Iterator[Verdict]:
    """One verdict a group of like switches that nothing stated tells apart."""
    groups: dict[tuple[str, str, str], list[Footprint]] = defaultdict(list)
    for part in board.parts_as(*ROLES, "slide-switch", "encoder"):
        footprint = layout_of(board).footprint(part.ref)
        faces = board.manifest.parts.get(part.ref, PartFacts()).faces
        if footprint is not None and faces is None and not _even(footprint):
            key = (board.role(part.ref).name, footprint.name, footprint.side)
            groups[key].append(footprint)
    for key in sorted(groups):
        group = sorted(groups[key], key=lambda f: natural(f.ref))
        if len(group) > 1 and key[1]:
            yield _group(board, group)


def _even(footprint: Footprint) -> bool:
    """Whether half a turn changes nothing: pads and body lie the same way round their middle."""
    marks = Counter(_mark(footprint, pad.at, pad.size) for pad in footprint.pads if pad.copper)
    points = [pad.at for pad in footprint.pads if pad.copper]
    if not points:
        return True
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    turned = Counter(
        _mark(footprint, (2 * middle[0] - pad.at[0], 2 * middle[1] - pad.at[1]), pad.size)
        for pad in footprint.pads
        if pad.copper
    )
    if marks != turned:
        return False
    from counterpoise.geometry.bodies import body_box, local

    box, centre = body_box(footprint), local(footprint, middle)
    if box is None:
        return True
    return (
        abs((box[0] + box[2]) / 2 - centre[0]) < _EVEN_MM
        and abs((box[1] + box[3]) / 2 - centre[1]) < _EVEN_MM
    )


_EVEN_MM = 0.25


def _mark(footprint: Footprint, at: XY, size: XY) -> tuple[int, ...]:
    from counterpoise.geometry.bodies import local

    x, y = local(footprint, at)
    return round(x * 20), round(y * 20), round(size[0] * 20), round(size[1] * 20)


def _group(board: Board, group: list[Footprint]) -> Verdict:
    angles = Counter(round(f.angle) % 360 for f in group)
    if len(angles) == 1 or _all_outward(board, group):
        return Pass(group[0].ref)
    if len(group) == 2:
        a, b = group
        turned = round(b.angle - a.angle) % 360
        if turned != 180 or _mirror_pair(a, b):
            return Pass(a.ref)
        return _odd(b, [a], turned)
    (common, most), *rest = angles.most_common()
    odd = [f for f in group if round(f.angle) % 360 != common]
    if len(rest) != 1 or len(odd) != 1 or most < 2 or _mirrored_by(odd[0], group):
        return Pass(group[0].ref)
    turned = round(odd[0].angle - common) % 360
    if turned not in (90, 180, 270):
        return Pass(group[0].ref)
    return _odd(odd[0], [f for f in group if f is not odd[0]], turned)


def _mirrored_by(odd: Footprint, group: list[Footprint]) -> bool:
    """Whether one sibling stands as its mirror image and the rest are no row with both."""
    return len(group) > 2 and all(_mirror_pair(odd, f) for f in group if f is not odd)


def _mirror_pair(a: Footprint, b: Footprint) -> bool:
    """Whether the two stand as mirror images about an upright or a level line between them."""
    dx, dy = abs(a.at[0] - b.at[0]), abs(a.at[1] - b.at[1])
    upright = round(a.angle + b.angle) % 360 == 0
    level = round(a.angle + b.angle) % 360 == 180
    return (upright and dx >= dy) or (level and dy >= dx)


def _all_outward(board: Board, group: list[Footprint]) -> bool:
    """Whether each shows the same side to the edge nearest to it."""
    shape = material(board)
    if shape is None or shape.is_empty:
        return False
    x1, y1, x2, y2 = shape.bounds
    ways = set()
    for f in group:
        x, y = f.at
        gaps = {"left": x - x1, "right": x2 - x, "top": y - y1, "bottom": y2 - y}
        nearest = min(gaps, key=lambda name: gaps[name])
        back = turn(EDGES[nearest], -f.angle)
        ways.add((round(back[0]), round(back[1])))
    return len(ways) == 1


def _odd(odd: Footprint, others: list[Footprint], turned: int) -> Fail:
    names = ", ".join(f.ref for f in others[:4]) + (" …" if len(others) > 4 else "")
    return Fail(
        (odd.ref, *(f.ref for f in others)),
        "odd",
        {"others": names, "turn": f"{min(turned, 360 - turned)}°"},
        place=place(odd.at, odd.side),
        measured=Measured(float(turned), "°"),
        severity=Severity.CAUTION,
    )


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
        elif row and (side := _plunger(board, part)):
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
