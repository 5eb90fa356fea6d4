"""A comparison as JSON: the contract counterpoise/compare/1."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from counterpoise.compare.result import Comparison, Difference, Spot
from counterpoise.reports.json import dump, number

SCHEMA = "counterpoise/compare/1"


def tree(comparison: Comparison) -> dict[str, Any]:
    """One comparison as plain data. A net "" is no net: the pin is open, or whole parts are meant."""
    old, new, wiring, parts = comparison.old, comparison.new, comparison.wiring, comparison.parts
    area = None
    if old.area and new.area:
        ratio = new.area.board_mm2 / old.area.board_mm2 if old.area.board_mm2 else 0.0
        area = {
            "old_mm2": number(old.area.board_mm2),
            "new_mm2": number(new.area.board_mm2),
            "ratio": number(ratio),
        }
    mass = None
    if old.mass and new.mass:
        mass = {"old_g": number(old.mass.likely), "new_g": number(new.mass.likely)}
    return {
        "schema": SCHEMA,
        "area": area,
        "mass": mass,
        "parts": {
            "matched": [list(pair) for pair in parts.matched],
            "added": list(parts.added),
            "removed": list(parts.removed),
            "changed": [{"old": c.old, "new": c.new, "what": c.what} for c in parts.changed],
        },
        "wiring": {
            "verdict": wiring.verdict,
            "kept": list(wiring.kept),
            "differences": [_difference(d) for d in wiring.differences],
        },
    }


def _difference(difference: Difference) -> dict[str, Any]:
    return {
        "kind": difference.kind,
        "old": _spot(difference.old),
        "new": _spot(difference.new),
        "message": difference.message,
    }


def _spot(spot: Spot | None) -> dict[str, Any] | None:
    return None if spot is None else {"net": spot.net, "pins": list(spot.pins)}


def render(comparisons: Sequence[Comparison]) -> str:
    """One comparison as itself; the steps of a history as a list under "comparisons"."""
    if len(comparisons) == 1:
        return dump(tree(comparisons[0]))
    return dump(
        {"schema": "counterpoise/comparisons/1", "comparisons": [tree(c) for c in comparisons]}
    )
