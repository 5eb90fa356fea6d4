"""Rules explained for a person."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counterpoise.catalog.rules import all_rules
from counterpoise.reports.catalogue import bounds, explain, listing, scaled


@pytest.mark.parametrize(
    ("value", "dimension", "told"),
    [
        (1.2e-11, "capacitance", "12 pF"),
        (4700.0, "resistance", "4.7 kΩ"),
        (0.0, "resistance", "0 ohm"),
        (0.015, "current", "15 mA"),
        (2e-6, "current", "2 µA"),
        (0.05, "fraction", "5 %"),
        (50.0, "ppm", "50 ppm"),
        (0.15, "length", "0.15 mm"),
        (2.44e9, "frequency", "2.44 GHz"),
    ],
)
def test_a_quantity_in_a_unit_people_use(value: float, dimension: str, told: str) -> None:
    assert scaled(value, dimension) == told


def test_bounds_name_their_end() -> None:
    limits = [limit for rule in all_rules().values() for limit in rule.limits.values()]
    assert limits
    for limit in limits:
        low, high = limit.range.low, limit.range.high
        told = bounds(limit)
        assert told.startswith("at most ") == (low == float("-inf"))
        assert told.startswith("at least ") == (high == float("inf") and low != float("-inf"))
        assert "inf" not in told


def test_the_list_goes_by_domain_and_in_the_catalogue_s_order() -> None:
    rules = list(all_rules().values())
    told = listing(rules)
    places = [told.index(f"\n  {rule.slug} ") for rule in rules]
    assert places == sorted(places)
    for domain in {rule.domain for rule in rules}:
        assert f"\n{domain.capitalize()}\n" in f"\n{told}"


def test_a_figure_from_memory_says_so() -> None:
    rules = all_rules().values()
    for rule in rules:
        marked = any(limit.memory for limit in rule.limits.values())
        assert (", from memory)" in " ".join(explain(rule).split())) == marked


def test_cautions_are_told() -> None:
    rule = replace(next(iter(all_rules().values())), cautions=("Cells can burn.",))
    assert "Caution   Cells can burn." in explain(rule)
