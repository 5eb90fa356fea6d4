"""Colour refinement: split groups of like nodes until every group looks alike from everywhere.

A group whose two sides differ in size proves that the circuits differ: no pairing of equal circuits
can pair nodes that refinement tells apart. The worklist takes every new piece of a split group but
the largest, so that the work stays within pins times the logarithm of the nodes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from counterpoise.compare.clock import Clock
from counterpoise.compare.graph import Graph

_CHECK_EVERY = 256


class Unequal(Exception):  # noqa: N818 - an answer, not a mistake
    """A group holds more nodes of one circuit than of the other; ``args[0]`` is the group."""


def refine(
    graph: Graph, colour: dict[int, int], nodes: Iterable[int], clock: Clock
) -> dict[int, set[int]]:
    """The stable groups of ``nodes`` by colour; ``colour`` is brought up to date in place.

    Raises:
        Unequal: the two sides of a group differ in size.
        TimeUp: the time is used up.
    """
    cells: dict[int, set[int]] = defaultdict(set)
    for node in nodes:
        cells[colour[node]].add(node)
    for cell in cells.values():
        _even(cell, graph.side)
    fresh = max(cells, default=0) + 1
    queue = list(cells)
    turns = 0
    while queue:
        turns += 1
        if turns % _CHECK_EVERY == 0:
            clock.check()
        cell = cells[queue.pop()]
        for target, groups in _seen_from(graph, colour, cell).items():
            for piece in _pieces(cells[target], groups):
                _even(piece, graph.side)
                for node in piece:
                    colour[node] = fresh
                cells[target] -= piece
                cells[fresh] = piece
                queue.append(fresh)
                fresh += 1
    return cells


def _seen_from(
    graph: Graph, colour: dict[int, int], cell: set[int]
) -> dict[int, dict[object, list[int]]]:
    """For every group that ``cell`` touches: its touched nodes by the labels that lead to them."""
    hits: dict[int, list[int]] = {}
    for node in cell:
        for label, other in graph.beside[node]:
            if other in colour:
                found = hits.get(other)
                if found is None:
                    hits[other] = [label]
                else:
                    found.append(label)
    touched: dict[int, dict[object, list[int]]] = {}
    for node, labels in hits.items():
        key: object = labels[0] if len(labels) == 1 else tuple(sorted(labels))
        touched.setdefault(colour[node], {}).setdefault(key, []).append(node)
    return touched


def _pieces(cell: set[int], groups: dict[object, list[int]]) -> list[set[int]]:
    """The pieces to take off a group: all but the largest, which keeps the group's colour."""
    pieces = [set(group) for group in groups.values()]
    rest = len(cell) - sum(map(len, pieces))
    pieces.sort(key=len)
    if rest == 0:
        pieces.pop()
    elif len(pieces[-1]) > rest:
        largest = pieces.pop()
        pieces.append(cell.difference(largest, *pieces))
    return pieces


def _even(cell: set[int], side: list[int]) -> None:
    # What stays of a group is even whenever the pieces taken off it are.
    if 2 * sum([side[node] for node in cell]) != len(cell):
        raise Unequal(cell)
