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

from counterpoise.geometry.joining import JOIN_MM, SAME_MM, Run, join
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
_CELL_MM = 20.0
_MANY_TIPS = 600


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

    @cached_property
    def reach(self) -> Box:
        """Extent of the flattened loop."""
        xs, ys = zip(*self.points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    def holds(self, point: XY) -> bool:
        """Whether the point lies inside (even-odd over the flattened loop)."""
        x, y = point
        x_low, y_low, x_high, y_high = self.reach
        if not (x_low <= x <= x_high and y_low <= y <= y_high):
            return False
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
        return self.outer.holds(point) and not any(c.holds(point) for c in self._near(point))

    def _near(self, point: XY) -> Sequence[Loop]:
        x, y = point
        return self._cells.get((int(x // self._cell), int(y // self._cell)), ())

    @cached_property
    def _cell(self) -> float:
        low_x, low_y, high_x, high_y = self.outer.reach
        return max(_CELL_MM, max(high_x - low_x, high_y - low_y) / 64)

    @cached_property
    def _cells(self) -> dict[tuple[int, int], list[Loop]]:
        """Cut-outs by the squares their extent touches: a panel may have thousands of them."""
        cells: dict[tuple[int, int], list[Loop]] = defaultdict(list)
        for loop in self.cutouts:
            low_x, low_y, high_x, high_y = (int(edge // self._cell) for edge in loop.reach)
            for x in range(low_x, high_x + 1):
                for y in range(low_y, high_y + 1):
                    cells[x, y].append(loop)
        return cells


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
    closed, runs = join(open_strokes)
    loops += [Loop(tuple(run.strokes), run.owner) for run in closed]
    loops = [loop for loop in loops if _wide(loop)]
    return Outline(tuple(_sorted(loops)), tuple(_gaps(runs, loops)))


def _wide(loop: Loop) -> bool:
    # By extent, not by area: an edge that crosses itself may enclose as much to the left as right.
    x1, y1, x2, y2 = loop.box
    return x2 - x1 > JOIN_MM and y2 - y1 > JOIN_MM and len(loop.points) > 2


def _key(run: Sequence[Stroke]) -> tuple[XY, ...]:
    """Equal for the same stroke drawn twice, in either direction."""
    marks = [p for s in run for p in (s.start, s.points()[len(s.points()) // 2], s.end)]
    return tuple(sorted((round(x / SAME_MM), round(y / SAME_MM)) for x, y in marks))


def _closed(run: Sequence[Stroke]) -> bool:
    short = math.dist(run[0].start, run[-1].end) <= SAME_MM
    return short and sum(s.length for s in run) > JOIN_MM


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


def _gaps(runs: list[Run], loops: list[Loop]) -> Iterable[Gap]:
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
