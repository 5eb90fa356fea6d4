"""``counterpoise rules``: the list, and one rule explained."""

from __future__ import annotations

from pathlib import Path

import pytest

from commands import run
from counterpoise.catalog.rules import all_rules


def test_the_list_names_every_rule_with_its_severity_and_question() -> None:
    ran = run("rules")
    assert (ran.status, ran.err) == (0, "")
    lines = {words[0]: words for line in ran.out.splitlines() if (words := line.split())}
    told = " ".join(ran.out.split())
    for slug, rule in all_rules().items():
        assert lines[slug][1] == rule.severity.value
        assert rule.asks.split()[0] in told


@pytest.mark.parametrize("slug", sorted(all_rules()))
def test_one_rule_explained(slug: str) -> None:
    rule = all_rules()[slug]
    ran = run("rules", slug)
    assert (ran.status, ran.err) == (0, "")
    told = " ".join(ran.out.split())
    for text in (rule.asks, rule.why, rule.remedy, *rule.sources, *rule.says.values()):
        assert " ".join(text.split()) in told
    for name in rule.limits:
        assert f"- {name}: " in told
    assert max(map(len, ran.out.splitlines())) <= 80


def test_into_a_file(tmp_path: Path) -> None:
    assert run("rules", "charge-rate", "-o", tmp_path / "rule.txt").raw == b""
    assert (tmp_path / "rule.txt").read_bytes() == run("rules", "charge-rate").raw
