"""Like switches: the one that is turned against its siblings."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import layout_of, material, place
from counterpoise.geometry.bodies import EDGES, body_box, local
from counterpoise.geometry.pads import turn
from counterpoise.model.layout import XY, Footprint
from counterpoise.model.manifest import PartFacts
from counterpoise.model.verdicts import Fail, Measured, Pass, Severity, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.refdes import natural

_LIKE = ("push-switch", "change-over-switch", "slide-switch", "encoder")
_EVEN_MM = 0.25
_STEP_MM = 0.05


def siblings(board: Board, rule: Rule) -> Iterator[Verdict]:
    """One verdict a group of like switches that nothing stated tells apart."""
    groups: dict[tuple[str, str, str], list[Footprint]] = defaultdict(list)
    for part in board.parts_as(*_LIKE):
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
    box, centre = body_box(footprint), local(footprint, middle)
    if box is None:
        return True
    return (
        abs((box[0] + box[2]) / 2 - centre[0]) < _EVEN_MM
        and abs((box[1] + box[3]) / 2 - centre[1]) < _EVEN_MM
    )


def _mark(footprint: Footprint, at: XY, size: XY) -> tuple[int, ...]:
    return tuple(round(length / _STEP_MM) for length in (*local(footprint, at), *size))


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
    ((common, _),) = angles.most_common(1)
    odd = [f for f in group if round(f.angle) % 360 != common]
    if len(odd) != 1 or _mirrored_by(odd[0], group):
        return Pass(group[0].ref)
    turned = round(odd[0].angle - common) % 360
    if turned not in (90, 180, 270):
        return Pass(group[0].ref)
    return _odd(odd[0], [f for f in group if f is not odd[0]], turned)


def _mirrored_by(odd: Footprint, group: list[Footprint]) -> bool:
    """Whether it stands as the mirror image of each of the others."""
    return all(_mirror_pair(odd, f) for f in group if f is not odd)


def _mirror_pair(a: Footprint, b: Footprint) -> bool:
    """Whether the two stand as mirror images about a line between them: upright or level on the
    board, or, half a turn apart, along their own sides however the board lies."""
    dx, dy = b.at[0] - a.at[0], b.at[1] - a.at[1]
    across = round(a.angle + b.angle) % 360
    half_a_turn = round(b.angle - a.angle) % 360 == 180
    if across not in (0, 180) and not half_a_turn:
        return False
    # The mirror line's normal; angles run counter-clockwise with y down.
    normal = math.radians((a.angle + b.angle) / 2)
    along = abs(dx * math.cos(normal) - dy * math.sin(normal))
    return along >= abs(dx * math.sin(normal) + dy * math.cos(normal)) - 1e-6


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
