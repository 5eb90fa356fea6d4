"""What a rule may say of one subject, and the report that collects it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType
from typing import TypeAlias

from counterpoise.model.facts import Need, Place


class Severity(Enum):
    """A stop means: do not order this board. A caution means: look once more."""

    STOP = "stop"
    CAUTION = "caution"


@dataclass(frozen=True, slots=True)
class Measured:
    """A figure with its unit, in the unit it is shown in."""

    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Limit:
    """The bounds a figure was held against; None where there is none on that side."""

    min: float | None
    max: float | None
    unit: str


@dataclass(frozen=True, slots=True)
class Pass:
    """The rule was judged for ``subject`` and holds."""

    subject: str


@dataclass(frozen=True, slots=True)
class Fail:
    """The rule was judged and does not hold.

    ``case`` picks the sentence in the rule's ``says`` table, ``words`` fill it. ``subjects`` name the
    ref first blamed, then others. ``firm`` is False when the judgement rests on a guess (a role
    guessed from shape, a rail guessed from its name, a figure from memory): the engine then turns a
    stop into a caution and ``doubt`` says what it rests on. ``severity`` lowers the rule's own.
    """

    subjects: tuple[str, ...]
    case: str
    words: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    nets: tuple[str, ...] = ()
    place: Place | None = None
    measured: Measured | None = None
    limit: Limit | None = None
    severity: Severity | None = None
    firm: bool = True
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class Unknown:
    """The rule cannot be judged for ``subject`` until the needs are met."""

    subject: str
    needs: tuple[Need, ...]


@dataclass(frozen=True, slots=True)
class Skip:
    """The rule has nothing to judge here, and why, in the words a person reads."""

    reason: str


Verdict: TypeAlias = Pass | Fail | Unknown | Skip
"""A rule yields one for each subject. No verdict at all means not applicable, for the reason that the
rule's own ``absent`` text gives."""


@dataclass(frozen=True, slots=True)
class Finding:
    """A failed rule, put into words.

    ``under`` are consequences of the same cause, told beneath it. ``waived`` is the waiver's reason,
    None when there is none.
    """

    rule: str
    severity: Severity
    subjects: tuple[str, ...]
    nets: tuple[str, ...]
    place: Place | None
    measured: Measured | None
    limit: Limit | None
    message: str
    remedy: str
    sources: tuple[str, ...]
    fingerprint: str
    waived: str | None = None
    under: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Coverage:
    """What became of one rule: verdict pass, fail, unknown or not-applicable, and how many subjects
    were judged. ``reason`` says why in the last two cases."""

    rule: str
    verdict: str
    judged: int
    reason: str = ""
    needs: tuple[Need, ...] = ()
