"""Second look at connectors: which of them is the cell's, which USB, which only guards USB."""

from __future__ import annotations

import re
from collections.abc import Iterator

from counterpoise.model.circuit import Part
from counterpoise.roles.pins import function_by_name, net_leaf
from counterpoise.roles.scene import Scene
from counterpoise.roles.votes import Vote

_BAT = re.compile(r"(?<![A-Z])(V?BATT?(ERY)?|LIPO|VCELL|CELL|B)(\+|_?POS|_?IN|_?P)?(?![A-Z])")
_DATA = frozenset({"usb-positive", "usb-negative"})
_STRONG, _SURE = 2.0, 1.7


def votes(part: Part, scene: Scene) -> Iterator[Vote]:
    """Readings from the nets a connector joins."""
    role = scene.role(part.ref)
    if role in ("connector", "unknown"):
        yield from _cell(part, scene)
        yield from _usb(part)
    if role in ("usb-connector", "chip", "clamp", "unknown"):
        yield from _guard(part, scene)


def _cell(part: Part, scene: Scene) -> Iterator[Vote]:
    """Two nets, one ground, the other to a charger's cell pin or named after a battery."""
    live = [n for n in part.nets if n not in scene.grounds]
    if len(live) != 1 or len(part.nets) != 2 or len({p.number for p in part.pins}) > 4:
        return
    if not any("cell" in v.roles for v in scene.own.get(part.ref, ())):
        return
    for pin in scene.others(part, live[0]):
        if scene.role(pin.ref) in ("charger", "protector") and (
            function_by_name(pin.name, "charger") == "cell"
        ):
            yield Vote(("cell",), "shape", f"on the cell pin of {pin.ref}", _STRONG)
            break
    leaf = net_leaf(live[0])
    if _BAT.search(leaf) and not leaf.startswith(("NET-(", "VBUS")):
        yield Vote(("cell",), "nets", f"on the nets {live[0]} and ground", _STRONG)


def _usb(part: Part) -> Iterator[Vote]:
    """By net names, the last resort."""
    leaves = {re.sub(r"^[/_]|^USB_?", "", net_leaf(n)) for n in part.nets}
    plus = leaves & {"D+", "DP", "D_P"}
    minus = leaves & {"D-", "DN", "DM", "D_N"}
    supply = {n for n in leaves if "VBUS" in n or n in ("+5V", "5V", "VUSB")}
    if plus and minus and supply and len({p.number for p in part.pins}) <= 24:
        yield Vote(("usb-connector",), "nets", "nets VBUS, D+ and D-", _SURE)


def _guard(part: Part, scene: Scene) -> Iterator[Vote]:
    """A small part whose data pins stand on a USB connector's data nets and which has pins for two
    lines and supply only: a surge clamp."""
    pads = {p.number for p in part.pins}
    if (
        not 4 <= len(pads) <= 10
        or scene.says(part.ref, "footprint")
        or scene.says(part.ref, "value")
    ):
        return
    functions = {p.number: function_by_name(p.name, "usb-connector") for p in part.pins if p.name}
    data = {p.net for p in part.pins if functions.get(p.number) in _DATA and p.net}
    rest = set(functions.values()) - _DATA - {"vbus", "ground", "none", "shield"}
    if len(data) < 2 or rest:
        return
    sockets = {
        q.ref for n in data for q in scene.others(part, n) if scene.role(q.ref) == "usb-connector"
    }
    if any(scene.roles[ref].firm for ref in sockets):
        first = min(sockets)
        yield Vote(("clamp",), "shape", f"on the data lines of {first}", _SURE)
