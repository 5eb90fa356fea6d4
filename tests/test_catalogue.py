"""A rule is one entry, one function, and boards that pass, fail and cannot be judged."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import function_of

CASES = Path(__file__).parent / "cases"
CANNOT_BE_UNKNOWN = frozenset[str]()
"""Rules whose facts are all in the files they need: without the file, the engine cannot judge."""


@pytest.mark.parametrize("slug", sorted(all_rules()))
def test_rule_has_its_four_parts(slug: str) -> None:
    rule = all_rules()[slug]
    assert function_of(rule).__doc__, "its function says what is compared"
    assert rule.says
    assert rule.sources or all(limit.source for limit in rule.limits.values())
    path = CASES / f"{slug}.toml"
    assert path.is_file(), f"no {path.name}"
    expected = {case["expect"] for case in tomllib.loads(path.read_text("utf-8"))["case"]}
    assert {"pass", "fail", "unknown"} <= expected


def test_no_case_without_rule() -> None:
    assert {path.stem for path in CASES.glob("*.toml")} <= set(all_rules())
