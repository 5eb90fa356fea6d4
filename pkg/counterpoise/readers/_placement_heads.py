"""What the columns of a placement file are called."""

from __future__ import annotations

import re
from collections.abc import Sequence

from counterpoise.readers._table import bare_head

# Heads by column, the surest first, as ``bare_head`` leaves them once the unit is taken off. The
# centre of a part goes before its pin 1 or corner ("Ref X", "Pad X").
HEADS: dict[str, tuple[str, ...]] = {
    "ref": ("ref", "refdes", "designator", "reference", "refdesignator", "part", "component"),
    "x": (
        *("posx", "midx", "centerx", "centrex", "x", "xpos", "xposition", "locationx"),
        *("xlocation", "xcoord", "xcoordinate", "xcenter", "centerxcoord", "refx", "padx"),
    ),
    "y": (
        *("posy", "midy", "centery", "centrey", "y", "ypos", "yposition", "locationy"),
        *("ylocation", "ycoord", "ycoordinate", "ycenter", "centerycoord", "refy", "pady"),
    ),
    "angle": ("rot", "rotation", "angle", "orientation", "rotationdeg", "rotdeg"),
    "side": ("side", "layer", "tb", "boardside", "placementside", "mountside"),
    "mirror": ("mirror", "mirrored"),
    "value": ("val", "value", "comment"),
    "footprint": ("package", "footprint", "pattern"),
}
UNIT_MM = {"mm": 1.0, "mil": 0.0254, "mils": 0.0254, "thou": 0.0254, "inch": 25.4, "in": 25.4}
UNIT_MM |= {"inches": 25.4, "um": 1e-3, "cm": 10.0}
_UNIT = re.compile(r"(?:[(\[]\s*|[\s_-])(mm|mils?|thou|inch|inches|in|um|cm)\s*[)\]]?\s*$", re.I)


def head_unit(head: str) -> str | None:
    """The unit that a head states: "Center-X(mm)" gives mm."""
    match = _UNIT.search(head)
    return match[1].casefold() if match else None


def column_places(cells: Sequence[str]) -> dict[str, int]:
    """The index of each known column."""
    bare = [bare_head(_UNIT.sub("", cell)) for cell in cells]
    places: dict[str, int] = {}
    for column, heads in HEADS.items():
        found = next((bare.index(name) for name in heads if name in bare), None)
        if found is not None:
            places[column] = found
    return places


def is_placement_head(cells: Sequence[str]) -> bool:
    """Whether a row of heads names references and both coordinates."""
    return {"ref", "x", "y"} <= column_places(cells).keys()
