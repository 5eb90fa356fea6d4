"""Second look at chargers: the cell on one pin, a resistor to ground on another."""

from __future__ import annotations

import re
from collections.abc import Iterator

from counterpoise.model.circuit import Part
from counterpoise.roles.pins import function_by_name, named, net_leaf
from counterpoise.roles.scene import Scene
from counterpoise.roles.votes import Vote

_BAT = re.compile(r"(?<![A-Z])V?BATT?(?![A-Z])|LIPO")
_SUPPLY = re.compile(r"VBUS|5V|VUSB|VIN|VCHG|CHARGE")


def votes(part: Part, scene: Scene) -> Iterator[Vote]:
    """Readings from what stands on the pins of a small chip."""
    role = scene.role(part.ref)
    if role == "charger":
        yield from _confirmed(part, scene)
    elif role in ("chip", "unknown") and not named(part):
        yield from _five_pins(part, scene)


def _cell_on(part: Part, net: str | None, scene: Scene) -> bool:
    if net is None or net in scene.grounds:
        return False
    return "cell" in scene.neighbours(part, net) or bool(_BAT.search(net_leaf(net)))


def _set_resistor(part: Part, net: str | None, scene: Scene) -> str:
    """The one resistor from a net to ground, "" when anything else is on the net."""
    others = scene.others(part, net)
    if len(others) != 1 or scene.role(others[0].ref) != "resistor":
        return ""
    far = [n for n in scene.parts[others[0].ref].nets if n != net]
    return others[0].ref if far and far[0] in scene.grounds else ""


def _confirmed(part: Part, scene: Scene) -> Iterator[Vote]:
    functions = {p.number: function_by_name(p.name, "charger") for p in part.pins}
    cell = [p for p in part.pins if functions[p.number] == "cell"]
    setting = [p for p in part.pins if functions[p.number] == "set"]
    if any(_cell_on(part, p.net, scene) for p in cell):
        yield Vote(("charger",), "shape", "its cell pin is on the cell's net")
    for pin in setting:
        ref = _set_resistor(part, pin.net, scene)
        if ref:
            yield Vote(("charger",), "shape", f"{ref} from {pin.label} to ground sets its current")


def _five_pins(part: Part, scene: Scene) -> Iterator[Vote]:
    """The usual five-pin charger without pin names: 2 ground, 3 cell, 4 supply, 5 current setting
    (shared by several makers' parts: MCP73831 DS20001984, LTC4054 data sheet; from memory)."""
    if {p.number for p in part.pins} != {"1", "2", "3", "4", "5"}:
        return
    nets = {p.number: p.net for p in part.pins}
    if nets["2"] not in scene.grounds or not _cell_on(part, nets["3"], scene):
        return
    ref = _set_resistor(part, nets["5"], scene)
    supplied = nets["4"] is not None and bool(
        _SUPPLY.search(net_leaf(nets["4"]))
        or scene.neighbours(part, nets["4"]) & {"usb-connector", "fuse", "diode"}
    )
    if ref and supplied:
        yield Vote(("charger",), "shape", f"cell on pin 3, supply on 4, {ref} from 5 to ground")
