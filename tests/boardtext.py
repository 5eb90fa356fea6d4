"""Boards written out as text, just long enough for one test each."""

from __future__ import annotations

import math

from counterpoise.model.circuit import Circuit
from counterpoise.model.layout import Footprint, Layout, Pad
from counterpoise.readers import board
from counterpoise.readers._reading import Reading
from counterpoise.readers._source import Source

LAYERS = "(layers (0 F.Cu signal) (1 In1.Cu signal) (31 B.Cu signal) (44 Edge.Cuts user))"
HEAD = f'(version 20211014) {LAYERS} (net 0 "") (net 1 "GND") (net 2 "A/B") (net 9 "VCC")'


def read(body: str, head: str = HEAD) -> Reading:
    return board.read(Source("x.brd", f"(kicad_pcb {head}\n{body})".encode()))


def layout(body: str, head: str = HEAD) -> Layout:
    found = read(body, head).layout
    assert found is not None
    return found


def circuit(body: str, head: str = HEAD) -> Circuit:
    found = read(body, head).circuit
    assert found is not None
    return found


def footprint(inside: str, at: str = "10 20", name: str = "footprint") -> Footprint:
    (found,) = layout(f'({name} "Own:X" (layer "F.Cu") (at {at}) {inside})').footprints
    return found


def pad(inside: str, at: str = "10 20") -> Pad:
    (found,) = footprint(f"(pad {inside})", at).pads
    return found


def shape(drawn: str) -> object:
    (found,) = layout(drawn).drawings
    return found.shape


def near(found: tuple[float, float], x: float, y: float) -> bool:
    return math.dist(found, (x, y)) < 1e-5
