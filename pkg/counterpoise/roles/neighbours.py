"""Who is joined to whom: parts on a net, parts across two nets, what is reached through them."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Collection, Iterable, Mapping

from counterpoise.model.circuit import Circuit, Part
from counterpoise.roles.refdes import natural

PASSABLE = frozenset(
    {
        "resistor",
        "capacitor",
        "inductor",
        "ferrite",
        "fuse",
        "diode",
        "zener",
        "clamp",
        "led",
        "link",
        "thermistor",
        "crystal",
        "resonator",
        "push-switch",
        "slide-switch",
        "motor",
        "cell",
    }
)
"""Roles that count as two-terminal however many pads the body has."""


class Wiring:
    """The fitted parts by net. ``order`` keeps every answer in natural ref order."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        fitted = sorted((p for p in circuit.parts if p.fitted), key=lambda p: natural(p.ref))
        self.parts: tuple[Part, ...] = tuple(fitted)
        on: dict[str, dict[int, Part]] = {}
        for part in fitted:
            for net in part.nets:
                on.setdefault(net, {})[id(part)] = part
        self._on: Mapping[str, tuple[Part, ...]] = {n: tuple(ps.values()) for n, ps in on.items()}

    @property
    def nets(self) -> tuple[str, ...]:
        """Every net with a fitted part on it, by name."""
        return tuple(sorted(self._on))

    def on(self, net: str | None) -> tuple[Part, ...]:
        """The fitted parts on a net."""
        return self._on.get(net, ()) if net is not None else ()


def two_terminal(part: Part, role: str) -> bool:
    """Whether the part has exactly two nets and is one that is passed through."""
    return len(part.nets) == 2 and (
        role in PASSABLE or (role == "unknown" and len({p.number for p in part.pins}) == 2)
    )


def other_end(part: Part, net: str) -> str | None:
    """The other net of a part on exactly two nets, one of them ``net``."""
    nets = part.nets
    if len(nets) != 2 or net not in nets:
        return None
    return nets[1] if nets[0] == net else nets[0]


def reached(
    start: Iterable[str],
    parts_on: Callable[[str], Iterable[Part]],
    passes: Callable[[Part], bool],
    stops: Collection[str],
) -> frozenset[str]:
    """Nets reached from ``start`` through two-net parts that ``passes``; nets in ``stops`` are
    reached but not left."""
    seen = set(start)
    queue = deque(sorted(seen))
    while queue:
        net = queue.popleft()
        if net in stops:
            continue
        for part in parts_on(net):
            other = other_end(part, net) if passes(part) else None
            if other is not None and other not in seen:
                seen.add(other)
                queue.append(other)
    return frozenset(seen)
