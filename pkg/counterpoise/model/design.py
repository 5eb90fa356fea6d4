"""Everything known of one board, put together from its files."""

from __future__ import annotations

from dataclasses import dataclass, field

from counterpoise.model.bom import Bom, Placement
from counterpoise.model.circuit import Circuit
from counterpoise.model.layout import Layout
from counterpoise.model.manifest import Manifest


@dataclass(frozen=True, slots=True)
class SourceFile:
    """A file that was read: its name as shown to people (never absolute), what it is, its digest."""

    path: str
    kind: str
    sha256: str


@dataclass(frozen=True, slots=True)
class Design:
    """One board. ``circuit`` is None when no file gave parts; ``netlist`` and ``drawn`` keep the two
    sources apart for the rule that compares them (``drawn`` is the circuit as the layout has it)."""

    name: str
    circuit: Circuit | None = None
    netlist: Circuit | None = None
    drawn: Circuit | None = None
    layout: Layout | None = None
    bom: Bom | None = None
    placements: tuple[Placement, ...] | None = None
    manifest: Manifest = field(default_factory=Manifest)
    files: tuple[SourceFile, ...] = ()
    notes: tuple[str, ...] = ()
