"""What each part was taken for, by which evidence, and the line that corrects it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from counterpoise.roles.facts import stating
from counterpoise.roles.refdes import natural

if TYPE_CHECKING:
    from counterpoise.roles.board import Board


@dataclass(frozen=True, slots=True)
class PartLine:
    """One part as the ``parts`` command shows it.

    ``evidence`` are phrases "kind: what was seen", the weightiest first; ``card`` is the card's
    title, "" without one; ``correction`` is the manifest line that states the role.
    """

    ref: str
    value: str
    role: str
    firm: bool
    evidence: tuple[str, ...]
    card: str
    correction: str
    fitted: bool = True


def explain(board: Board) -> tuple[PartLine, ...]:
    """Every part of the board once, unfitted ones too, in natural ref order."""
    lines = []
    for ref in sorted(board.roles, key=natural):
        part = board.circuit.part(ref)
        role, card = board.role(ref), board.card(ref)
        said = role.name if role.name not in ("unknown", "chip") else "…"
        lines.append(
            PartLine(
                ref=ref,
                value=board.value_text(part) if part is not None else "",
                role=role.name,
                firm=role.firm,
                evidence=tuple(f"{e.source}: {e.says}" for e in role.evidence),
                card=card.title if card is not None else "",
                correction=stating(ref, "role", said),
                fitted=part.fitted if part is not None else True,
            )
        )
    return tuple(lines)
