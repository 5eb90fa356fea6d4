"""Second look at converters: what the inductor joins, what the output's name and the code say."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.model.circuit import Part, Pin
from counterpoise.roles.pins import function_by_name, named
from counterpoise.roles.scene import Scene
from counterpoise.roles.voltages import volts_in_code, volts_in_name
from counterpoise.roles.votes import Vote

_CONVERTERS = frozenset({"regulator", "boost", "buck", "buck-boost", "chip", "unknown"})


def votes(part: Part, scene: Scene) -> Iterator[Vote]:
    """Readings from the parts around a chip that may be a converter."""
    if scene.role(part.ref) not in _CONVERTERS or not 3 <= len({p.number for p in part.pins}) <= 20:
        return
    if named(part):
        yield from _by_inductor(part, scene)
        yield from _linear(part, scene)
    elif scene.is_chip(part.ref):
        yield from _without_names(part, scene)


def _far_ends(part: Part, pin: Pin, scene: Scene, role: str) -> set[str]:
    ends: set[str] = set()
    for other in scene.others(part, pin.net):
        if scene.role(other.ref) == role:
            ends |= set(scene.parts[other.ref].nets) - {str(pin.net)}
    return ends


def _by_inductor(part: Part, scene: Scene) -> Iterator[Vote]:
    functions = {p.number: function_by_name(p.name, "boost") for p in part.pins}
    switching = [p for p in part.pins if functions[p.number] == "switch-node" and p.net]
    supply = {p.net for p in part.pins if functions[p.number] == "supply"}
    output = {p.net for p in part.pins if functions[p.number] == "output"}
    feedback = {p.net for p in part.pins if functions[p.number] == "feedback"}
    ends = {n for p in switching for n in _far_ends(part, p, scene, "inductor")}
    if len(switching) == 2 and switching[0].net in ends and switching[1].net in ends:
        yield Vote(("buck-boost",), "shape", "an inductor between its two switching pins")
        return
    if not ends or not (output | feedback):
        return
    if ends & supply:
        yield from _pair("boost", "an inductor from its supply to its switching pin")
    elif ends & output or not ends & scene.grounds:
        yield from _pair("buck", "an inductor from its switching pin to its output")


def _pair(role: str, says: str) -> Iterator[Vote]:
    yield Vote((role,), "shape", says)
    yield Vote((role,), "pins", "pins for switching node and output")


def _linear(part: Part, scene: Scene) -> Iterator[Vote]:
    """Input, output and ground with no switching node: a regulator, or a load switch.

    Only where the code and the output's name agree on a voltage is it the first for sure.
    """
    if len({p.number for p in part.pins}) > 8:
        return
    functions = {p.number: function_by_name(p.name, "regulator") for p in part.pins}
    known = {"supply", "output", "ground", "enable", "feedback", "bypass", "none", "status"}
    found = set(functions.values())
    plain = {p.name.upper() for p in part.pins} & {"IN", "VIN", "VI", "VDD", "INPUT", "VCC"}
    if not {"supply", "output", "ground"} <= found or found - known - {""} or not plain:
        return
    if "" in found:
        return
    yield Vote(("regulator",), "pins", "pins for input, output and ground")
    nets = {p.net for p in part.pins if functions[p.number] == "output" and p.net}
    if "feedback" in found or any(_agrees(part, net) for net in nets):
        yield Vote(
            ("regulator",), "value", f"its code or feedback pin sets a voltage: {part.value}"
        )


def _agrees(part: Part, net: str) -> bool:
    coded, said = volts_in_code(part.value), volts_in_name(net)
    return coded is not None and said is not None and coded in said


def _without_names(part: Part, scene: Scene) -> Iterator[Vote]:
    """The usual five-pin regulator: 1 input, 2 ground, 3 enable, 5 output (SOT-23-5 habit of many
    makers; common practice, no source); or a code and an output's name that agree."""
    numbers = {p.number for p in part.pins}
    nets = {p.number: p.net for p in part.pins}
    if numbers != {"1", "2", "3", "4", "5"} or nets["2"] not in scene.grounds:
        return
    live = [nets["1"], nets["5"]]
    if None in live or nets["1"] == nets["5"] or set(live) & scene.grounds or nets["3"] is None:
        return
    open_four = nets["4"] is None or len(scene.others(part, nets["4"])) <= 1
    enabled = nets["3"] == nets["1"] or _agrees(part, str(nets["5"]))
    if open_four and enabled and "capacitor" in scene.neighbours(part, nets["5"]):
        yield Vote(
            ("regulator",), "shape", "input on pin 1, ground on 2, output on 5 with a capacitor"
        )
