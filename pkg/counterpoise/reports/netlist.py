"""A circuit written as a netlist export, in the s-expression form that the reader reads back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from counterpoise.model.circuit import Circuit, Part, Pin, PinKind

VERSION = "E"
"""The export's own version word."""


def render(circuit: Circuit, *, title: str = "", comments: Sequence[str] = ()) -> str:
    """The netlist as text: parts, what is known of their pins, and the nets, in the given order.

    ``comments`` go into the title block. A pin without a net is listed with its part only.
    """
    lines = [f"(export (version {_quoted(VERSION)})", "  (design", '    (tool "counterpoise")']
    block: list[Any] = ["title_block", ["title", title]]
    block += (
        ["comment", ["number", str(n)], ["value", text]] for n, text in enumerate(comments, 1)
    )
    lines += [f'    (sheet (number "1") (name "/") {_text(block)}))']
    lines += _group("components", (_component(part) for part in circuit.parts))
    lines += _group("libparts", (_library(part) for part in circuit.parts if part.pins))
    nets = circuit.nets.values()
    lines += _group("nets", (_net(n, net.name, net.pins) for n, net in enumerate(nets, 1)))
    return "\n".join(lines) + ")\n"


def _group(head: str, entries: Iterable[list[Any]]) -> list[str]:
    body = [f"    {_text(entry)}" for entry in entries]
    return [f"  ({head}", *body[:-1], body[-1] + ")"] if body else [f"  ({head})"]


def _component(part: Part) -> list[Any]:
    fields = [["field", ["name", name], text] for name, text in part.fields.items()]
    made: list[Any] = ["comp", ["ref", part.ref], ["value", part.value or "~"]]
    if part.footprint:
        made.append(["footprint", f"counterpoise:{part.footprint}"])
    if part.description:
        made.append(["description", part.description])
    if fields:
        made.append(["fields", *fields])
    made.append(["libsource", ["lib", part.ref], ["part", part.symbol]])
    flags = (("dnp", not part.fitted), ("exclude_from_bom", not part.bought))
    made += (["property", ["name", name]] for name, set_ in flags if set_)
    return [*made, ["sheetpath", ["names", part.sheet or "/"], ["tstamps", "/"]]]


def _library(part: Part) -> list[Any]:
    """A symbol of each part's own: its library is called by the ref, so that none clash."""
    pins = [
        ["pin", ["num", pin.number], ["name", pin.name], ["type", _kind(pin)]] for pin in part.pins
    ]
    return ["libpart", ["lib", part.ref], ["part", part.symbol], ["pins", *pins]]


def _kind(pin: Pin) -> str:
    word = "unspecified" if pin.kind is PinKind.UNKNOWN else pin.kind.value
    word = word.replace(" ", "_").replace("-", "_")
    open_on_purpose = pin.marked_open and pin.kind is not PinKind.NO_CONNECT
    return f"{word}+no_connect" if open_on_purpose else word


def _net(code: int, name: str, pins: Sequence[Pin]) -> list[Any]:
    nodes = [["node", ["ref", pin.ref], ["pin", pin.number]] for pin in pins]
    return ["net", ["code", str(code)], ["name", name], *nodes]


def _text(tree: list[Any]) -> str:
    """One list as text, the head of each list a bare word and every other text quoted."""
    import sexpdata  # type: ignore[import-untyped]

    def headed(tree: list[Any]) -> list[Any]:
        head, *rest = tree
        tail = (headed(each) if isinstance(each, list) else each for each in rest)
        return [sexpdata.Symbol(head), *tail]

    return str(sexpdata.dumps(headed(tree)))


def _quoted(text: str) -> str:
    return _text(["x", text])[3:-1]
