"""The board as drawn: millimetres, y down, angles in degrees counter-clockwise as seen on the screen.

Layers are named by their canonical names ("F.Cu", "In1.Cu", "B.Cu", "Edge.Cuts"); every position is
on the board, not relative to a footprint.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TypeAlias

from counterpoise.model.circuit import NO_FIELDS
from counterpoise.model.facts import Origin

XY: TypeAlias = tuple[float, float]

FRONT, BACK = "front", "back"


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke."""

    start: XY
    end: XY


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc from ``start`` through ``mid`` to ``end``."""

    start: XY
    mid: XY
    end: XY


@dataclass(frozen=True, slots=True)
class Circle:
    """A full circle."""

    centre: XY
    radius: float


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed run of points; the last joins the first. Arcs inside are already points on them."""

    points: tuple[XY, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """A cubic Bézier curve by its four control points."""

    points: tuple[XY, XY, XY, XY]


Shape: TypeAlias = Line | Arc | Circle | Polygon | Curve


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawn shape on one layer. ``owner`` is the ref of its footprint, "" for the board's own."""

    shape: Shape
    layer: str
    width: float = 0.0
    filled: bool = False
    owner: str = ""
    net: str | None = None
    origin: Origin | None = None


@dataclass(frozen=True, slots=True)
class Drill:
    """A hole: round when ``width == height``, else a slot; ``at`` is its centre on the board."""

    at: XY
    width: float
    height: float
    angle: float = 0.0
    plated: bool = True


@dataclass(frozen=True, slots=True)
class Pad:
    """One pad. ``number`` is "" for mechanical or paste-only pads; a number may occur many times.

    ``at`` is the centre of the copper, ``angle`` is absolute. ``shape`` is circle, rect, oval,
    roundrect, trapezoid or custom; ``size`` is before turning. ``ratio`` is the corner radius over
    the shorter side (roundrect; one half also makes the round anchor of a custom pad);
    ``chamfer`` the same for cut corners; ``delta`` the trapezoid's (dx, dy). ``extra`` are the
    further copper shapes of a custom pad, already on the board. ``layers`` are canonical names with
    wildcards already expanded.
    """

    number: str
    at: XY
    size: XY
    shape: str = "rect"
    angle: float = 0.0
    layers: tuple[str, ...] = ()
    drill: Drill | None = None
    net: str | None = None
    name: str = ""
    ratio: float = 0.0
    chamfer: float = 0.0
    corners: tuple[str, ...] = ()
    delta: XY = (0.0, 0.0)
    extra: tuple[Drawing, ...] = ()

    @property
    def copper(self) -> tuple[str, ...]:
        """The copper layers it lies on."""
        return tuple(name for name in self.layers if name.endswith(".Cu"))


@dataclass(frozen=True, slots=True)
class Footprint:
    """A part's land pattern where it stands.

    ``mount`` is "smd", "through-hole" or "other"; ``name`` is bare, without its library;
    ``drawings`` hold its courtyard, silk, fab and copper shapes.
    """

    ref: str
    at: XY
    angle: float = 0.0
    side: str = FRONT
    name: str = ""
    value: str = ""
    description: str = ""
    mount: str = "smd"
    fields: Mapping[str, str] = field(default_factory=lambda: NO_FIELDS)
    pads: tuple[Pad, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    fitted: bool = True
    bought: bool = True
    placed: bool = True
    board_only: bool = False
    net_ties: tuple[tuple[str, ...], ...] = ()
    origin: Origin | None = None


@dataclass(frozen=True, slots=True)
class Track:
    """A stroke of copper: a Line or an Arc with a width."""

    shape: Line | Arc
    width: float
    layer: str
    net: str | None


@dataclass(frozen=True, slots=True)
class Via:
    """A plated hole that joins layers ``layers[0]`` to ``layers[-1]``; kind through, blind or micro."""

    at: XY
    size: float
    drill: float
    layers: tuple[str, ...]
    net: str | None
    kind: str = "through"


@dataclass(frozen=True, slots=True)
class KeepOut:
    """What a rule area forbids; True means forbidden."""

    tracks: bool = False
    vias: bool = False
    pads: bool = False
    copper: bool = False
    footprints: bool = False


@dataclass(frozen=True, slots=True)
class Zone:
    """A copper area, or a rule area when ``keepout`` is given.

    ``outlines`` as drawn; ``fills`` are the copper polygons really poured, by layer, with holes
    slit open to the outside as the file has them; empty when the zone is not filled.
    """

    outlines: tuple[Polygon, ...]
    layers: tuple[str, ...]
    net: str | None = None
    name: str = ""
    fills: tuple[tuple[str, Polygon], ...] = ()
    grow_mm: float = 0.0
    keepout: KeepOut | None = None
    owner: str = ""
    priority: int = 0
    origin: Origin | None = None


@dataclass(frozen=True, slots=True)
class StackLayer:
    """One layer of the stack-up, top to bottom. ``kind`` is copper, core, prepreg, mask, silk, paste or
    other; ``thickness_mm`` is None when the file leaves it open."""

    name: str
    kind: str
    thickness_mm: float | None = None
    material: str = ""
    permittivity: float | None = None


@dataclass(frozen=True)
class Layout:
    """The whole drawing.

    ``thickness_mm`` None when not stated. ``copper_layers`` from front to back. ``origin_mm`` is the
    file's auxiliary origin (placement files may count from it).
    """

    footprints: tuple[Footprint, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    tracks: tuple[Track, ...] = ()
    vias: tuple[Via, ...] = ()
    zones: tuple[Zone, ...] = ()
    copper_layers: tuple[str, ...] = ("F.Cu", "B.Cu")
    stack: tuple[StackLayer, ...] = ()
    thickness_mm: float | None = None
    finish: str = ""
    origin_mm: XY | None = None
    title: str = ""
    net_names: tuple[str, ...] = ()
    _by_ref: Mapping[str, Footprint] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        by_ref: dict[str, Footprint] = {}
        for footprint in self.footprints:
            by_ref.setdefault(footprint.ref, footprint)
        object.__setattr__(self, "_by_ref", MappingProxyType(by_ref))

    def footprint(self, ref: str) -> Footprint | None:
        """The first footprint with that ref."""
        return self._by_ref.get(ref)
