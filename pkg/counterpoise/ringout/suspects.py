"""Which rows, read wrongly, would explain the contradictions."""

from __future__ import annotations

from collections.abc import Iterable

from counterpoise.model.ringout import Contradiction, Suspect
from counterpoise.ringout.contradictions import Adjacent, adjacency, path
from counterpoise.ringout.infer import State

STEPS = 60
"""Rows taken out in turn. A log with more misreadings is to be read again from the start."""

_Clash = tuple[int, int, int]
"""The pins on each side of a reading that holds them apart, and its row."""


def suspects(state: State, found: tuple[Contradiction, ...]) -> tuple[Suspect, ...]:
    """Rows by how many contradictions run through them, the most first.

    The row that most run through is taken out of the log, what is still contradicted is counted
    afresh, and so on: a wrong beep beside another shows once that one is gone. Rows through which
    the very same contradictions run stand together.
    """
    adjacent = adjacency(state)
    clashes: list[_Clash] = [
        (each.a, each.b, each.row)
        for each in state.evidence.aparts
        if state.nets_of(each.a) & state.nets_of(each.b)
    ]
    ranked: list[Suspect] = []
    for _ in range(STEPS):
        through, clashes = _through(adjacent, clashes)
        if not through:
            break
        most = max(len(each) for each in through.values())
        if most == 1 and ranked:
            break
        first = min(row for row, each in through.items() if len(each) == most)
        alike = sorted(row for row, each in through.items() if each == through[first])
        _take_out(adjacent, first)
        left = _through(adjacent, clashes)[1]
        gone = len(clashes) - len([each for each in left if each[2] != first])
        ranked += (Suspect(row, most, gone) for row in alike)
        clashes = [each for each in left if each[2] not in alike]
    ranked += _swept(found)
    return tuple(ranked)


def _through(
    adjacent: Adjacent, clashes: Iterable[_Clash]
) -> tuple[dict[int, set[int]], list[_Clash]]:
    """By row: the contradictions that run through it (by place); and those that still stand."""
    rows: dict[int, set[int]] = {}
    standing: list[_Clash] = []
    for a, b, row in clashes:
        found = path(adjacent, a, b)
        if found is not None:
            for each in (row, *found[1]):
                rows.setdefault(each, set()).add(len(standing))
            standing.append((a, b, row))
    return rows, standing


def _take_out(adjacent: Adjacent, row: int) -> None:
    for pin, links in adjacent.items():
        adjacent[pin] = [link for link in links if link[0] != row]


def _swept(found: tuple[Contradiction, ...]) -> list[Suspect]:
    """The rows about a sweep whose beep no pin can give: any of them may be wrong."""
    swept = [each for each in found if any(lead.swept for lead in each.pins)]
    return [Suspect(row, 1, 1) for each in swept for row in each.rows]
