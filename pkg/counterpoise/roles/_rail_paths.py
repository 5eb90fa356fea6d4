"""How voltage goes on from net to net: nodes made one, and the parts it passes through."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from counterpoise.model.circuit import Part
from counterpoise.roles._rail_level import Level, path_volts, path_words, written
from counterpoise.roles.evidence import Known
from counterpoise.roles.neighbours import PASSABLE
from counterpoise.values.ranges import Range

if TYPE_CHECKING:
    from counterpoise.roles.board import Board

_MERGE_OHMS = 1.0
_SERIES_OHMS = 100.0
_SMOOTHS = 10e-9
_ZERO = Range(0.0, 0.0)
_FIRM_PINS = ("manifest", "card", "pins")


@dataclass(frozen=True, slots=True)
class Edge:
    """A way from one node to another through a part.

    ``drop`` in volts; ``sags``: a load may pull the far end down to 0 V (resistors); ``weak``: does
    not reach a node that has a source of its own.
    """

    to: str
    ref: str
    drop: Range
    sags: bool = False
    weak: bool = True
    firm: bool = True

    def carry(self, level: Level) -> Level:
        """The level at the far end."""
        low = 0.0 if self.sags else round(max(level.volts.low - self.drop.high, 0.0), 6)
        high = max(round(level.volts.high - self.drop.low, 6), low)
        says = level.because if self.drop == _ZERO and not self.sags else ""
        says = says or f"{level.because} less {written(self.drop)}"
        if self.sags:
            says = f"at most what {self.ref} passes of: {level.because}"
        elif f"through {self.ref}" not in says:
            says = f"{says} through {self.ref}"
        return Level(Range(low, high), level.drivers, says, level.firm and self.firm)


class Paths:
    """Nodes and edges of a board. A node is named by its first net."""

    def __init__(self, board: Board) -> None:
        self._board = board
        self._node: dict[str, str] = {}
        self._members: dict[str, frozenset[str]] = {}
        self._merge()
        self.edges: Mapping[str, tuple[Edge, ...]] = self._edges()

    def node(self, net: str) -> str:
        """The node a net belongs to."""
        return self._node.get(net, net)

    def members(self, node: str) -> frozenset[str]:
        """The nets of a node."""
        return self._members.get(node, frozenset((node,)))

    @property
    def nodes(self) -> tuple[str, ...]:
        """Every node, by name."""
        return tuple(sorted(self._members))

    def is_ground(self, node: str) -> bool:
        """Whether the node holds a ground net."""
        return any(self._board.is_ground(net) for net in self.members(node))

    def _merge(self) -> None:
        seen: set[str] = set()
        for net in self._board.wiring.nets:
            if net in seen:
                continue
            group = self._together(net)
            seen |= group
            name = min(group)
            self._members[name] = group
            self._node.update(dict.fromkeys(group, name))

    def _together(self, net: str) -> frozenset[str]:
        group, todo = {net}, [net]
        while todo:
            here = todo.pop()
            if self._board.is_ground(here):
                continue
            for other in self._beside(here):
                if other not in group and not self._board.is_ground(other):
                    group.add(other)
                    todo.append(other)
        return frozenset(group)

    def _beside(self, net: str) -> Iterator[str]:
        yield from sorted(self._board.joints.beside(net))
        for part in self._board.wiring.on(net):
            other = self._board.across(part, net)
            if other is not None and self._joins(part):
                yield other

    def _joins(self, part: Part) -> bool:
        role = self._board.role(part.ref).name
        if role == "inductor":
            return all(self._steady(net) for net in part.nets)
        if role == "resistor":
            ohms = self._board.value(part)
            return isinstance(ohms, Known) and ohms.value.high <= _MERGE_OHMS
        return role == "fuse"

    def _steady(self, net: str) -> bool:
        """Whether a net beside an inductor is a supply: smoothed, and no switching node or RF."""
        functions = {self._board.function_of(p) for p in self._board.circuit.pins_on(net)}
        swings = functions & {"switch-node", "rf", "rf-positive", "rf-negative", "feed"}
        smoothed = any(
            isinstance(size := self._board.value(part), Known) and size.value.high >= _SMOOTHS
            for part in self._board.to_ground(net, "capacitor")
        )
        return smoothed and not swings and not self._board.on_net(net, "transistor")

    def _edges(self) -> Mapping[str, tuple[Edge, ...]]:
        found: dict[str, list[Edge]] = {}
        for part in self._board.parts:
            for start, edge in self._of(part):
                if self.node(start) != edge.to and not self.is_ground(edge.to):
                    found.setdefault(self.node(start), []).append(edge)
        return {node: tuple(edges) for node, edges in found.items()}

    def _of(self, part: Part) -> Iterator[tuple[str, Edge]]:
        role = self._board.role(part.ref).name
        if role == "resistor":
            yield from self._resistor(part)
        elif role == "diode":
            yield from self._diode(part)
        elif role == "slide-switch":
            yield from self._switch(part)
        elif role == "transistor":
            yield from self._transistor(part)

    def _resistor(self, part: Part) -> Iterator[tuple[str, Edge]]:
        if len(part.nets) != 2 or any(self._board.is_ground(n) for n in part.nets):
            return
        ohms = self._board.value(part)
        low = isinstance(ohms, Known) and ohms.value.high <= _SERIES_OHMS
        for a, b in (part.nets, part.nets[::-1]):
            drop = Range(0.0, 0.3) if low else _ZERO
            # A chip on the far end may drive it as well.
            firm = not low and not self._driven(b)
            yield a, Edge(self.node(b), part.ref, drop, sags=not low, firm=firm)

    def _driven(self, net: str) -> bool:
        passive = PASSABLE | {"test-point", "connector", "transistor"}
        return any(self._board.role(p.ref).name not in passive for p in self._board.wiring.on(net))

    def _diode(self, part: Part) -> Iterator[tuple[str, Edge]]:
        board = self._board
        drop = self._forward(part)
        cathodes = board.pins_for(part, "cathode")
        anodes = board.pins_for(part, "anode")
        for anode in anodes:
            for cathode in cathodes:
                if anode.net is None or cathode.net is None:
                    continue
                sure = all(board.function_evidence(p) in _FIRM_PINS for p in (anode, cathode))
                firm = sure and board.role(part.ref).firm
                edge = Edge(self.node(cathode.net), part.ref, drop, weak=False, firm=firm)
                yield anode.net, edge

    def _forward(self, part: Part) -> Range:
        """The drop from next to no current (a data sheet's figure is for much) to full current."""
        words = path_words("schottky_words")
        texts = (part.value, part.symbol, part.description)
        schottky = any(words.search(text.upper()) for text in texts)
        usual = path_volts("schottky" if schottky else "diode")
        stated = self._board.known(part, "forward")
        if not isinstance(stated, Known):
            return usual
        return Range(min(usual.low, stated.value.low), stated.value.high)

    def _switch(self, part: Part) -> Iterator[tuple[str, Edge]]:
        board = self._board
        firm = board.role(part.ref).firm
        commons = board.nets_for(part, "common")
        nets = [n for n in part.nets if not board.is_ground(n)]
        if len(nets) != len(part.nets) and len(nets) < 2:
            return
        if len(commons) == 1 and commons[0] in nets:
            pairs = [(commons[0], n) for n in nets if n != commons[0]]
        else:
            pairs = [(a, b) for i, a in enumerate(nets) for b in nets[i + 1 :]]
            firm = firm and len(nets) == 2
        for a, b in pairs:
            yield a, Edge(self.node(b), part.ref, _ZERO, firm=firm)
            yield b, Edge(self.node(a), part.ref, _ZERO, firm=firm)

    def _transistor(self, part: Part) -> Iterator[tuple[str, Edge]]:
        """A P-channel FET in a supply: on, it drops next to nothing, whichever end is fed."""
        board = self._board
        texts = (part.value, part.symbol, part.description)
        stated = (board.text(part, "polarity") or "").lower()
        words = path_words("p_channel")
        known = stated.startswith("p") or any(words.search(text.upper()) for text in texts)
        ends = [board.nets_for(part, name) for name in ("source", "drain")]
        if not known or any(len(e) != 1 for e in ends):
            return
        (source,), (drain,) = ends
        pins = board.pins_for(part, "source", "drain")
        firm = board.role(part.ref).firm and all(
            board.function_evidence(p) in _FIRM_PINS for p in pins
        )
        for a, b in ((source, drain), (drain, source)):
            yield a, Edge(self.node(b), part.ref, _ZERO, firm=firm)
