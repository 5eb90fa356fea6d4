"""Links between nets: 0 Ω, net ties, ferrites, and solder jumpers that are bridged as drawn."""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping

from counterpoise.model.circuit import Part

_OPEN = re.compile(r"OPEN|(?<![A-Z])NO(?![A-Z])|NOT_?CONNECTED")
_CLOSED = re.compile(r"BRIDGED?|CLOSED|SHORT|NET_?TIE|(?<![A-Z])NC(?![A-Z])")
_BRIDGED = re.compile(r"BRIDGED?(\d+)")
_ZERO = re.compile(r"0+(\.0+)?\s?(R0*|OHMS?|Ω)?(?![\w.])|R0+\b|0R(?![\d])")


def reads_zero(value: str) -> bool:
    """Whether a value text says 0 Ω."""
    return bool(_ZERO.match(value.strip().upper().replace("\N{OHM SIGN}", "OHM")))


def _texts(part: Part) -> str:
    return f"{part.symbol} {part.footprint} {part.value}".upper()


def closed(part: Part, zero: bool) -> bool | None:
    """Whether a link joins its nets as drawn; None where a jumper's state is not told.

    ``zero``: its value is known to be 0 Ω.
    """
    text = _texts(part)
    if zero or reads_zero(part.value):
        return True
    if _OPEN.search(text):
        return False
    return True if _CLOSED.search(text) else None


def joined_pairs(part: Part, role: str, zero: bool) -> Iterator[tuple[str, str]]:
    """The pairs of nets that a link or ferrite joins."""
    nets = part.nets
    if role == "ferrite" and len(nets) == 2:
        yield nets[0], nets[1]
    if role != "link" or closed(part, zero) is not True:
        return
    bridged = _BRIDGED.search(_texts(part))
    if bridged and len(nets) > 2:
        pins = (part.pin(number) for number in bridged[1])
        nets = tuple(dict.fromkeys(p.net for p in pins if p is not None and p.net is not None))
    elif len(nets) > 2 and "TIE" not in _texts(part):
        return
    for other in nets[1:]:
        yield nets[0], other


class Joints:
    """Which nets are one node."""

    def __init__(
        self, parts: Iterable[Part], role: Callable[[str], str], zero: Callable[[Part], bool]
    ) -> None:
        joined: dict[str, set[str]] = {}
        for part in parts:
            name = role(part.ref)
            if name not in ("link", "ferrite"):
                continue
            for a, b in joined_pairs(part, name, zero(part)):
                joined.setdefault(a, set()).add(b)
                joined.setdefault(b, set()).add(a)
        self._joined: Mapping[str, set[str]] = joined

    def beside(self, net: str) -> frozenset[str]:
        """The nets joined with it by one part."""
        return frozenset(self._joined.get(net, ()))

    def node(self, nets: Iterable[str]) -> frozenset[str]:
        """Every net that is one node with any of these."""
        seen = set(nets)
        queue = deque(seen)
        while queue:
            for other in self._joined.get(queue.popleft(), ()):
                if other not in seen:
                    seen.add(other)
                    queue.append(other)
        return frozenset(seen)
