"""What each part was taken for, as a table for a person and as JSON."""

from __future__ import annotations

from counterpoise.reports._page import Page
from counterpoise.reports._words import count
from counterpoise.reports.json import dump
from counterpoise.roles.explain import PartLine


def render(name: str, lines: list[PartLine], *, width: int = 80, colour: bool = False) -> str:
    """One line a part: ref, role ("?" when not firm), evidence."""
    page = Page(width, colour)
    page.write(name, style="strong")
    page.gap()
    ref = max((len(line.ref) for line in lines), default=0)
    ref = min(ref, 14)
    role = max((len(line.role) for line in lines), default=0) + 1
    for line in lines:
        shown = line.role + ("" if line.firm else "?")
        why = (
            ", ".join(e.partition(": ")[2] for e in line.evidence) or "nothing tells what it is for"
        )
        told = any(line.card in reason for reason in line.evidence)
        card = f" [card: {line.card}]" if line.card and not told else ""
        page.write(
            why + card,
            first=f"{line.ref:{ref}}  {shown:{role}}  ",
            style="" if line.firm else "caution",
        )
    unsure = [line for line in lines if not line.firm]
    if unsure:
        page.gap()
        page.write(
            f"{count(len(unsure), 'role')} marked ? may be wrong. To state one, for example: "
            f"{unsure[0].correction}"
        )
    return page.text()


def render_json(name: str, lines: list[PartLine]) -> str:
    """The same as JSON, schema counterpoise/parts/1."""
    return dump(
        {
            "schema": "counterpoise/parts/1",
            "board": name,
            "parts": [
                {
                    "ref": line.ref,
                    "role": line.role,
                    "firm": line.firm,
                    "evidence": list(line.evidence),
                    "card": line.card,
                    "correct": line.correction,
                }
                for line in lines
            ],
        }
    )
