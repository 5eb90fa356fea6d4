"""Second look at crystals, resonators and oscillators: by the pins and nets they stand on."""

from __future__ import annotations

import re
from collections.abc import Iterator

from counterpoise.model.circuit import Part
from counterpoise.roles.pins import net_leaf
from counterpoise.roles.scene import Scene
from counterpoise.roles.votes import Vote
from counterpoise.roles.words import frequency_hz

_OSCILLATOR = frozenset(
    {"oscillator-in", "oscillator-out", "slow-oscillator-in", "slow-oscillator-out"}
)
_NETS = re.compile(
    r"(?<![A-Z])(XTAL|XIN|XOUT|XI|XO|OSC|OSC32|X32K|XL1|XL2|XC1|XC2|32K|HSE|LSE)(?![A-Z])"
)
_SUPPLY_NAME = re.compile(r"V(CC|DD|S|\+)|\+?V(CC|DD)IO|VSUPPLY")
_OUTPUT_NAME = re.compile(r"(CLK_?)?OUT(PUT|P|N|\d)?|CLK|Q")
_FITS = frozenset({"crystal", "unknown"})


def _may_be(part: Part, scene: Scene) -> bool:
    """Whether nothing speaks against a crystal: few pins, and no word that means another part."""
    pads = {p.number for p in part.pins}
    return 2 <= len(pads) <= 4 and all(_FITS & set(v.roles) for v in scene.own.get(part.ref, ()))


def _live(part: Part, scene: Scene) -> tuple[str, ...]:
    return tuple(n for n in part.nets if n not in scene.grounds)


def _on_oscillator(part: Part, net: str, scene: Scene) -> bool:
    """Whether a chip's oscillator pin is on the net, or behind one series resistor."""
    if scene.functions_on(part, net) & _OSCILLATOR:
        return True
    for pin in scene.others(part, net):
        other = scene.parts[pin.ref]
        if scene.role(pin.ref) == "resistor" and len(other.nets) == 2:
            (far,) = (n for n in other.nets if n != net) if len(set(other.nets)) == 2 else (net,)
            if scene.functions_on(other, far) & _OSCILLATOR:
                return True
    return False


def _named_as_oscillator(part: Part, scene: Scene) -> bool:
    """Whether its pins are those of an oscillator: of a part that may be one, since regulators and
    sensors have a supply and an output too."""
    if not any("oscillator" in vote.roles for vote in scene.own.get(part.ref, ())):
        return False
    names = [pin.name.upper() for pin in part.pins]
    return any(map(_SUPPLY_NAME.fullmatch, names)) and any(map(_OUTPUT_NAME.fullmatch, names))


def votes(part: Part, scene: Scene) -> Iterator[Vote]:
    """Readings from the nets: both ends on oscillator pins, or a supply of its own."""
    live = _live(part, scene)
    if _named_as_oscillator(part, scene):
        yield Vote(("oscillator",), "pins", "pins for a supply and for an output")
        return
    pads = {p.number for p in part.pins}
    if frequency_hz(part.value.strip()) and len(pads) == 4 and len(live) >= 2:
        ground = [p for p in part.pins if p.net in scene.grounds]
        apart = len(live) == len({p.net for p in part.pins if p.net}) - 1
        if len(ground) == 1 and apart and not any(_on_oscillator(part, n, scene) for n in live):
            says = "one pad on ground, the others on nets of their own"
            yield Vote(("oscillator",), "shape", says, 1.5)
    if len(live) != 2 or not _may_be(part, scene):
        return
    if all(_on_oscillator(part, net, scene) for net in live):
        yield Vote(("crystal", "resonator"), "shape", "between a chip's two oscillator pins")
    elif all(_NETS.search(net_leaf(net)) for net in live):
        yield Vote(("crystal", "resonator"), "nets", f"on the nets {' and '.join(live)}")
