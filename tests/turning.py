"""Whole layouts turned, shifted and turned over, for properties that must not depend on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from counterpoise.model.layout import (
    XY,
    Arc,
    Drawing,
    Footprint,
    Layout,
    Line,
    Pad,
    Polygon,
    Track,
    Zone,
)
from layouts import moved_shape, turned


class _Mover:
    def __init__(self, degrees: float, shift: XY, flip: bool) -> None:
        self.degrees, self.shift, self.flip = degrees, shift, flip

    def place(self, p: XY) -> XY:
        x, y = turned((-p[0] if self.flip else p[0], p[1]), self.degrees)
        return x + self.shift[0], y + self.shift[1]

    def angle(self, a: float) -> float:
        # Turned over left to right, a footprint that was stored mirrored in y gains half a turn.
        return ((180 - a if self.flip else a) + self.degrees) % 360

    def layer(self, name: str) -> str:
        if self.flip and name[:2] in ("F.", "B."):
            return ("B." if name[0] == "F" else "F.") + name[2:]
        return name

    def layers(self, names: Iterable[str]) -> tuple[str, ...]:
        return tuple(self.layer(n) for n in names)

    def drawing(self, d: Drawing) -> Drawing:
        return replace(d, shape=moved_shape(d.shape, self.place), layer=self.layer(d.layer))

    def pad(self, p: Pad) -> Pad:
        drill = p.drill
        if drill is not None:
            drill = replace(drill, at=self.place(drill.at), angle=self.angle(drill.angle))
        return replace(
            p,
            at=self.place(p.at),
            angle=self.angle(p.angle),
            layers=self.layers(p.layers),
            drill=drill,
            extra=tuple(map(self.drawing, p.extra)),
        )

    def footprint(self, f: Footprint) -> Footprint:
        side = {"front": "back", "back": "front"}[f.side] if self.flip else f.side
        return replace(
            f,
            at=self.place(f.at),
            angle=self.angle(f.angle),
            side=side,
            pads=tuple(map(self.pad, f.pads)),
            drawings=tuple(map(self.drawing, f.drawings)),
        )

    def polygon(self, p: Polygon) -> Polygon:
        return Polygon(tuple(map(self.place, p.points)))

    def zone(self, z: Zone) -> Zone:
        return replace(
            z,
            outlines=tuple(map(self.polygon, z.outlines)),
            layers=self.layers(z.layers),
            fills=tuple((self.layer(name), self.polygon(p)) for name, p in z.fills),
        )

    def track(self, t: Track) -> Track:
        shape = moved_shape(t.shape, self.place)
        assert isinstance(shape, Line | Arc)
        return replace(t, shape=shape, layer=self.layer(t.layer))


def moved(made: Layout, degrees: float = 0, shift: XY = (0, 0), flip: bool = False) -> Layout:
    """The layout turned, shifted and, with ``flip``, turned over: left and right, front and back
    change places."""
    m = _Mover(degrees, shift, flip)
    return replace(
        made,
        footprints=tuple(map(m.footprint, made.footprints)),
        drawings=tuple(map(m.drawing, made.drawings)),
        tracks=tuple(map(m.track, made.tracks)),
        vias=tuple(replace(v, at=m.place(v.at), layers=m.layers(v.layers)) for v in made.vias),
        zones=tuple(map(m.zone, made.zones)),
    )
