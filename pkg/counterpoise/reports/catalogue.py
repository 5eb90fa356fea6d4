"""The rules, listed and explained for a person."""

from __future__ import annotations

import math

from counterpoise.catalog.rules import Rule, RuleLimit
from counterpoise.reports._page import Page
from counterpoise.reports._words import figure
from counterpoise.values.units import DIMENSIONS

_RANKS = {
    "burns": "it can burn or hurt",
    "kills": "the board will not work",
    "weakens": "the board works badly or not for long",
    "paperwork": "the order and the board differ",
}


def listing(rules: list[Rule], *, width: int = 80, colour: bool = False) -> str:
    """Every rule with its severity and question, by domain."""
    page = Page(width, colour)
    widest = max((len(rule.slug) for rule in rules), default=0)
    for domain in dict.fromkeys(rule.domain for rule in rules):
        page.gap()
        page.write(domain.capitalize(), style="strong")
        for rule in rules:
            if rule.domain == domain:
                lead = f"  {rule.slug:{widest}}  {rule.severity.value:7}  "
                page.write(rule.asks, first=lead)
    page.gap()
    page.write('"counterpoise rules RULE" explains one.')
    return page.text()


def explain(rule: Rule, *, width: int = 80, colour: bool = False) -> str:
    """One rule in full."""
    page = Page(width, colour)
    page.write(rule.slug, style="strong")
    page.write(f"{rule.severity.value} ({_RANKS[rule.rank]}); reads {_reads(rule)}")
    page.gap()
    page.write(rule.asks)
    page.write(rule.why)
    if rule.formula:
        page.gap()
        page.write(rule.formula, first="Formula   ")
    page.gap()
    page.write("Fails when", style="strong")
    for case, sentence in rule.says.items():
        page.write(sentence, first="  - ")
        if case in rule.remedies:
            page.write(rule.remedies[case], first="    Do: ")
    page.gap()
    page.write(rule.remedy, first="Do        ")
    if rule.limits:
        page.gap()
        page.write("Limits", style="strong")
        for name, limit in rule.limits.items():
            memory = ", from memory" if limit.memory else ""
            page.write(f"{name}: {bounds(limit)} ({limit.source}{memory})", first="  - ")
        page.write(f"Change one: board.toml: [rules.{rule.slug}.limits]", style="quiet")
    if rule.sources:
        page.gap()
        page.write("Sources", style="strong")
        for source in rule.sources:
            page.write(source, first="  - ")
    for caution in rule.cautions:
        page.gap()
        page.write(caution, first="Caution   ")
    page.gap()
    page.write(f"Does not apply when: {rule.absent}.")
    return page.text()


def _reads(rule: Rule) -> str:
    words = {
        "netlist": "the netlist",
        "layout": "the board file",
        "bom": "the BOM",
        "manifest": "board.toml",
        "placement": "the placement file",
    }
    return ", ".join(words[need] for need in rule.needs) or "whatever there is"


def bounds(limit: RuleLimit) -> str:
    """A limit in words with its unit: "2 pF to 5 pF", "at most 50 ppm"."""
    low, high = limit.range.low, limit.range.high
    if math.isinf(low):
        return f"at most {scaled(high, limit.dimension)}"
    if math.isinf(high):
        return f"at least {scaled(low, limit.dimension)}"
    if low == high:
        return scaled(low, limit.dimension)
    return f"{scaled(low, limit.dimension)} to {scaled(high, limit.dimension)}"


def scaled(value: float, dimension: str) -> str:
    """A quantity in the unit of its dimension that gives a short number: 1.2e-11 F is "12 pF"."""
    symbol, _, factors, _ = DIMENSIONS[dimension]
    if dimension == "fraction":
        return f"{figure(value * 100)} %"
    fitting = [
        (unit, value / factor)
        for unit, factor in sorted(factors.items(), key=lambda item: -item[1])
        if 1 <= abs(value / factor) < 1000 and unit
    ]
    if not fitting or symbol in ("mm", "mm^2", "ppm", "h", "degC", "C", "") or value == 0:
        return f"{figure(value)} {symbol}".strip()
    unit, shown = fitting[0]
    return f"{figure(shown)} {unit.replace('ohm', 'Ω').replace('u', 'µ')}"
