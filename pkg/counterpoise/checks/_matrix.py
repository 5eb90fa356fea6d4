"""Key matrices: a switch and its diode between two lines, all diodes one way."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from counterpoise.checks._contacts import PUSH, terminals
from counterpoise.checks._leds import poles
from counterpoise.checks._pulls import level
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.facts import key_of
from counterpoise.roles.wording import listed

DIODES = ("diode",)
_ON_LEG = (*DIODES, PUSH, "link", "ferrite", "capacitor", "test-point")
"""Roles of parts on a net that a key and its diode have to themselves."""


@dataclass(frozen=True, slots=True)
class Key:
    """One key: current enters at net ``source`` and leaves at net ``sink``; both in no order when
    ``diode`` is None."""

    switch: Part
    diode: Part | None
    source: str
    sink: str


def _line(node: frozenset[str]) -> str:
    """The name that stands for nets which links make one."""
    return sorted(node)[0]


def _diode_keys(
    board: Board, switch: Part, near: frozenset[str], far: frozenset[str]
) -> Iterator[Key | Need]:
    """Keys whose diode hangs on ``near``, where that node is the key's own and no line; ``far`` is
    the switch's other side."""
    here = [part for net in sorted(near) for part in board.on_net(net)]
    if any(board.role(part.ref).name not in _ON_LEG for part in here):
        return
    for diode in (part for part in here if board.role(part.ref).name in DIODES):
        anodes, cathodes, _ = poles(board, diode)
        if not anodes or not cathodes:
            yield Need(
                f"which pad of {diode.ref} is the cathode",
                f'board.toml: [parts.{key_of(diode.ref)}] polarity = "cathode 1"',
            )
            continue
        for pin in diode.pins:
            if pin.net not in near:
                continue
            others = cathodes if pin in anodes else anodes
            for other in others:
                if other.net is None or other.net in near:
                    continue
                ends = _line(far), _line(board.same_node(other.net))
                yield Key(switch, diode, *(ends if pin in anodes else ends[::-1]))


def keys_of(board: Board) -> tuple[list[Key], list[Need]]:
    """Every key that lies between two lines, with its diode or without, and what is not known."""
    keys: list[Key] = []
    needs: list[Need] = []
    for switch in board.parts_as(PUSH):
        nodes = list(dict.fromkeys(n for side in terminals(board, switch) for n in side.nodes))
        if len(nodes) != 2 or any(level(board, _line(node)) for node in nodes):
            continue
        first, second = nodes
        found = [
            *_diode_keys(board, switch, first, second),
            *_diode_keys(board, switch, second, first),
        ]
        needs += [item for item in found if isinstance(item, Need)]
        keys += [item for item in found if isinstance(item, Key)]
        if not found:
            keys.append(Key(switch, None, _line(first), _line(second)))
    return keys, needs


def judge_matrix(board: Board) -> Iterator[Verdict]:
    """The verdicts of ``matrix-diode-direction``, a matrix at a time."""
    keys, needs = keys_of(board)
    for need in dict.fromkeys(needs):
        yield Unknown("", (need,))
    for group in _matrices(keys):
        lines = Counter(net for key in group for net in (key.source, key.sink))
        if len(group) < 3 or sum(count > 1 for count in lines.values()) < 2:
            continue
        with_diode = [key for key in group if key.diode is not None]
        if not with_diode:
            yield from _no_diodes(group)
            continue
        yield from _directions(board, with_diode)
        bare = [key for key in group if key.diode is None]
        if bare and len(with_diode) > len(bare):
            refs = tuple(key.switch.ref for key in bare)
            words = {"keys": listed(refs), "have": "have" if len(refs) > 1 else "has"}
            yield Fail(refs, "bare", words, severity=Severity.CAUTION)


def _matrices(keys: list[Key]) -> list[list[Key]]:
    """Keys grouped by the lines they share."""
    parent: dict[str, str] = {}

    def root(net: str) -> str:
        while parent.setdefault(net, net) != net:
            parent[net] = parent[parent[net]]
            net = parent[net]
        return net

    for key in keys:
        parent[root(key.source)] = root(key.sink)
    groups: dict[str, list[Key]] = {}
    for key in keys:
        groups.setdefault(root(key.source), []).append(key)
    return list(groups.values())


def _directions(board: Board, keys: list[Key]) -> Iterator[Verdict]:
    """Each line should be all source or all sink: a diode against both its lines is the odd one."""
    gives = Counter(key.source for key in keys)
    takes = Counter(key.sink for key in keys)
    for key in keys:
        assert key.diode is not None
        # Its own vote is left out of the count.
        against = takes[key.source] + gives[key.sink]
        alike = gives[key.source] - 1 + takes[key.sink] - 1
        if against <= alike or against < 2:
            yield Pass(key.diode.ref)
            continue
        # Numbered alike, diodes compare even where the numbering itself is only usual.
        like = {(k.diode.footprint, k.diode.symbol) for k in keys if k.diode}
        firm = poles(board, key.diode)[2] or len(like) == 1
        words = {"key": key.switch.ref, "source": key.source, "sink": key.sink}
        subjects = (key.diode.ref, key.switch.ref)
        yield Fail(subjects, "against", words, (key.source, key.sink), firm=firm)


def _no_diodes(keys: list[Key]) -> Iterator[Verdict]:
    """Four keys at the corners of a rectangle show a key that nobody pressed."""
    ends: dict[str, set[str]] = {}
    for key in keys:
        ends.setdefault(key.source, set()).add(key.sink)
        ends.setdefault(key.sink, set()).add(key.source)
    lines = sorted(ends)
    for i, one in enumerate(lines):
        for other in lines[i + 1 :]:
            if len(ends[one] & ends[other]) >= 2:
                refs = tuple(key.switch.ref for key in keys)
                words = {"keys": listed(refs)}
                yield Fail(refs, "none", words, severity=Severity.CAUTION)
                return
    yield Pass(keys[0].switch.ref)
