"""Second look at radios: chips whose pins lead to an antenna through matching parts."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator

from counterpoise.model.circuit import Part
from counterpoise.roles.pins import function_by_name
from counterpoise.roles.scene import Scene
from counterpoise.roles.votes import Vote

_ANTENNAS = frozenset({"antenna", "antenna-connector"})
_MATCHING = frozenset({"inductor", "capacitor", "link", "resistor", "balun", "ferrite"})
_RF = frozenset({"rf", "rf-positive", "rf-negative"})
_OSCILLATOR = frozenset({"oscillator-in", "oscillator-out"})
_MANY, _FAR = 16, 6


def votes(part: Part, scene: Scene) -> Iterator[Vote]:
    """Readings from what the RF pins, or in default of names any pin, lead to."""
    if scene.role(part.ref) not in ("chip", "controller", "radio", "unknown"):
        return
    functions = {p.number: function_by_name(p.name, "radio") for p in part.pins if p.name}
    pads = {p.number for p in part.pins}
    rf = [p for p in part.pins if functions.get(p.number) in _RF and p.net]
    big = len(pads) >= _MANY or bool(_OSCILLATOR & set(functions.values()))
    if not big or not scene.is_chip(part.ref):
        return
    for pin in rf:
        found = _antenna_from(part, str(pin.net), scene)
        if found:
            yield Vote(("radio",), "shape", f"{pin.label} leads to {found}")
            return
    if not functions and len(pads) >= _MANY:
        yield from _without_names(part, scene)


def _without_names(part: Part, scene: Scene) -> Iterator[Vote]:
    for net in part.nets:
        # A supply net leads everywhere; a feed has few parts on it.
        if net in scene.grounds or len(scene.circuit.pins_on(net)) > 5:
            continue
        found = _antenna_from(part, net, scene)
        if found:
            yield Vote(("radio",), "shape", f"a pin leads to {found} through matching parts")
            return


def _antenna_from(part: Part, start: str, scene: Scene) -> str:
    """The antenna reached from a net through at most six matching parts, "" for none."""
    seen, queue = {start}, deque([(start, 0)])
    while queue:
        net, far = queue.popleft()
        for pin in sorted(scene.others(part, net), key=lambda p: p.ref):
            role = scene.role(pin.ref)
            if role in _ANTENNAS:
                return pin.ref
            if role not in _MATCHING or far >= _FAR:
                continue
            for other in scene.parts[pin.ref].nets:
                few = len(scene.circuit.pins_on(other)) <= 8
                if other not in seen and other not in scene.grounds and few:
                    seen.add(other)
                    queue.append((other, far + 1))
    return ""
