"""The board file: the whole drawing, and the circuit as it is drawn."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from counterpoise.model.circuit import Circuit, Part
from counterpoise.model.layout import Drawing, Footprint, Layout, Track, Via, Zone
from counterpoise.readers import sexpr
from counterpoise.readers._board_context import BoardContext
from counterpoise.readers._board_copper import read_arc, read_segment, read_via, read_zone
from counterpoise.readers._board_footprints import read_footprint
from counterpoise.readers._board_header import Header
from counterpoise.readers._board_shapes import drawing
from counterpoise.readers._reading import Reading
from counterpoise.readers._source import Source
from counterpoise.readers.sexpr import Node

KIND = "layout"
_ROOT = "kicad_pcb"


def sniff(head: bytes) -> bool:
    """Whether the first bytes of a file look like a board."""
    return sexpr.root_word(head) == _ROOT


def read(source: Source) -> Reading:
    """Read a board into a layout and the circuit it draws.

    Raises:
        InputError: it is not a board, is cut short, or something lacks its place, size or number.
    """
    sexpr.check_root(source, _ROOT, "a board")
    board = _Board(BoardContext(source))
    with _without_collection():
        for child in sexpr.children(source, points=True):
            if child and isinstance(child[0], str):
                board.take(child[0], child)
        board.catch_up()
    circuit = Circuit(tuple(board.parts), knows_wiring=True)
    return Reading(KIND, circuit, board.layout(), notes=tuple(board.context.notes))


@contextmanager
def _without_collection() -> Iterator[None]:
    # Nothing read makes a cycle, and looking for one in a growing tree costs a quarter of the time.
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@dataclass(slots=True)
class _Board:
    context: BoardContext
    header: Header = field(default_factory=Header)
    footprints: list[Footprint] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    drawings: list[Drawing] = field(default_factory=list)
    tracks: list[Track] = field(default_factory=list)
    vias: list[Via] = field(default_factory=list)
    zones: list[Zone] = field(default_factory=list)
    waiting: list[tuple[str, Node]] = field(default_factory=list)

    def take(self, head: str, node: Node) -> None:
        """Take in one child of the root; copper waits until layers and nets are known."""
        if self.header.take(self.context, head, node):
            return
        if head in _DRAWN or head.startswith("gr_"):
            if self.waiting or not (self.context.copper and self.context.knows_nets):
                self.waiting.append((head, node))
            else:
                self._take_drawn(head, node)

    def catch_up(self) -> None:
        """Take in what waited: the whole file has been seen."""
        for head, node in self.waiting:
            self._take_drawn(head, node)
        self.waiting.clear()

    def layout(self) -> Layout:
        """The drawing, once all is taken in."""
        header = self.header
        return Layout(
            tuple(self.footprints),
            tuple(self.drawings),
            tuple(self.tracks),
            tuple(self.vias),
            tuple(self.zones),
            self.context.copper,
            header.stack,
            header.thickness_mm,
            header.finish,
            header.origin_mm,
            header.title,
            tuple(sorted(self.context.net_names)),
        )

    def _take_drawn(self, head: str, node: Node) -> None:
        context = self.context
        if head == "segment":
            self.tracks.append(read_segment(context, node))
        elif head == "via":
            self.vias.append(read_via(context, node, self.header.usual_drill))
        elif head == "zone":
            self.zones.append(read_zone(context, node))
        elif head == "arc":
            self.tracks.append(read_arc(context, node))
        elif head in ("footprint", "module"):
            self._take_footprint(node)
        else:
            found = drawing(context, node, head[3:])
            if found is not None:
                self.drawings.append(found)

    def _take_footprint(self, node: Node) -> None:
        read = read_footprint(self.context, node)
        self.footprints.append(read.footprint)
        self.zones.extend(read.zones)
        if read.part is not None:
            self.parts.append(read.part)


_DRAWN = frozenset(("footprint", "module", "segment", "arc", "via", "zone"))
