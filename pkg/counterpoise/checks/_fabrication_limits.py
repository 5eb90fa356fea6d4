"""Which fabrication limit holds for a board, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.catalog.fab import all_profiles
from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import mm
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.values.ranges import Range

ROUNDING_MM = 0.0025
"""Files round to a nanometre and arcs are flattened: this much under a limit is on it."""


@dataclass(frozen=True, slots=True)
class Bound:
    """The least that may be, as a range from the finest common process to the coarsest.

    ``stated``: a profile or a limit is stated, and both ends are one. ``memory``: the figure was
    not read in a source, so that it stops no board alone.
    """

    least: Range
    stated: bool
    basis: str
    need: Need | None
    memory: bool = False

    def holds(self, value: float) -> bool | None:
        """True when every process makes it, False when none does, None between."""
        value += ROUNDING_MM
        return True if value >= self.least.high else False if value < self.least.low else None

    @property
    def firm(self) -> bool:
        """Whether a failure is sure: the process is stated, and its figure has a source."""
        return self.stated and not self.memory

    @property
    def doubt(self) -> str:
        """What a failure rests on that is not sure."""
        if not self.stated:
            return 'under the finest common process; state yours: [board] fab = "prototype-2-layer"'
        return "the profile's figure has no source" if self.memory else ""


def against(value: float, least: float) -> tuple[str, str]:
    """Both lengths for people; where they would read alike the first shows a third place."""
    measured, limit = mm(value), mm(least)
    return (measured if measured != limit else f"{value:.3f} mm"), limit


def bound(board: Board, rule: Rule, key: str, limit: str = "least") -> Bound:
    """The limit ``key`` of the stated profile, or the manifest's own, or all common profiles'."""
    own = rule.limits[limit]
    if own.source == "stated in the manifest":
        return Bound(Range.of(own.range.low), True, own.source, None)
    shipped = all_profiles()
    profiles = {**shipped, **board.profiles}
    asked = board.manifest.board.fab
    if asked in profiles:
        made = profiles[asked].limits[key]
        return Bound(Range.of(made.least_mm), True, f"profile {asked}", None, made.memory)
    values = [p.limits[key].least_mm for p in shipped.values()]
    names = " or ".join(f'"{name}"' for name in profiles)
    what = "which board house makes it"
    if asked is not None:
        what = f'a known profile instead of "{asked}"'
    need = Need(what, f"board.toml: [board] fab = {names}")
    return Bound(Range(min(values), max(values)), False, "common profiles", need)
