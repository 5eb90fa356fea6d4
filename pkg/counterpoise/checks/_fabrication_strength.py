"""Webs, arms, and parts over holes and edges."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

import shapely
from shapely.geometry.base import BaseGeometry

from counterpoise.catalog.rules import Rule
from counterpoise.checks._fabrication_copper import BOARD, MOST
from counterpoise.checks._fabrication_limits import ROUNDING_MM, against, bound
from counterpoise.checks._layout import CLOSED, body_of, layout_of, material, mm, place, ring
from counterpoise.estimates.area import board_outline
from counterpoise.estimates.stiffness import cantilever
from counterpoise.geometry.antenna import looks_like_module
from counterpoise.geometry.pads import pad_cores, pad_shape
from counterpoise.geometry.webs import Arms, Web, necks, webs
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.layout import FRONT, Footprint, Pad
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import key_of
from counterpoise.values.ranges import Range


def thickness_of(board: Board) -> float | None:
    """Board thickness in mm as the manifest or the board file state it."""
    return board.manifest.board.thickness_mm or layout_of(board).thickness_mm


def thin_webs(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Under the profile's web: stop. Under the board's own thickness: look once more."""
    shape = material(board)
    if shape is None:
        yield Unknown(BOARD, (CLOSED,))
        return
    limit = bound(board, rule, "web")
    thickness = thickness_of(board)
    within = max(limit.least.high, thickness or limit.least.high)
    found = [w for p in board_outline(board).boards for w in webs(p, layout_of(board), within)]
    found += necks(shape, within)
    between = False
    failures = []
    for web in found:
        holds = limit.holds(web.width)
        if holds is False:
            failures.append(_web(web, "process", limit.least.low, limit.firm, limit.doubt))
        elif thickness is not None and not web.drilled and web.width + ROUNDING_MM < thickness:
            failures.append(_web(web, "thickness", thickness, True, ""))
        else:
            between = between or holds is None
    yield from failures[:MOST]
    if not failures and between and limit.need is not None:
        yield Unknown(BOARD, (limit.need,))
    elif not failures:
        yield Pass(BOARD)


def _web(web: Web, case: str, least: float, firm: bool, doubt: str) -> Fail:
    measured, limit = against(web.width, least)
    words = {
        "first": web.first,
        "second": web.second,
        "measured": measured,
        "limit": limit,
        "x": f"{web.at[0]:.2f}",
        "y": f"{web.at[1]:.2f}",
    }
    return Fail(
        (),
        case,
        words,
        place=place(web.at, FRONT),
        measured=Measured(round(web.width, 3), "mm"),
        limit=Limit(least, None, "mm"),
        severity=Severity.CAUTION if case == "thickness" else None,
        firm=firm,
        doubt=doubt,
    )


# -- arms ---------------------------------------------------------------------------------------
_SWITCHES = ("push-switch", "change-over-switch", "encoder", "slide-switch")


def bendy_arms(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Bend of each narrow arm under the force on the switch it carries."""
    shape = material(board)
    if shape is None:
        yield Unknown(BOARD, (CLOSED,))
        return
    x1, y1, x2, y2 = shape.bounds
    widest = min(rule.limit("width").high, 0.6 * min(x2 - x1, y2 - y1))
    switches = board.parts_as(*_SWITCHES)
    if not switches:
        return
    arms = Arms(shape, widest)
    for part in switches:
        footprint = layout_of(board).footprint(part.ref)
        if footprint is None:
            continue
        arm = arms.at(footprint.at)
        if arm is None:
            yield Pass(part.ref)
        else:
            yield _bend(board, rule, part, footprint, (arm.length, arm.width))


def _force(board: Board, part: Part) -> Range | Need:
    known = board.known(part, "travel_force")
    if isinstance(known, Known):
        return known.value
    stated = board.manifest.limits.press_n
    if stated is not None:
        return Range.of(stated)
    where = (
        f'board.toml: [limits] press = "1 N" or [parts.{key_of(part.ref)}] travel_force = "0.7 N"'
    )
    return Need(f"the force that presses {part.ref}", where)


def _bend(
    board: Board, rule: Rule, part: Part, footprint: Footprint, arm: tuple[float, float]
) -> Verdict:
    force, thickness = _force(board, part), thickness_of(board)
    if isinstance(force, Need):
        return Unknown(part.ref, (force,))
    if thickness is None:
        need = Need("the thickness of the board", 'board.toml: [board] thickness = "1.0 mm"')
        return Unknown(part.ref, (need,))
    stated = board.manifest.limits.bend_mm
    most = stated if stated is not None else rule.limit("bend").high
    bend = cantilever(force.high, arm[0], arm[1], thickness)
    if bend.deflection_mm.at_most(most):
        return Pass(part.ref)
    words = {
        "measured": f"{bend.deflection_mm.low:.2f} to {bend.deflection_mm.high:.2f} mm",
        "force": f"{force.high:g} N",
        "length": mm(arm[0]),
        "width": mm(arm[1]),
        "thickness": mm(thickness),
        "stress": f"{bend.stress_mpa:.0f} MPa",
        "limit": mm(most),
    }
    return Fail(
        (part.ref,),
        "bends" if bend.deflection_mm.low > most else "may",
        words,
        place=place(footprint.at, footprint.side),
        measured=Measured(round(bend.deflection_mm.high, 3), "mm"),
        limit=Limit(None, most, "mm"),
    )


# -- parts over edges and holes ----------------------------------------------------------------
_Body: TypeAlias = tuple[Footprint, BaseGeometry]
_MAY_HANG = (
    "connector", "usb-connector", "antenna-connector", "antenna", "radio-module", "mechanical",
    "push-switch", "change-over-switch", "slide-switch", "encoder", "potentiometer", "cell",
    "test-point", "led", "motor", "unknown",
)  # fmt: skip
_HOLDERS = (
    "cell",
    "connector",
    "usb-connector",
    "radio-module",
    "mechanical",
    "encoder",
    "unknown",
)


def overhang(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Bodies past the edge that are no connector, antenna or control, and bodies on each other."""
    shape = material(board)
    if shape is None:
        yield Unknown(BOARD, (CLOSED,))
        return
    bodies = _bodies(board)
    shapely.prepare(shape)
    found: list[Verdict] = [*_past(board, rule, shape, bodies), *_shared(board, rule, bodies)]
    yield from found or [Pass(BOARD)]


def _past(board: Board, rule: Rule, shape: BaseGeometry, bodies: list[_Body]) -> Iterator[Fail]:
    for footprint, body in bodies:
        if shape.covers(body):
            continue
        beside = not shape.intersects(body)
        # Wholly beside the board: a part forgotten there if it is wired, else a drawing aid.
        if not _is_wired(footprint) if beside else _may_hang(board, footprint):
            continue
        out = body.difference(shape).area
        if out > rule.limit("share").high * body.area:
            words = {"share": f"{out / body.area:.0%}"}
            spot = place(footprint.at, footprint.side)
            yield Fail((footprint.ref,), "beside" if beside else "past", words, place=spot)


def _shared(board: Board, rule: Rule, bodies: list[_Body]) -> Iterator[Fail]:
    for first, second in _stacked(board, bodies, rule.limit("overlap").high):
        spot = place(first.at, first.side)
        yield Fail((first.ref, second.ref), "stacked", {"other": second.ref}, place=spot)


def _is_wired(footprint: Footprint) -> bool:
    return not footprint.board_only and any(pad.copper and pad.net for pad in footprint.pads)


def _may_hang(board: Board, footprint: Footprint) -> bool:
    return board.role(footprint.ref).name in _MAY_HANG or looks_like_module(footprint)


def _bodies(board: Board) -> list[_Body]:
    found = []
    for footprint in layout_of(board).footprints:
        if not footprint.fitted or not footprint.ref or not any(p.copper for p in footprint.pads):
            continue
        body = body_of(footprint)
        if body is not None:
            found.append((footprint, body))
    return found


def _stacked(
    board: Board, bodies: list[_Body], share: float
) -> Iterator[tuple[Footprint, Footprint]]:
    """Pairs on one side whose bodies share more than ``share`` of the smaller one."""
    solid = [(f, b) for f, b in bodies if board.role(f.ref).name not in _HOLDERS]
    tree = shapely.STRtree([b for _, b in solid])
    for i, j in sorted(tree.query(tree.geometries, predicate="intersects").T.tolist()):
        (f, a), (g, b) = solid[i], solid[j]
        if i >= j or f.side != g.side or f.ref == g.ref:
            continue
        if a.intersection(b).area <= share * min(a.area, b.area):
            continue
        if min(a.area, b.area) < 0.25 * max(a.area, b.area):
            continue  # a small part under a large raised one: key switches, displays, shields
        yield f, g


def _met(pad: Pad, tree: shapely.STRtree) -> list[int]:
    """Which shapes of the tree the pad's copper meets."""
    within = [
        tree.query(core.shape, predicate="dwithin", distance=core.radius).tolist()
        for core in pad_cores(pad)
    ]
    return sorted(set().union(*within))


def in_hole(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Pads whose copper lies over a cut-out of the board that is not their own footprint's."""
    edge = board_outline(board)
    if not edge.closed:
        yield Unknown(BOARD, (CLOSED,))
        return
    loops = [loop for piece in edge.boards for loop in piece.cutouts]
    holes = [ring(loop) for loop in loops]
    tree = shapely.STRtree(holes)
    hit: dict[str, Fail] = {}
    for footprint in layout_of(board).footprints:
        for pad in footprint.pads:
            if not pad.copper or footprint.ref in hit:
                continue
            for k in _met(pad, tree):
                shape = pad_shape(pad)
                own = loops[k].owner and loops[k].owner == footprint.ref
                share = shape.intersection(holes[k]).area / shape.area if shape.area else 0.0
                if not own and share > rule.limit("share").high:
                    words = {"pad": f"{footprint.ref}.{pad.number}", "share": f"{share:.0%}"}
                    spot = place(pad.at, footprint.side)
                    hit[footprint.ref] = Fail((footprint.ref,), "over", words, place=spot)
    yield from (hit[ref] for ref in sorted(hit))
    if not hit:
        yield Pass(BOARD)
