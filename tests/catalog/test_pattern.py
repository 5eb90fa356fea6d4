"""Patterns compiled late say the same as patterns compiled at once."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.catalog.cards import all_cards
from counterpoise.catalog.pattern import Pattern
from counterpoise.catalog.toml import CatalogError

_PIECES = (
    "A",
    "B1",
    "-",
    "A?",
    "B*",
    "1{0,1}",
    "A+",
    ".",
    "(A|B)",
    "|",
    "[AB1|]",
    r"\.",
    "(?:1|A)?",
)
_TEXTS = st.text("AB1-.|", max_size=6)


@given(st.lists(st.sampled_from(_PIECES), max_size=5).map("".join), _TEXTS)
def test_the_plain_beginning_rules_out_nothing_that_matches(text: str, code: str) -> None:
    late, at_once = Pattern(text), re.compile(text, re.ASCII)
    assert bool(late.fullmatch(code)) == bool(at_once.fullmatch(code))
    assert bool(late.search(code)) == bool(at_once.search(code))


def test_every_pattern_that_ships_is_sound() -> None:
    for card in all_cards():
        for pattern in card.patterns():
            pattern.check()


def test_shipped_patterns_wait_until_a_code_comes_near() -> None:
    pattern = Pattern("MCP73831.*")
    assert pattern.fullmatch("TP4054") is None
    assert pattern._compiled is None
    assert pattern.fullmatch("MCP73831T-2ACI/OT")


@pytest.mark.parametrize("text", ["(a", "(a+)+", "a*b*c*d*", "a" * 400])
def test_what_is_no_pattern_or_could_hang_is_refused_in_one_line(text: str) -> None:
    with pytest.raises(CatalogError, match=r"^own\.toml: \[x\] matches: ") as error:
        Pattern(text, "own.toml", "[x] matches").check()
    assert "\n" not in str(error.value)
