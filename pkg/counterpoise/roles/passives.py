"""Second look: passives."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.model.circuit import Part
from counterpoise.roles.scene import Scene
from counterpoise.roles.votes import Vote


def votes(part: Part, scene: Scene) -> Iterator[Vote]:
    """Readings from the part's place in the circuit."""
    del part, scene
    yield from ()
