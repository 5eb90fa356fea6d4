"""Which nets are the 0 V reference."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping

from counterpoise.model.circuit import Circuit
from counterpoise.roles.pins import by_name, ground_names, named, net_leaf, spellings


def named_ground(net: str) -> bool:
    """Whether the net's own name says ground: GND, AGND, VSS, 0V, /Sheet/GND, GND_1."""
    leaf = net_leaf(net)
    return leaf in ground_names() or re.sub(r"[_-]?\d+$", "", leaf) in ground_names()


def first_grounds(circuit: Circuit) -> frozenset[str]:
    """Grounds by name; where no net is named so, the net that most chips' ground pins share; where
    pins have no names either, the net that far more pins share than any other."""
    by_names = frozenset(net for net in circuit.nets if named_ground(net))
    if by_names:
        return by_names
    by_pins = _by_pins(circuit)
    return by_pins or _by_count(circuit)


def _by_pins(circuit: Circuit) -> frozenset[str]:
    words = {word for word, function in by_name("any").items() if function == "ground"}
    votes: Counter[str] = Counter()
    for part in circuit.parts:
        joined = {
            pin.net
            for pin in named(part)
            if pin.net is not None and any(s in words for s in spellings(pin.name)[:2])
        }
        votes.update(joined)
    return _leader(votes, circuit, 1.0)


def _by_count(circuit: Circuit) -> frozenset[str]:
    votes = Counter({name: len({p.ref for p in net.pins}) for name, net in circuit.nets.items()})
    # A supply net is the other net that many parts share; without a clear lead neither is taken.
    return _leader(votes, circuit, 1.5) if votes and max(votes.values()) >= 4 else frozenset()


def _leader(votes: Mapping[str, int], circuit: Circuit, lead: float) -> frozenset[str]:
    if not votes:
        return frozenset()
    ranked = sorted(votes, key=lambda n: (-votes[n], -len(circuit.nets[n].pins), n))
    if len(ranked) > 1 and lead > 1 and votes[ranked[0]] < lead * votes[ranked[1]]:
        return frozenset()
    return frozenset(ranked[:1])
