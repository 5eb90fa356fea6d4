"""The checker: does a mapping really pair two circuits, pin by pin? Knows nothing of how it was found."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Mapping

from counterpoise.compare.graph import Wires


def flaw(
    old: Wires, new: Wires, parts: Mapping[int, int], nets: Mapping[Hashable, Hashable]
) -> str:
    """The first reason why the mapping is no proof of sameness, "" when it is one.

    It is one when every part has exactly one partner of its kind, no two nets share a partner, and
    each pin of each part joins the partner of the net that the partner's pin of that class joins.
    Linear in pins.
    """
    if sorted(parts) != list(range(len(old))):
        return "an old part has no partner"
    if sorted(parts.values()) != list(range(len(new))):
        return "a new part has no partner, or two parts share one"
    if len(set(nets.values())) != len(nets):
        return "two old nets share a partner"
    for place, (kind, pins) in enumerate(old):
        other_kind, other_pins = new[parts[place]]
        if kind != other_kind:
            return f"part {place} and its partner differ in kind"
        if any(net not in nets for _, net in pins):
            return f"a net of part {place} has no partner"
        if Counter((label, nets[net]) for label, net in pins) != Counter(other_pins):
            return f"the pins of part {place} and its partner join other nets"
    return ""
