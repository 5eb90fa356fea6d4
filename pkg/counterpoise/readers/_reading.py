"""What a reader hands back, whatever the file was."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.model.bom import Bom, Placement
from counterpoise.model.circuit import Circuit
from counterpoise.model.layout import Layout


@dataclass(frozen=True, slots=True)
class Reading:
    """One file, read. ``kind`` is netlist, layout, bom or placement.

    A layout fills both ``layout`` and ``circuit`` (the circuit as drawn); the other kinds fill the
    one field of their own. ``notes`` are doubts a person should see, one line each.
    """

    kind: str
    circuit: Circuit | None = None
    layout: Layout | None = None
    bom: Bom | None = None
    placements: tuple[Placement, ...] | None = None
    notes: tuple[str, ...] = ()
