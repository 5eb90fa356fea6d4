"""Which fabrication limit holds for a board, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.catalog.fab import all_profiles
from counterpoise.catalog.rules import Rule
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.values.ranges import Range

ROUNDING_MM = 0.0025
"""Files round to a nanometre and arcs are flattened: this much under a limit is on it."""


@dataclass(frozen=True, slots=True)
class Bound:
    """The least that may be, as a range from the finest common process to the coarsest.

    ``stated``: a profile or a limit is stated, and both ends are one.
    """

    least: Range
    stated: bool
    basis: str
    need: Need | None

    def holds(self, value: float) -> bool | None:
        """True when every process makes it, False when none does, None between."""
        value += ROUNDING_MM
        return True if value >= self.least.high else False if value < self.least.low else None

    @property
    def doubt(self) -> str:
        """What a failure rests on where no profile is stated."""
        if self.stated:
            return ""
        return 'under the finest common process; state yours: [board] fab = "prototype-2-layer"'


def bound(board: Board, rule: Rule, key: str, limit: str = "least") -> Bound:
    """The limit ``key`` of the stated profile, or the manifest's own, or all common profiles'."""
    own = rule.limits.get(limit)
    if own is not None and own.source == "stated in the manifest":
        return Bound(Range.of(own.range.low), True, own.source, None)
    shipped = all_profiles()
    profiles = {**shipped, **board.profiles}
    asked = board.manifest.board.fab
    if asked is not None and asked in profiles:
        value = profiles[asked].limits[key].least_mm
        return Bound(Range.of(value), True, f"profile {asked}", None)
    values = [p.limits[key].least_mm for p in shipped.values()]
    names = " or ".join(f'"{name}"' for name in profiles)
    what = "which board house makes it"
    if asked is not None:
        what = f'a known profile instead of "{asked}"'
    need = Need(what, f"board.toml: [board] fab = {names}")
    return Bound(Range(min(values), max(values)), False, "common profiles", need)
