"""What stands before the copper: thickness, layers, stack-up, title, net classes."""

from __future__ import annotations

from dataclasses import dataclass, field

from counterpoise.model.layout import XY, StackLayer
from counterpoise.readers import _names
from counterpoise.readers._board_context import BoardContext, Heads, atom, by_head, words
from counterpoise.readers.sexpr import Node

NEWEST = 20260206
"""The newest version whose changes this reader knows."""


@dataclass(slots=True)
class Header:
    """The board's own facts, gathered as they come."""

    thickness_mm: float | None = None
    stack: tuple[StackLayer, ...] = ()
    finish: str = ""
    origin_mm: XY | None = None
    title: str = ""
    usual_drill: dict[str, float] = field(default_factory=dict)

    def take(self, context: BoardContext, head: str, node: Node) -> bool:
        """Take in one child of the root; False when it is none of the header's.

        Raises:
            InputError: a number is none.
        """
        match head:
            case "version":
                _take_version(context, node)
            case "general":
                self.thickness_mm = _thickness(context, node)
            case "layers":
                context.set_layers(node)
            case "setup":
                self._take_setup(context, by_head(node))
            case "title_block":
                self.title = atom(by_head(node).get("title"), 1)
            case "net":
                context.set_net(node)
            case "net_class":
                self._take_class(context, node)
            case _:
                return False
        return True

    def _take_setup(self, context: BoardContext, heads: Heads) -> None:
        origin = heads.get("aux_axis_origin")
        if origin is not None:
            self.origin_mm = context.xy(origin)
        stackup = heads.get("stackup")
        if stackup is not None:
            self.stack = _stack(context, stackup)
            self.finish = atom(by_head(stackup).get("copper_finish"), 1)

    def _take_class(self, context: BoardContext, node: Node) -> None:
        drill = context.optional(by_head(node), "via_drill")
        if drill is None:
            return
        if atom(node, 1) == "Default":
            self.usual_drill[""] = drill
        for child in node:
            if isinstance(child, Node) and child and child[0] == "add_net":
                self.usual_drill[_names.unescaped(atom(child, 1))] = drill


def _thickness(context: BoardContext, node: Node) -> float | None:
    stated = context.optional(by_head(node), "thickness")
    if stated is not None and stated <= 0:
        context.note(node, f"a thickness of {stated:g} mm is none; left out")
        return None
    return stated


def _take_version(context: BoardContext, node: Node) -> None:
    number = context.number(node, 1) if len(atom(node, 1)) < 7 else _date(context, node)
    context.version = int(number)
    if context.version > NEWEST:
        context.note(node, f"board format {context.version} is newer than {NEWEST}, read as that")


def _date(context: BoardContext, node: Node) -> int:
    text = atom(node, 1)
    if not (text.isascii() and text.isdigit() and len(text) == 8):
        raise context.error(node, f"a format number in (version …), found {text[:40]!r}")
    return int(text)


def _stack(context: BoardContext, stackup: Node) -> tuple[StackLayer, ...]:
    found: list[StackLayer] = []
    for child in stackup:
        if isinstance(child, Node) and child and child[0] == "layer":
            kind = _stack_kind(atom(by_head(child).get("type"), 1))
            name = context.layer(child)
            found.extend(
                _stack_layer(context, name, kind, by_head(part)) for part in _sheets(child)
            )
    return tuple(found)


def _sheets(layer: Node) -> list[Node]:
    """A dielectric may be pressed from several sheets, parted by a bare word."""
    sheets = [Node()]
    for child in layer[2:]:
        if child == "addsublayer":
            sheets.append(Node())
        else:
            sheets[-1].append(child)
    return sheets


def _stack_layer(context: BoardContext, name: str, kind: str, heads: Heads) -> StackLayer:
    return StackLayer(
        name,
        kind,
        context.optional(heads, "thickness"),
        " ".join(words(heads.get("material"))),
        context.optional(heads, "epsilon_r"),
    )


def _stack_kind(written: str) -> str:
    lowered = written.lower()
    for word, kind in (
        ("copper", "copper"),
        ("core", "core"),
        ("prepreg", "prepreg"),
        ("mask", "mask"),
        ("silk", "silk"),
        ("paste", "paste"),
    ):
        if word in lowered:
            return kind
    return "other"
