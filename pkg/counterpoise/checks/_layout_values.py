"""Values that the netlist and the layout give one part."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from counterpoise.checks._bill_values import folded, numbers_differ, read
from counterpoise.model.circuit import Circuit, Part
from counterpoise.model.verdicts import Fail, Severity
from counterpoise.roles.board import Board
from counterpoise.roles.refdes import natural
from counterpoise.roles.wording import listed

_DECIMAL = re.compile(r"(?<=\d)[.,](?=\d)")
_KINDS = ("resistor", "capacitor", "inductor", "crystal", "fuse", "ferrite")


def values_differ(board: Board, netlist: Circuit, drawn: Circuit) -> Iterator[Fail]:
    """One caution for each pair of values that differ after reading units ("4k7" is "4.7 kΩ")."""
    counts = Counter(part.ref for circuit in (netlist, drawn) for part in circuit.parts)
    found: dict[tuple[str, str], list[str]] = {}
    for part in sorted(netlist.parts, key=lambda p: natural(p.ref)):
        other = drawn.part(part.ref)
        if other is not None and counts[part.ref] == 2 and _differ(board, part, other):
            found.setdefault((part.value, other.value), []).append(part.ref)
    for (want, have), refs in found.items():
        words = {
            "refs": listed(refs),
            "are": "are" if len(refs) > 1 else "is",
            "want": want,
            "have": have,
        }
        yield Fail(tuple(refs), "value", words, severity=Severity.CAUTION)


def _differ(board: Board, part: Part, other: Part) -> bool:
    ours, theirs = _folded(part.value), _folded(other.value)
    if not ours or not theirs:
        return False
    role = board.role(part.ref).name
    kind = role if role in _KINDS else None
    a, b = read(part.value, kind), read(other.value, kind)
    return numbers_differ(a, b) if a is not None and b is not None else ours != theirs


def _folded(text: str) -> str:
    """Letters and digits; a decimal mark stays, for 4.7 is not 47."""
    return folded(_DECIMAL.sub("p", text))
