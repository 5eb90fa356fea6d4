"""The answer of a comparison, before it is written in any form."""

from __future__ import annotations

from dataclasses import dataclass, field

from counterpoise.model.report import Area, Endurance
from counterpoise.model.verdicts import Finding
from counterpoise.values.ranges import Estimate


@dataclass(frozen=True, slots=True)
class Spot:
    """A net of one board and the pins on it that a difference is about: "U2.5"."""

    net: str
    pins: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that a person would put right with one change.

    ``kind`` is moved (pins join another net), exchanged (pins or parts have changed places), opened,
    closed (an open pin is now joined), split (one net became two), joined (two nets became one),
    missing, added (a whole part). ``held`` tells whether it touches what had to stay.
    """

    kind: str
    old: Spot | None
    new: Spot | None
    message: str
    held: bool = True


@dataclass(frozen=True, slots=True)
class Boundary:
    """A net between what had to stay and the power section whose source is another now."""

    old_net: str
    new_net: str
    old_sources: tuple[str, ...]
    new_sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Changed:
    """A paired part that is no longer the same part: "value 15p, now 27p"."""

    old: str
    new: str
    what: str


@dataclass(frozen=True, slots=True)
class PartsLedger:
    """Which part became which, by ref; ``unfitted`` are old and new parts left out of the circuit."""

    matched: tuple[tuple[str, str], ...]
    added: tuple[str, ...]
    removed: tuple[str, ...]
    changed: tuple[Changed, ...]
    words: dict[str, str] = field(default_factory=dict)
    old_words: dict[str, str] = field(default_factory=dict)
    old_unfitted: tuple[str, ...] = ()
    new_unfitted: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Wiring:
    """The verdict on what had to stay: same (a proof), different or unknown.

    ``scope`` is "all", "not power" or "named". ``kept`` are the new board's refs that are proven to be
    wired as before. ``elsewhere`` are differences outside what had to stay, ``boundary`` nets whose
    source changed, ``replaced`` the power parts that went and came, in words. ``alike`` are groups of
    new refs that are interchangeable. ``kept_words`` say what the kept parts are: "radio", "2 push
    switches", "21 passive parts". ``settled`` counts old parts whose partner is certain when the
    verdict is unknown.
    """

    verdict: str
    scope: str
    kept: tuple[str, ...]
    differences: tuple[Difference, ...] = ()
    elsewhere: tuple[Difference, ...] = ()
    boundary: tuple[Boundary, ...] = ()
    replaced: tuple[tuple[str, ...], tuple[str, ...]] = ((), ())
    alike: tuple[tuple[str, ...], ...] = ()
    kept_words: tuple[str, ...] = ()
    settled: int = 0
    parts: int = 0


@dataclass(frozen=True, slots=True)
class Figures:
    """What one board measures, as far as its files tell."""

    label: str
    parts: int
    fitted: int
    bom_lines: int
    nets: int
    area: Area | None = None
    mass: Estimate | None = None
    endurance: Endurance | None = None
    stops: int = 0
    cautions: int = 0


@dataclass(frozen=True, slots=True)
class Comparison:
    """Everything said of OLD and NEW. ``mass_change`` is new less old, in grams: what is uncertain in
    both in the same way cancels. ``fixed`` and ``fresh`` are findings, None when none were judged."""

    old: Figures
    new: Figures
    wiring: Wiring
    parts: PartsLedger
    mass_change: Estimate | None = None
    fixed: tuple[Finding, ...] | None = None
    fresh: tuple[Finding, ...] | None = None
