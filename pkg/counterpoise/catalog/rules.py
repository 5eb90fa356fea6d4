"""A rule as data: its words, severity, limits with units, sources."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from importlib.resources.abc import Traversable
from types import MappingProxyType

from counterpoise.catalog.toml import CatalogError, Table, load, nearest
from counterpoise.model.verdicts import Severity
from counterpoise.resources import rules_root
from counterpoise.values.ranges import Range
from counterpoise.values.units import DIMENSIONS, quantity

RANKS = ("burns", "kills", "weakens", "paperwork")
"""Worst first: can burn or hurt, kills the board, weakens it, paperwork."""

NEEDS = ("netlist", "layout", "bom", "manifest", "placement")
_SLUG = re.compile(r"[a-z]+(-[a-z]+)*")


@dataclass(frozen=True, slots=True)
class RuleLimit:
    """A bound with its dimension and where it comes from; ends may be infinite. ``memory`` marks a
    figure that was not read in its source: a stop never rests on it alone."""

    range: Range
    dimension: str
    source: str
    memory: bool = False


@dataclass(frozen=True, slots=True)
class Rule:
    """One entry of the catalogue.

    ``says`` holds a sentence for each way to fail, ``remedies`` a remedy where it differs from
    ``remedy``; ``absent`` is the reason given when there is nothing to judge. ``roles``: without
    a part of one of these roles the rule does not apply. ``yields_to``: a finding is told beneath
    one of these rules' when both blame the same part.
    """

    slug: str
    domain: str
    severity: Severity
    rank: str
    needs: tuple[str, ...]
    asks: str
    why: str
    absent: str
    says: Mapping[str, str]
    remedy: str
    remedies: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    formula: str = ""
    limits: Mapping[str, RuleLimit] = field(default_factory=lambda: MappingProxyType({}))
    sources: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    yields_to: tuple[str, ...] = ()
    roles: tuple[str, ...] = ()

    def limit(self, name: str) -> Range:
        """The bound of that name in SI units (mm for lengths, g for masses)."""
        return self.limits[name].range

    def with_limits(self, changed: Mapping[str, Range]) -> Rule:
        """The same rule with some bounds replaced, as the manifest may ask.

        Raises:
            KeyError: the rule has no such limit.
        """
        limits = dict(self.limits)
        for name, bound in changed.items():
            limits[name] = replace(
                limits[name], range=bound, source="stated in the manifest", memory=False
            )
        return replace(self, limits=MappingProxyType(limits))


def _limit(table: Table) -> RuleLimit:
    dimension = table.text("dimension")
    if dimension not in DIMENSIONS:
        raise table.error("dimension", f"unknown dimension{nearest(dimension, DIMENSIONS)}")
    low = table.read("min", lambda text: quantity(text, dimension), float("-inf"))
    high = table.read("max", lambda text: quantity(text, dimension), float("inf"))
    if low == float("-inf") and high == float("inf"):
        raise table.error("", 'a limit needs "min", "max" or both')
    limit = RuleLimit(
        Range(low, high), dimension, table.text("source"), table.flag("memory", False)
    )
    table.done()
    return limit


def read_rule(file: str, slug: str, data: Mapping[str, object]) -> Rule:
    """One rule from its table.

    Raises:
        CatalogError: with the file and the key that is missing, unknown or of another kind.
    """
    table = Table(file, slug, data)
    if not _SLUG.fullmatch(slug):
        raise table.error("", "a rule's name is lower-case words joined by hyphens")
    severity = table.text("severity")
    if severity not in ("stop", "caution"):
        raise table.error("severity", 'expected "stop" or "caution"')
    rank = table.text("rank")
    if rank not in RANKS:
        raise table.error("rank", f"expected one of {', '.join(RANKS)}")
    needs = table.texts("needs")
    for need in needs:
        if need not in NEEDS:
            raise table.error("needs", f'unknown need "{need}"{nearest(need, NEEDS)}')
    limits = {
        name: _limit(Table(file, f"{slug}.limits.{name}", entry))
        for name, entry in table.tables("limits").items()
    }
    says = table.tables("says")
    remedies = table.tables("remedies")
    for case in remedies:
        if case not in says:
            raise table.error(f"remedies.{case}", f"no such case in says{nearest(case, says)}")
    rule = Rule(
        slug=slug,
        domain=file.removesuffix(".toml"),
        severity=Severity(severity),
        rank=rank,
        needs=needs,
        asks=table.text("asks"),
        why=table.text("why"),
        absent=table.text("absent"),
        says=MappingProxyType(says),
        remedy=table.text("remedy"),
        remedies=MappingProxyType(remedies),
        formula=table.text("formula", ""),
        limits=MappingProxyType(limits),
        sources=table.texts("sources"),
        cautions=table.texts("cautions"),
        yields_to=table.texts("yields_to"),
        roles=table.texts("roles"),
    )
    table.done()
    return rule


@cache
def all_rules() -> Mapping[str, Rule]:
    """Every rule by slug, domains in the order of their files' names, rules in file order.

    Raises:
        CatalogError: a file is faulty, or two rules share a slug.
    """
    rules: dict[str, Rule] = {}
    for path in sorted(_toml_files(), key=lambda p: p.name):
        for slug, data in load(path).items():
            if slug in rules:
                raise CatalogError(path.name, slug, f"already defined in {rules[slug].domain}.toml")
            if not isinstance(data, dict):
                raise CatalogError(path.name, slug, "expected a table")
            rules[slug] = read_rule(path.name, slug, data)
    return MappingProxyType(rules)


def _toml_files() -> Iterable[Traversable]:
    return (p for p in rules_root().iterdir() if p.name.endswith(".toml"))
