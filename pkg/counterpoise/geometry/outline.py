"""The board's edge: strokes of Edge.Cuts joined to loops, loops sorted into boards and cut-outs.

Strokes come in any order and direction, from the board and from footprints. Ends that meet within
``JOIN_MM`` are joined; that is the one tolerance here. Areas and lengths are exact (``strokes``).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

from counterpoise.geometry.strokes import (
    Box,
    Straight,
    Stroke,
    box,
    flatten,
    signed_area,
    strokes,
)
from counterpoise.model.layout import XY, Circle, Drawing, Layout, Polygon

EDGE_LAYER = "Edge.Cuts"
JOIN_MM = 0.01
"""Ends of the edge that lie no further apart are one corner: files round, arcs are computed."""

_SAME_MM = 1e-6
_MANY_TIPS = 600

_Node: TypeAlias = int


@dataclass(frozen=True)
class Loop:
    """A closed run of strokes."""

    strokes: tuple[Stroke, ...]
    owner: str = ""

    @cached_property
    def area(self) -> float:
        """Enclosed area in mm²."""
        return abs(signed_area(self.strokes))

    @cached_property
    def length(self) -> float:
        """Length round in mm."""
        return sum(s.length for s in self.strokes)

    @cached_property
    def points(self) -> list[XY]:
        """Corners of the flattened loop; the last joins the first."""
        return flatten(self.strokes)

    @cached_property
    def box(self) -> Box:
        """Extent, arcs exact."""
        return box(self.strokes)

    def holds(self, point: XY) -> bool:
        """Whether the point lies inside (even-odd over the flattened loop)."""
        x, y = point
        inside = False
        previous = self.points[-1]
        for here in self.points:
            (x1, y1), (x2, y2) = previous, here
            if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
                inside = not inside
            previous = here
        return inside


@dataclass(frozen=True)
class Piece:
    """One board: its outer loop and its cut-outs."""

    outer: Loop
    cutouts: tuple[Loop, ...] = ()

    @property
    def area(self) -> float:
        """Area of the board less its cut-outs in mm²."""
        return self.outer.area - sum(c.area for c in self.cutouts)

    @property
    def cutout_area(self) -> float:
        """Area of the cut-outs in mm²."""
        return sum(c.area for c in self.cutouts)

    def holds(self, point: XY) -> bool:
        """Whether the point lies on board material."""
        return self.outer.holds(point) and not any(c.holds(point) for c in self.cutouts)


@dataclass(frozen=True, slots=True)
class Gap:
    """Two ends of the edge that should meet: where (half way), how far apart in mm.

    ``stray`` marks a stroke that closes nothing and that no loop needs, such as a score line.
    """

    at: XY
    size: float
    owner: str = ""
    stray: bool = False


@dataclass(frozen=True, slots=True)
class Outline:
    """The whole edge: boards (several in a panel), largest first, and the ends left open."""

    boards: tuple[Piece, ...] = ()
    gaps: tuple[Gap, ...] = ()

    @property
    def drawn(self) -> bool:
        """Whether there is any edge at all."""
        return bool(self.boards or self.gaps)

    @property
    def closed(self) -> bool:
        """Whether a board can be cut from it: all but stray strokes is closed."""
        return bool(self.boards) and all(gap.stray for gap in self.gaps)


@dataclass(slots=True)
class _Run:
    """An open run of strokes on its way to becoming a loop."""

    strokes: list[Stroke]
    owner: str


def edges(layout: Layout) -> list[Drawing]:
    """Everything drawn on the edge layer, the board's own first, then the footprints'."""
    own = [d for d in layout.drawings if d.layer == EDGE_LAYER]
    parts = [d for f in layout.footprints for d in f.drawings if d.layer == EDGE_LAYER]
    return own + parts


def outline(layout: Layout) -> Outline:
    """The edge of the board, or boards."""
    loops: list[Loop] = []
    open_strokes: list[tuple[Stroke, str]] = []
    seen: set[tuple[XY, ...]] = set()
    for drawing in edges(layout):
        run = strokes(drawing.shape)
        key = _key(run)
        if not run or key in seen:
            continue
        seen.add(key)
        if isinstance(drawing.shape, Circle | Polygon) or _closed(run):
            loops.append(Loop(run, drawing.owner))
        else:
            open_strokes += [(s, drawing.owner) for s in run]
    joined, runs = _join(open_strokes)
    loops += joined
    loops = [loop for loop in loops if _wide(loop)]
    return Outline(tuple(_sorted(loops)), tuple(_gaps(runs, loops)))


def _wide(loop: Loop) -> bool:
    # By extent, not by area: an edge that crosses itself may enclose as much to the left as right.
    x1, y1, x2, y2 = loop.box
    return x2 - x1 > JOIN_MM and y2 - y1 > JOIN_MM


def _key(run: Sequence[Stroke]) -> tuple[XY, ...]:
    """Equal for the same stroke drawn twice, in either direction."""
    marks = [p for s in run for p in (s.start, s.points()[len(s.points()) // 2], s.end)]
    return tuple(sorted((round(x / _SAME_MM), round(y / _SAME_MM)) for x, y in marks))


def _closed(run: Sequence[Stroke]) -> bool:
    short = math.dist(run[0].start, run[-1].end) <= _SAME_MM
    return short and sum(s.length for s in run) > JOIN_MM


def _join(pieces: list[tuple[Stroke, str]]) -> tuple[list[Loop], list[_Run]]:
    """Loops that the strokes close, and the runs that stay open."""
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
            loops.append(Loop(tuple(loop), owner))
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
        found = _near(p, grid, where, _SAME_MM)
        if found is None:
            found = len(where)
            where.append(p)
            count.append(0)
            grid[_cell(p, _SAME_MM)].append(found)
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
) -> list[_Run]:
    """Take away strokes that hang from a lone end, and give them back as runs."""
    runs = []
    for node in seeds:
        here, run = node, _Run([], "")
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


def _sorted(loops: list[Loop]) -> Iterable[Piece]:
    """Boards with cut-outs: a loop inside an even number of others is a board's outer edge."""
    order = sorted(loops, key=lambda loop: (-loop.area, loop.box))
    depth: list[int] = []
    parent: list[int] = []
    for i, loop in enumerate(order):
        inside = [j for j in range(i) if _within(loop, order[j])]
        depth.append(len(inside))
        parent.append(inside[-1] if inside else -1)
    cut: dict[int, list[Loop]] = defaultdict(list)
    for i, loop in enumerate(order):
        if depth[i] % 2:
            cut[parent[i]].append(loop)
    for i, loop in enumerate(order):
        if depth[i] % 2 == 0:
            yield Piece(loop, tuple(cut[i]))


def _within(inner: Loop, outer: Loop) -> bool:
    a, b = inner.box, outer.box
    if a[0] < b[0] or a[1] < b[1] or a[2] > b[2] or a[3] > b[3]:
        return False
    step = max(1, len(inner.points) // 7)
    votes = [outer.holds(p) for p in inner.points[::step]]
    return sum(votes) * 2 > len(votes)


def _gaps(runs: list[_Run], loops: list[Loop]) -> Iterable[Gap]:
    """Open ends paired nearest first; lone straight strokes beside closed loops are stray."""
    tips = [tip for run in runs for tip in (run.strokes[0].start, run.strokes[-1].end)]
    used: set[int] = set()
    for size, i, j in sorted(_candidates(tips)):
        if i in used or j in used:
            continue
        used |= {i, j}
        (p, q), pair = (tips[i], tips[j]), (runs[i // 2], runs[j // 2])
        lone = all(len(r.strokes) == 1 and isinstance(r.strokes[0], Straight) for r in pair)
        owner = pair[0].owner or pair[1].owner
        yield Gap(((p[0] + q[0]) / 2, (p[1] + q[1]) / 2), size, owner, bool(loops) and lone)


def _candidates(tips: list[XY]) -> Iterator[tuple[float, int, int]]:
    """Pairs of tips that may belong together; in a drawing of very many only each run's own two."""
    for i, p in enumerate(tips):
        others = range(i) if len(tips) <= _MANY_TIPS else range(i - i % 2, i)
        for j in others:
            yield math.dist(p, tips[j]), j, i
