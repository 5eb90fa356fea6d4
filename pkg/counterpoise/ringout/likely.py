"""How likely two pins are joined, from their names and parts: it orders probes, and proves nothing."""

from __future__ import annotations

from collections.abc import Iterable

from counterpoise.ringout.infer import State
from counterpoise.ringout.pins import bits
from counterpoise.roles.board import Board
from counterpoise.roles.pins import spellings

USUAL = 0.02
"""Two pins of which nothing is known."""

_TO_GROUND = {
    "ground": 0.95,
    "capacitor": 0.45,
    "switch": 0.3,
    "resistor": 0.15,
    "plug": 0.25,
    "supply": 0.01,
    "signal": 0.02,
    "other": 0.12,
}
_TO_SUPPLY = {
    "supply": 0.6,
    "capacitor": 0.3,
    "resistor": 0.2,
    "plug": 0.2,
    "ground": 0.01,
    "signal": 0.02,
    "switch": 0.05,
    "other": 0.08,
}
_BY_ROLE = {
    "capacitor": "capacitor",
    "resistor": "resistor",
    "connector": "plug",
    "usb-connector": "plug",
    "cell": "plug",
    "push-switch": "switch",
    "change-over-switch": "switch",
    "slide-switch": "switch",
    "encoder": "switch",
}
_SUPPLIES = ("supply", "output", "rf-supply", "system")
_GROUNDS = ("ground", "shield")


class Likely:
    """Kinds of pins and nets, and the chance that two nets turn out to be one."""

    def __init__(self, state: State, board: Board) -> None:
        self._state = state
        self.kinds = tuple(_kind(state, board, place) for place in range(len(state.pins)))
        self.names = tuple(_name(state, place) for place in range(len(state.pins)))
        self.net_kinds = tuple(self._net_kind(net) for net in state.nets)

    def _net_kind(self, net: int) -> str:
        kinds = {self.kinds[pin] for pin in bits(net)}
        return next((kind for kind in ("ground", "supply") if kind in kinds), "")

    def hubs(self, kind: str) -> list[int]:
        """The nets of that kind (ground or supply), the one with the most pins first."""
        nets = self._state.nets
        found = [place for place, each in enumerate(self.net_kinds) if each == kind]
        return sorted(found, key=lambda place: (-nets[place].bit_count(), place))

    def chance(self, net: int, pin: int) -> float:
        """The chance that a pin lies on a net of another name so far."""
        if self.names[pin] and any(self.names[p] == self.names[pin] for p in bits(self._few(net))):
            return 0.8
        table = {"ground": _TO_GROUND, "supply": _TO_SUPPLY}.get(self.net_kinds[net])
        if table is None:
            own = self._state.pins.of_part[self._state.pins.leads[pin].ref]
            if own & self._state.nets[net]:
                return USUAL / 8
            return USUAL if self._state.nets[net].bit_count() == 1 else USUAL / 2
        if self._own_part(net, pin):
            return 0.02
        return table[self.kinds[pin]]

    def _few(self, net: int) -> int:
        mask = self._state.nets[net]
        return mask if mask.bit_count() <= 8 else 0

    def _own_part(self, net: int, pin: int) -> bool:
        """Whether the other pin of a small part is on the net already."""
        own = self._state.pins.of_part[self._state.pins.leads[pin].ref]
        return own.bit_count() == 2 and bool(own & self._state.nets[net])

    def open_chance(self, net: int, swept: Iterable[int]) -> float:
        """The chance that a net is joined to none of these pins."""
        chance = 1.0
        for pin in swept:
            chance *= 1 - self.chance(net, pin)
        return chance


def _kind(state: State, board: Board, place: int) -> str:
    pin = state.pins.pins[place]
    function = board.function_of(pin)
    if function in _GROUNDS:
        return "ground"
    if function in _SUPPLIES:
        return "supply"
    role = _BY_ROLE.get(board.role(pin.ref).name)
    if role is not None:
        return role
    return "signal" if state.pins.of_part[pin.ref].bit_count() > 6 else "other"


def _name(state: State, place: int) -> str:
    """A pin name that two parts hardly share by chance: a word of three letters or more."""
    pin = state.pins.pins[place]
    name = next(iter(spellings(pin.name)), "")
    telling = len(name) > 2 and name != pin.number and not name.startswith(("PIN", "PAD"))
    return name if telling else ""
