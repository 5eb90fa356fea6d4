"""Lines, arcs and cubic curves as exact strokes: their length, their area, their extent.

A stroke runs from ``start`` to ``end``. Arcs keep centre, radius and signed sweep, so that areas
and lengths need no chords. ``points`` flattens for questions that need a polygon; its sagitta (the
most a chord lies off the arc) is ``SAGITTA_MM``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

from counterpoise.model.layout import XY, Arc, Circle, Curve, Line, Polygon, Shape

SAGITTA_MM = 0.002
"""How far a flattened arc or curve may lie from the true one."""

CURVE_STEPS = 64
"""Chords a cubic curve is flattened to; a fixed count, so that turning a board changes nothing."""

_NEAR_STRAIGHT = 1e-9

Box: TypeAlias = tuple[float, float, float, float]
"""(low x, low y, high x, high y)."""


@dataclass(frozen=True, slots=True)
class Straight:
    """A straight stroke."""

    start: XY
    end: XY

    def reversed(self) -> Straight:
        """The same stroke from its end."""
        return Straight(self.end, self.start)

    @property
    def length(self) -> float:
        """Length in mm."""
        return math.dist(self.start, self.end)

    @property
    def bulge(self) -> float:
        """Signed area between the stroke and its chord in mm²: none."""
        return 0.0

    def points(self) -> list[XY]:
        """Points along it without its end."""
        return [self.start]

    @property
    def extremes(self) -> list[XY]:
        """Points that hold its extent."""
        return [self.start, self.end]


@dataclass(frozen=True, slots=True)
class Round:
    """An arc of ``sweep`` radians (positive from x towards y) about ``centre``."""

    start: XY
    end: XY
    centre: XY
    radius: float
    sweep: float

    def reversed(self) -> Round:
        """The same arc from its end."""
        return Round(self.end, self.start, self.centre, self.radius, -self.sweep)

    @property
    def length(self) -> float:
        """Length in mm."""
        return self.radius * abs(self.sweep)

    @property
    def bulge(self) -> float:
        """Signed area between arc and chord: r²(φ - sin φ)/2, the circular segment."""
        return self.radius**2 * (self.sweep - math.sin(self.sweep)) / 2

    @property
    def angle(self) -> float:
        """Direction of the start from the centre in radians."""
        return math.atan2(self.start[1] - self.centre[1], self.start[0] - self.centre[0])

    def at(self, share: float) -> XY:
        """The point after that share of the sweep."""
        a = self.angle + self.sweep * share
        return (
            self.centre[0] + self.radius * math.cos(a),
            self.centre[1] + self.radius * math.sin(a),
        )

    def points(self) -> list[XY]:
        """Points along it without its end, none further than ``SAGITTA_MM`` off between them."""
        n = chords(self.radius, self.sweep)
        return [self.start, *(self.at(i / n) for i in range(1, n))]

    @property
    def extremes(self) -> list[XY]:
        """Both ends and every point where it touches its bounding box."""
        found = [self.start, self.end]
        low, high = sorted((self.angle, self.angle + self.sweep))
        quarter = math.pi / 2
        for k in range(math.ceil(low / quarter), math.floor(high / quarter) + 1):
            dx, dy = ((1, 0), (0, 1), (-1, 0), (0, -1))[k % 4]
            found.append((self.centre[0] + dx * self.radius, self.centre[1] + dy * self.radius))
        return found


@dataclass(frozen=True, slots=True)
class Bezier:
    """A cubic Bézier stroke."""

    control: tuple[XY, XY, XY, XY]

    @property
    def start(self) -> XY:
        """Its first point."""
        return self.control[0]

    @property
    def end(self) -> XY:
        """Its last point."""
        return self.control[3]

    def reversed(self) -> Bezier:
        """The same curve from its end."""
        a, b, c, d = self.control
        return Bezier((d, c, b, a))

    @property
    def length(self) -> float:
        """Length of its ``CURVE_STEPS`` chords in mm."""
        run = [*self.points(), self.end]
        return sum(math.dist(a, b) for a, b in pairwise(run))

    @property
    def bulge(self) -> float:
        """Signed area between curve and chord in mm², exact for a cubic.

        Half the integral of x dy - y dx with the control points b, c, d relative to the start; the
        chord runs through that origin and adds nothing: (3·b×c + 3·b×d + 6·c×d)/20.
        """
        ox, oy = self.control[0]
        b, c, d = ((x - ox, y - oy) for x, y in self.control[1:])
        return (3 * _cross(b, c) + 3 * _cross(b, d) + 6 * _cross(c, d)) / 20

    def at(self, t: float) -> XY:
        """The point at parameter ``t`` from 0 to 1."""
        u = 1 - t
        w = (u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t)
        return (
            sum(k * p[0] for k, p in zip(w, self.control, strict=True)),
            sum(k * p[1] for k, p in zip(w, self.control, strict=True)),
        )

    def points(self) -> list[XY]:
        """``CURVE_STEPS`` points along it without its end."""
        return [self.at(i / CURVE_STEPS) for i in range(CURVE_STEPS)]

    @property
    def extremes(self) -> list[XY]:
        """The points it is flattened to."""
        return [*self.points(), self.end]


Stroke: TypeAlias = Straight | Round | Bezier


def _cross(a: XY, b: XY) -> float:
    return a[0] * b[1] - a[1] * b[0]


def chords(radius: float, sweep: float) -> int:
    """How many equal chords keep the sagitta under ``SAGITTA_MM``; at least four a half turn."""
    least = max(1, math.ceil(abs(sweep) / (math.pi / 4) - 1e-9))
    if radius <= SAGITTA_MM:
        return least
    step = 2 * math.acos(max(-1.0, 1 - SAGITTA_MM / radius))
    return max(least, math.ceil(abs(sweep) / step - 1e-9))


def through(start: XY, mid: XY, end: XY) -> Round | Straight:
    """The arc through three points; a straight stroke where they lie on one line.

    Start and end at one place make a full circle of which ``mid`` is the far side.
    """
    ax, ay = start[0] - mid[0], start[1] - mid[1]
    bx, by = end[0] - mid[0], end[1] - mid[1]
    if math.dist(start, end) < _NEAR_STRAIGHT:
        centre = ((start[0] + mid[0]) / 2, (start[1] + mid[1]) / 2)
        return Round(start, end, centre, math.dist(start, mid) / 2, 2 * math.pi)
    d = 2 * (ax * by - ay * bx)
    if abs(d) <= _NEAR_STRAIGHT * max(ax * ax + ay * ay, bx * bx + by * by):
        return Straight(start, end)
    a2, b2 = ax * ax + ay * ay, bx * bx + by * by
    ux, uy = (by * a2 - ay * b2) / d, (ax * b2 - bx * a2) / d
    centre = (mid[0] + ux, mid[1] + uy)
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    last = math.atan2(end[1] - centre[1], end[0] - centre[0])
    middle = math.atan2(mid[1] - centre[1], mid[0] - centre[0])
    full = 2 * math.pi
    sweep = (last - first) % full
    if (middle - first) % full > sweep:
        sweep -= full
    return Round(start, end, centre, math.hypot(ux, uy), sweep)


def strokes(shape: Shape) -> tuple[Stroke, ...]:
    """The strokes of a drawn shape in order; a circle is one full turn, a polygon is closed."""
    match shape:
        case Line(start, end):
            return (Straight(start, end),)
        case Arc(start, mid, end):
            return (through(start, mid, end),)
        case Circle(centre, radius):
            start = (centre[0] + radius, centre[1])
            return (Round(start, start, centre, radius, 2 * math.pi),)
        case Polygon(points):
            ends = (*points[1:], *points[:1])
            return tuple(Straight(a, b) for a, b in zip(points, ends, strict=True) if a != b)
        case Curve(points):
            return (Bezier(points),)


def flatten(run: Iterable[Stroke]) -> list[XY]:
    """The points of strokes that follow each other, the last end left out."""
    return [point for stroke in run for point in stroke.points()]


def path(shape: Shape) -> list[XY]:
    """The points of a drawn shape, its end included."""
    run = strokes(shape)
    return [*flatten(run), run[-1].end] if run else []


def signed_area(run: Iterable[Stroke]) -> float:
    """Area inside a closed run of strokes in mm²; positive when it turns from x towards y.

    Exact for lines, arcs and cubic curves: the shoelace of the ends (a gap between strokes counts
    as a straight chord) and the area between each stroke and its chord.
    """
    run = tuple(run)
    if not run:
        return 0.0
    ox, oy = run[0].start
    corners: list[XY] = [(x - ox, y - oy) for s in run for x, y in (s.start, s.end)]
    chordal = sum(_cross(a, b) for a, b in _pairs(corners)) / 2
    return chordal + sum(s.bulge for s in run)


def _pairs(points: list[XY]) -> Iterator[tuple[XY, XY]]:
    return zip(points, [*points[1:], *points[:1]], strict=True)


def box(run: Iterable[Stroke]) -> Box:
    """Extent of strokes, arcs exact.

    Raises:
        ValueError: no stroke at all.
    """
    points = [p for s in run for p in s.extremes]
    if not points:
        raise ValueError("no stroke has no extent")
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)
