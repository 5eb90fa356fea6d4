"""Two circuits as one graph: a node a part, a node a net, an edge a pin, labelled by the pin's class."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

Wires: TypeAlias = Sequence[tuple[Hashable, Sequence[tuple[Hashable, Hashable]]]]
"""One circuit: for each part its kind and its (pin class, net) pairs. Pins of one class swap without
electrical meaning. Names of nets mean nothing but that they are equal or not."""

OLD, NEW = 0, 1


@dataclass(frozen=True, slots=True)
class Graph:
    """Both circuits together. Nodes are numbers.

    ``side`` of a node is OLD or NEW; ``beside`` lists its (label, neighbour); ``colour`` is what it
    starts with, equal for parts of one kind and for all nets; ``names`` is the part's place in its
    circuit, or the net as it was given.
    """

    side: list[int]
    beside: list[list[tuple[int, int]]]
    colour: list[int]
    names: list[tuple[bool, Hashable]]

    @classmethod
    def of(cls, old: Wires, new: Wires) -> Graph:
        """The graph of two circuits. Linear in pins."""
        graph = cls([], [], [], [])
        kinds: dict[Hashable, int] = {}
        labels: dict[Hashable, int] = {}
        for side, wires in ((OLD, old), (NEW, new)):
            nets: dict[Hashable, int] = {}
            for place, (kind, pins) in enumerate(wires):
                # Colour 0 is for nets.
                part = graph._add(side, kinds.setdefault(kind, len(kinds) + 1), (True, place))
                for label, net in pins:
                    node = nets.get(net)
                    if node is None:
                        node = nets[net] = graph._add(side, 0, (False, net))
                    number = labels.setdefault(label, len(labels))
                    graph.beside[part].append((number, node))
                    graph.beside[node].append((number, part))
        return graph

    def _add(self, side: int, colour: int, name: tuple[bool, Hashable]) -> int:
        self.side.append(side)
        self.beside.append([])
        self.colour.append(colour)
        self.names.append(name)
        return len(self.side) - 1
