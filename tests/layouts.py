"""Test boards as a person would describe them, and builders for them.

``layout`` takes one thing a line; lengths in mm, y down, angles counter-clockwise::

    board 40 x 30                     a rectangular edge from 0 0; "radius 3" rounds its corners
    hole 10 10 r 1.5                  a round cut-out;  "hole 5 5 15 8" a rectangular one
    edge line 0 0 40 0                one stroke: line, arc (start mid end), circle, curve, polygon
    thickness 1.0
    layers F.Cu In1.Cu B.Cu
    stack F.Cu copper 0.035 / core core 0.2 4.4 / B.Cu copper 0.035
    part SW1 at 20 5 180 back "SW_Push" mount=through-hole
      pad 1 rect 1 x 2 at -1 0 net=GND drill=0.8       "hole=0.3,0": the hole is beside its middle
      courtyard -3 -3 3 3
      draw F.Cu 0.5 0 0 4 0           a stroke with its width
      fill F.Cu 0 0 4 0 4 4           a filled polygon
    track GND F.Cu 0.25 : 0 0 10 0 10 5
    via GND 10 5 0.6 / 0.3
    zone GND F.Cu,B.Cu : 1 1 39 1 39 29 1 29       filled unless "unfilled" stands there
    zone GND F.Cu grow=0.1 : 1 1 39 1 39 29        its copper 0.1 mm wider all round
    keepout copper,tracks *.Cu : 0 0 5 0 5 5

Inside a part (indented lines) positions are as the footprint is drawn, unturned and from the front;
the builder turns them and, for the back, mirrors them first (y changes sign).
"""

from __future__ import annotations

import math
import re
import shlex
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TypeAlias

from counterpoise.model.layout import (
    XY,
    Arc,
    Circle,
    Curve,
    Drawing,
    Drill,
    Footprint,
    KeepOut,
    Layout,
    Line,
    Pad,
    Polygon,
    Shape,
    StackLayer,
    Track,
    Via,
    Zone,
)

EDGE = "Edge.Cuts"
Move: TypeAlias = Callable[[XY], XY]


def points(numbers: Sequence[str | float]) -> tuple[XY, ...]:
    """Pairs from a flat list."""
    values = [float(n) for n in numbers]
    if len(values) % 2:
        raise ValueError(f"an odd count of numbers: {values}")
    return tuple(zip(values[::2], values[1::2], strict=True))


def rectangle(x1: float, y1: float, x2: float, y2: float) -> Polygon:
    """A rectangle as a closed polygon."""
    return Polygon(((x1, y1), (x2, y1), (x2, y2), (x1, y2)))


def rounded(x1: float, y1: float, x2: float, y2: float, r: float) -> list[Shape]:
    """A rectangle with round corners as lines and arcs."""
    h = r * (1 - math.sqrt(0.5))
    return [
        Line((x1 + r, y1), (x2 - r, y1)),
        Arc((x2 - r, y1), (x2 - h, y1 + h), (x2, y1 + r)),
        Line((x2, y1 + r), (x2, y2 - r)),
        Arc((x2, y2 - r), (x2 - h, y2 - h), (x2 - r, y2)),
        Line((x2 - r, y2), (x1 + r, y2)),
        Arc((x1 + r, y2), (x1 + h, y2 - h), (x1, y2 - r)),
        Line((x1, y2 - r), (x1, y1 + r)),
        Arc((x1, y1 + r), (x1 + h, y1 + h), (x1 + r, y1)),
    ]


def edge(*shapes: Shape) -> tuple[Drawing, ...]:
    """Shapes on the edge layer."""
    return tuple(Drawing(shape, EDGE, 0.1) for shape in shapes)


def turned(p: XY, degrees: float) -> XY:
    """A point turned counter-clockwise on the screen (y down) about the origin."""
    a = math.radians(degrees)
    c, s = math.cos(a), math.sin(a)
    return p[0] * c + p[1] * s, -p[0] * s + p[1] * c


class _Part:
    """Places what is drawn inside a footprint."""

    def __init__(self, at: XY, angle: float, back: bool) -> None:
        self.at, self.angle, self.back = at, angle, back

    def place(self, p: XY) -> XY:
        x, y = turned((p[0], -p[1] if self.back else p[1]), self.angle)
        return self.at[0] + x, self.at[1] + y

    def layer(self, name: str) -> str:
        if self.back and name.startswith(("F.", "B.")):
            return ("B." if name.startswith("F.") else "F.") + name[2:]
        return name

    def shape(self, shape: Shape) -> Shape:
        return moved_shape(shape, self.place)


def moved_shape(shape: Shape, place: Move) -> Shape:
    """A shape with every point put through ``place``, which must keep lengths."""
    match shape:
        case Line(a, b):
            return Line(place(a), place(b))
        case Arc(a, m, b):
            return Arc(place(a), place(m), place(b))
        case Circle(c, r):
            return Circle(place(c), r)
        case Polygon(ps):
            return Polygon(tuple(place(p) for p in ps))
        case Curve((a, b, c, d)):
            return Curve((place(a), place(b), place(c), place(d)))


def _shape(kind: str, numbers: Sequence[str]) -> Shape:
    if kind == "circle":
        x, y, r = map(float, numbers)
        return Circle((x, y), r)
    ps = points(numbers)
    match kind:
        case "line":
            return Line(*ps)
        case "arc":
            return Arc(*ps)
        case "curve":
            a, b, c, d = ps
            return Curve((a, b, c, d))
        case "rect":
            (x1, y1), (x2, y2) = ps
            return rectangle(x1, y1, x2, y2)
        case _:
            return Polygon(ps)


class _Reader:
    def __init__(self) -> None:
        self.layout = Layout()
        self.footprints: list[Footprint] = []
        self.frame = _Part((0.0, 0.0), 0.0, False)

    def add(self, **more: tuple[object, ...]) -> None:
        self.layout = replace(
            self.layout,
            **{k: (*getattr(self.layout, k), *v) for k, v in more.items()},  # type: ignore[arg-type]
        )

    def read(self, line: str) -> None:
        words = shlex.split(line)
        inside = line.startswith((" ", "\t")) and bool(self.footprints)
        name = f"{'in' if inside else 'on'}_{words[0]}"
        getattr(self, name)(words[1:])

    # -- on the board ---------------------------------------------------------------------------
    def on_board(self, w: list[str]) -> None:
        width, height = float(w[0]), float(w[2])
        if "radius" in w:
            self.add(drawings=edge(*rounded(0, 0, width, height, float(w[-1]))))
        else:
            self.add(drawings=edge(rectangle(0, 0, width, height)))

    def on_hole(self, w: list[str]) -> None:
        if "r" in w:
            self.add(drawings=edge(Circle((float(w[0]), float(w[1])), float(w[3]))))
        else:
            self.add(drawings=edge(rectangle(*map(float, w[:4]))))

    def on_edge(self, w: list[str]) -> None:
        self.add(drawings=edge(_shape(w[0], w[1:])))

    def on_thickness(self, w: list[str]) -> None:
        self.layout = replace(self.layout, thickness_mm=float(w[0]))

    def on_layers(self, w: list[str]) -> None:
        self.layout = replace(self.layout, copper_layers=tuple(w))

    def on_stack(self, w: list[str]) -> None:
        for piece in " ".join(w).split("/"):
            name, kind, thickness, *rest = piece.split()
            er = float(rest[0]) if rest else None
            self.add(stack=(StackLayer(name, kind, float(thickness), permittivity=er),))

    def on_part(self, w: list[str]) -> None:
        ref, x, y = w[0], float(w[2]), float(w[3])
        rest, options = w[4:], {}
        for word in list(rest):
            if "=" in word:
                key, _, options[key] = word.partition("=")
                rest.remove(word)
        angle = float(rest.pop(0)) if rest and re.fullmatch(r"-?[\d.]+", rest[0]) else 0.0
        back = bool(rest) and rest[0] == "back"
        if back:
            rest.pop(0)
        self.frame = _Part((x, y), angle, back)
        self.footprints.append(
            Footprint(
                ref,
                (x, y),
                angle,
                "back" if back else "front",
                name=rest[0] if rest else "",
                value=options.get("value", ""),
                mount=options.get("mount", "smd"),
                fitted=options.get("fitted", "yes") == "yes",
                board_only=options.get("board_only", "no") == "yes",
            )
        )

    def on_track(self, w: list[str]) -> None:
        net, layer, width = w[0], w[1], float(w[2])
        ps = points(w[4:])
        self.add(tracks=tuple(Track(Line(a, b), width, layer, _net(net)) for a, b in pairwise(ps)))

    def on_via(self, w: list[str]) -> None:
        at = (float(w[1]), float(w[2]))
        layers = tuple(w[6].split(",")) if len(w) > 6 else self.layout.copper_layers
        self.add(vias=(Via(at, float(w[3]), float(w[5]), layers, _net(w[0])),))

    def on_zone(self, w: list[str]) -> None:
        colon = w.index(":")
        shape = Polygon(points(w[colon + 1 :]))
        layers = self.layers(w[1])
        fills = () if "unfilled" in w[:colon] else tuple((layer, shape) for layer in layers)
        grow = next((float(word[5:]) for word in w[:colon] if word.startswith("grow=")), 0.0)
        self.add(zones=(Zone((shape,), layers, _net(w[0]), fills=fills, grow_mm=grow),))

    def on_keepout(self, w: list[str]) -> None:
        colon = w.index(":")
        what = dict.fromkeys(w[0].split(","), True)
        shape = Polygon(points(w[colon + 1 :]))
        self.add(zones=(Zone((shape,), self.layers(w[1]), keepout=KeepOut(**what)),))

    def layers(self, text: str) -> tuple[str, ...]:
        return self.layout.copper_layers if text == "*.Cu" else tuple(text.split(","))

    # -- inside a part ----------------------------------------------------------------------------
    def change(self, **more: object) -> None:
        self.footprints[-1] = replace(self.footprints[-1], **more)  # type: ignore[arg-type]

    def in_pad(self, w: list[str]) -> None:
        options = dict(word.split("=", 1) for word in w if "=" in word)
        plain = [word for word in w if "=" not in word]
        number, shape, width, _, height, _, x, y, *rest = plain
        at = self.frame.place((float(x), float(y)))
        own = float(rest[0]) if rest else 0.0
        angle = self.frame.angle + (-own if self.frame.back else own)
        drill = None
        if "drill" in options:
            a, _, b = options["drill"].partition("x")
            aside = points(options.get("hole", "0,0").split(","))[0]
            hole = self.frame.place((float(x) + aside[0], float(y) + aside[1]))
            plated = options.get("plated", "yes") == "yes"
            drill = Drill(hole, float(a), float(b or a), angle, plated)
        copper = self.layers(options["layers"]) if "layers" in options else None
        if copper is None:
            copper = self.layout.copper_layers if drill else ("F.Cu",)
        pad = Pad(
            "" if number == "-" else number,
            at,
            (float(width), float(height)),
            shape,
            angle,
            tuple(self.frame.layer(name) for name in copper if name != "none"),
            drill,
            _net(options.get("net", "~")),
            name=options.get("name", ""),
            ratio=float(options.get("ratio", 0)),
        )
        self.change(pads=(*self.footprints[-1].pads, pad))

    def draw(self, shape: Shape, layer: str, width: float = 0.05, filled: bool = False) -> None:
        foot = self.footprints[-1]
        made = Drawing(self.frame.shape(shape), self.frame.layer(layer), width, filled, foot.ref)
        self.change(drawings=(*foot.drawings, made))

    def in_courtyard(self, w: list[str]) -> None:
        self.draw(rectangle(*map(float, w)), "F.CrtYd")

    def in_body(self, w: list[str]) -> None:
        self.draw(rectangle(*map(float, w)), "F.Fab")

    def in_draw(self, w: list[str]) -> None:
        ps = points(w[2:])
        for a, b in pairwise(ps):
            self.draw(Line(a, b), w[0], float(w[1]))

    def in_fill(self, w: list[str]) -> None:
        self.draw(Polygon(points(w[1:])), w[0], 0.0, True)

    def in_edge(self, w: list[str]) -> None:
        self.draw(_shape(w[0], w[1:]), EDGE)


def _net(word: str) -> str | None:
    return None if word == "~" else word


def layout(text: str) -> Layout:
    """A layout from lines; blank lines and # lines are left out."""
    reader = _Reader()
    for line in text.splitlines():
        if line.strip() and not line.strip().startswith("#"):
            reader.read(line)
    return replace(reader.layout, footprints=tuple(reader.footprints))
