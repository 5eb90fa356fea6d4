"""Are two circuits the same but for names and order? An exact answer, with its mapping.

Both circuits are refined together. Nodes that are told apart from all others are settled; with them
taken away the rest falls into pieces. A piece can only pair with a piece of the same colours: one node
of its rarest colour is fixed, the pieces are refined again, and so on. Each piece is matched once: if
it pairs with several, these are alike among themselves, so that the first is as good as any.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field

from counterpoise.compare.clock import Clock, TimeUp
from counterpoise.compare.graph import NEW, OLD, Graph, Wires
from counterpoise.compare.refine import Unequal, refine
from counterpoise.compare.verify import flaw

SAME, DIFFERENT, UNKNOWN = "same", "different", "unknown"
_LEVELS = 200

Pairs = list[tuple[int, int]]


@dataclass(frozen=True)
class Proof:
    """The answer.

    ``parts`` and ``nets`` map old to new: all of them when the verdict is same (and then the checker
    has passed them), those settled so far when it is unknown, none when it is different.
    """

    verdict: str
    parts: Mapping[int, int] = field(default_factory=dict)
    nets: Mapping[Hashable, Hashable] = field(default_factory=dict)


def prove(old: Wires, new: Wires, clock: Clock) -> Proof:
    """Compare two circuits exactly, or say honestly that time ran out.

    Raises:
        AssertionError: the mapping found does not pass the checker (a fault in here, never the
            user's).
    """
    graph = Graph.of(old, new)
    search = _Search(graph, clock)
    colour = dict(enumerate(graph.colour))
    try:
        found = search.solve(range(len(graph.side)), colour, 0)
    except TimeUp:
        return Proof(UNKNOWN, *_named(graph, search.settled))
    if found is None:
        return Proof(DIFFERENT)
    parts, nets = _named(graph, found)
    wrong = flaw(old, new, parts, nets)
    if wrong:
        raise AssertionError(f"the pairing found does not hold: {wrong}")
    return Proof(SAME, parts, nets)


def _named(graph: Graph, pairs: Pairs) -> tuple[dict[int, int], dict[Hashable, Hashable]]:
    parts: dict[int, int] = {}
    nets: dict[Hashable, Hashable] = {}
    for a, b in pairs:
        (is_part, old), (_, new) = graph.names[a], graph.names[b]
        if is_part:
            assert isinstance(old, int)
            assert isinstance(new, int)
            parts[old] = new
        else:
            nets[old] = new
    return parts, nets


class _Search:
    def __init__(self, graph: Graph, clock: Clock) -> None:
        self._graph = graph
        self._clock = clock
        self.settled: Pairs = []

    def solve(self, nodes: Iterable[int], colour: dict[int, int], level: int) -> Pairs | None:
        """Pairs of all nodes, None when the two sides cannot be paired."""
        if level > _LEVELS:
            raise TimeUp
        try:
            cells = refine(self._graph, colour, nodes, self._clock)
        except Unequal:
            return None
        pairs, rest = self._settle(cells.values())
        if level == 0:
            self.settled = list(pairs)
        for ours, theirs in self._pieces(rest, colour):
            found = self._match(ours, theirs, colour, level) if len(ours) == len(theirs) else None
            if found is None:
                return None
            pairs += found
        return pairs

    def _settle(self, cells: Iterable[set[int]]) -> tuple[Pairs, set[int]]:
        pairs: Pairs = []
        rest: set[int] = set()
        for cell in cells:
            if len(cell) == 2:
                a, b = cell
                pairs.append((a, b) if self._graph.side[a] == OLD else (b, a))
            else:
                rest |= cell
        return pairs, rest

    def _pieces(
        self, rest: set[int], colour: dict[int, int]
    ) -> list[tuple[list[list[int]], list[list[int]]]]:
        """What hangs together once settled nodes are gone, by its colours, each side's."""
        alike: dict[tuple[int, ...], tuple[list[list[int]], list[list[int]]]] = defaultdict(
            lambda: ([], [])
        )
        seen: set[int] = set()
        for start in sorted(rest):
            if start in seen:
                continue
            seen.add(start)
            piece = [start]
            for node in piece:
                for _, other in self._graph.beside[node]:
                    if other in rest and other not in seen:
                        seen.add(other)
                        piece.append(other)
            key = tuple(sorted([colour[node] for node in piece]))
            alike[key][self._graph.side[start]].append(piece)
        return list(alike.values())

    def _match(
        self, ours: list[list[int]], theirs: list[list[int]], colour: dict[int, int], level: int
    ) -> Pairs | None:
        left = list(reversed(theirs))
        pairs: Pairs = []
        for piece in ours:
            if len(piece) == 1:
                pairs.append((piece[0], left.pop()[0]))
                continue
            for place in range(len(left) - 1, -1, -1):
                found = self._pair(piece, left[place], colour, level)
                if found is not None:
                    pairs += found
                    del left[place]
                    break
            else:
                return None
        return pairs

    def _pair(
        self, ours: list[int], theirs: list[int], colour: dict[int, int], level: int
    ) -> Pairs | None:
        """Fix one node of the rarest colour of a piece, try each of that colour in the other."""
        count = Counter(colour[node] for node in ours)
        rarest = min(count, key=lambda c: (count[c], c))
        fixed = next(node for node in ours if colour[node] == rarest)
        nodes = [*ours, *theirs]
        for other in theirs:
            if colour[other] != rarest:
                continue
            self._clock.spend()
            own = {node: colour[node] for node in nodes}
            own[fixed] = own[other] = max(own.values()) + 1
            found = self.solve(nodes, own, level + 1)
            if found is not None:
                return found
        return None


__all__ = ["DIFFERENT", "NEW", "OLD", "SAME", "UNKNOWN", "Proof", "prove"]
