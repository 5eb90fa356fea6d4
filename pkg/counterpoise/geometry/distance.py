"""Distances between pads, for rules that ask how near one part stands to another."""

from __future__ import annotations

from collections.abc import Iterable

from counterpoise.geometry.pads import pad_cores
from counterpoise.model.layout import Layout, Pad


def pads_of(layout: Layout, ref: str, pin: str) -> tuple[Pad, ...]:
    """The copper pads with that number of the part; a thermal pad may have many."""
    footprint = layout.footprint(ref)
    if footprint is None:
        return ()
    return tuple(p for p in footprint.pads if p.number == pin and p.copper)


def pad_distance(layout: Layout, a: tuple[str, str], b: tuple[str, str]) -> float | None:
    """Clear distance in mm between two pins' copper, (ref, pin number) each, layers apart ignored.

    Zero where they touch; None when either is not on the layout.
    """
    return _nearest(pads_of(layout, *a), pads_of(layout, *b))


def part_distance(layout: Layout, a: tuple[str, str], ref: str) -> float | None:
    """Clear distance in mm from a pin's copper to the nearest pad of a part; None as above."""
    footprint = layout.footprint(ref)
    if footprint is None:
        return None
    return _nearest(pads_of(layout, *a), (p for p in footprint.pads if p.copper))


def _nearest(first: Iterable[Pad], second: Iterable[Pad]) -> float | None:
    ours = [core for pad in first for core in pad_cores(pad)]
    theirs = [core for pad in second for core in pad_cores(pad)]
    return min((p.distance(q) for p in ours for q in theirs), default=None)
