"""Second look at resistors: 0 Ω is a link."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.model.circuit import Part
from counterpoise.roles.links import reads_zero
from counterpoise.roles.scene import Scene
from counterpoise.roles.votes import Vote

_OVERRULES = 5.0


def votes(part: Part, scene: Scene) -> Iterator[Vote]:
    """Readings from the value of what is otherwise a resistor."""
    if scene.role(part.ref) == "resistor" and reads_zero(part.value):
        yield Vote(("link",), "value", f"value {part.value} is 0 Ω", _OVERRULES)
