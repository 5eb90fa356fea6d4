"""Joins the strokes of an edge to runs: closed ones and open ones."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

from counterpoise.geometry.strokes import Stroke
from counterpoise.model.layout import XY

JOIN_MM = 0.01
"""Ends of the edge that lie no further apart are one corner: files round, arcs are computed."""

SAME_MM = 1e-6
"""Ends nearer than this are the same point: a nanometre is the files' unit."""

_Node: TypeAlias = int


@dataclass(slots=True)
class Run:
    """Strokes that follow each other, and the ref of the footprint that owns them."""

    strokes: list[Stroke]
    owner: str


def join(pieces: list[tuple[Stroke, str]]) -> tuple[list[Run], list[Run]]:
    """Closed runs and open ones from strokes with their owners, in any order and direction."""
    nodes = _nodes([p for s, _ in pieces for p in (s.start, s.end)])
    ends = [(nodes[2 * i], nodes[2 * i + 1]) for i in range(len(pieces))]
    at: dict[_Node, list[int]] = defaultdict(list)
    for i, (a, b) in enumerate(ends):
        if a != b:
            at[a].append(i)
            at[b].append(i)
    left = {i for i, (a, b) in enumerate(ends) if a != b}
    runs = _dangling(pieces, ends, at, left, list(at))
    loops = []
    for first in range(len(pieces)):
        while first in left:
            loop, owner, touched = _walk(pieces, ends, at, left, first)
            loops.append(Run(loop, owner))
            runs += _dangling(pieces, ends, at, left, touched)
    return loops, runs


def _nodes(points: list[XY]) -> list[_Node]:
    """A node for each end: same place first; then lone ends pair up within ``JOIN_MM``.

    Only lone ends are joined over a distance, so that a curve drawn as very short strokes is kept.
    """
    node: list[_Node] = []
    grid: dict[tuple[int, int], list[_Node]] = defaultdict(list)
    where: list[XY] = []
    count: list[int] = []
    for p in points:
        found = _near(p, grid, where, SAME_MM)
        if found is None:
            found = len(where)
            where.append(p)
            count.append(0)
            grid[_cell(p, SAME_MM)].append(found)
        count[found] += 1
        node.append(found)
    lone = [n for n, c in enumerate(count) if c == 1]
    swapped = dict(_pairs_within(lone, where, JOIN_MM))
    return [swapped.get(n, n) for n in node]


def _cell(p: XY, size: float) -> tuple[int, int]:
    return math.floor(p[0] / size), math.floor(p[1] / size)


def _around(p: XY, size: float) -> Iterable[tuple[int, int]]:
    cx, cy = _cell(p, size)
    return ((cx + dx, cy + dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1))


def _near(
    p: XY, grid: dict[tuple[int, int], list[_Node]], where: list[XY], within: float
) -> _Node | None:
    for cell in _around(p, within):
        for n in grid.get(cell, ()):
            if math.dist(where[n], p) <= within:
                return n
    return None


def _pairs_within(lone: list[_Node], where: list[XY], within: float) -> list[tuple[_Node, _Node]]:
    grid: dict[tuple[int, int], list[_Node]] = defaultdict(list)
    for n in lone:
        grid[_cell(where[n], within)].append(n)
    close = sorted(
        (math.dist(where[a], where[b]), a, b)
        for a in lone
        for cell in _around(where[a], within)
        for b in grid.get(cell, ())
        if a < b and math.dist(where[a], where[b]) <= within
    )
    used: set[_Node] = set()
    pairs = []
    for _, a, b in close:
        if a not in used and b not in used:
            used |= {a, b}
            pairs.append((b, a))
    return pairs


def _dangling(
    pieces: list[tuple[Stroke, str]],
    ends: list[tuple[_Node, _Node]],
    at: dict[_Node, list[int]],
    left: set[int],
    seeds: list[_Node],
) -> list[Run]:
    """Take away strokes that hang from a lone end, and give them back as runs."""
    runs = []
    for node in seeds:
        here, run = node, Run([], "")
        while len(at[here]) == 1:
            i = at[here].pop()
            left.discard(i)
            a, b = ends[i]
            stroke, owner = pieces[i]
            run.strokes.append(stroke if here == a else stroke.reversed())
            run.owner = run.owner or owner
            here = b if here == a else a
            at[here].remove(i)
        if run.strokes:
            runs.append(run)
    return runs


def _walk(
    pieces: list[tuple[Stroke, str]],
    ends: list[tuple[_Node, _Node]],
    at: dict[_Node, list[int]],
    left: set[int],
    first: int,
) -> tuple[list[Stroke], str, list[_Node]]:
    """One loop found from stroke ``first``, its owner and its corners; its strokes are taken away.

    Where loops touch at a corner it turns as sharply as it can, which parts them there.
    """
    trail: dict[int, None] = {}
    reached = {ends[first][0]: 0}
    here, i = ends[first][0], first
    run: list[Stroke] = []
    while True:
        a, b = ends[i]
        run.append(pieces[i][0] if here == a else pieces[i][0].reversed())
        trail[i] = None
        here = b if here == a else a
        if here in reached:
            break
        reached[here] = len(trail)
        i = _sharpest(run[-1], [j for j in at[here] if j not in trail], pieces, ends, here)
    begin = reached[here]
    used = list(trail)[begin:]
    for j in used:
        left.discard(j)
        for n in ends[j]:
            at[n].remove(j)
    owner = next((pieces[j][1] for j in used if pieces[j][1]), "")
    return run[begin:], owner, [n for j in used for n in ends[j]]


def _sharpest(
    coming: Stroke,
    choices: list[int],
    pieces: list[tuple[Stroke, str]],
    ends: list[tuple[_Node, _Node]],
    here: _Node,
) -> int:
    if len(choices) == 1:
        return choices[0]
    back = coming.points()[-1]
    corner = coming.end
    base = math.atan2(back[1] - corner[1], back[0] - corner[0])

    def turn(i: int) -> float:
        stroke = pieces[i][0] if ends[i][0] == here else pieces[i][0].reversed()
        run = [*stroke.points(), stroke.end]
        way = math.atan2(run[1][1] - run[0][1], run[1][0] - run[0][0])
        return (way - base) % (2 * math.pi)

    return min(choices, key=turn)
