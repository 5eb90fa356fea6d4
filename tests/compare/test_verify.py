"""The checker must turn down every mapping that is no proof."""

from __future__ import annotations

from collections.abc import Hashable

import pytest

from counterpoise.compare.graph import Wires
from counterpoise.compare.verify import flaw

OLD: Wires = [
    ("R", [("end", "a"), ("end", "b")]),
    ("Q", [("1", "a"), ("2", "b"), ("3", "c")]),
    ("R", [("end", "c"), ("end", "b")]),
]
NEW: Wires = [
    ("Q", [("1", "x"), ("2", "y"), ("3", "z")]),
    ("R", [("end", "y"), ("end", "x")]),
    ("R", [("end", "y"), ("end", "z")]),
]
PARTS = {0: 1, 1: 0, 2: 2}
NETS: dict[Hashable, Hashable] = {"a": "x", "b": "y", "c": "z"}


def test_a_right_mapping_has_no_flaw() -> None:
    assert flaw(OLD, NEW, PARTS, NETS) == ""


@pytest.mark.parametrize(
    ("parts", "nets", "says"),
    [
        ({0: 1, 1: 0}, NETS, "old part"),
        ({0: 1, 1: 0, 2: 1}, NETS, "new part"),
        ({0: 0, 1: 1, 2: 2}, NETS, "kind"),
        ({0: 2, 1: 0, 2: 1}, NETS, "join other nets"),
        (PARTS, {"a": "x", "b": "y", "c": "y"}, "share a partner"),
        (PARTS, {"a": "x", "b": "y"}, "has no partner"),
        (PARTS, {"a": "z", "b": "y", "c": "x"}, "join other nets"),
    ],
)
def test_wrong_mappings(parts: dict[int, int], nets: dict[Hashable, Hashable], says: str) -> None:
    assert says in flaw(OLD, NEW, parts, nets)


def test_pins_are_counted_not_only_seen() -> None:
    old: Wires = [("J", [("gnd", "g"), ("gnd", "g"), ("gnd", "h")])]
    new: Wires = [("J", [("gnd", "g"), ("gnd", "h"), ("gnd", "h")])]
    assert flaw(old, new, {0: 0}, {"g": "g", "h": "h"}) != ""
