"""Parts, pins and nets: what is joined to what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType

from counterpoise.model.facts import Origin

NO_FIELDS: Mapping[str, str] = MappingProxyType({})


class PinKind(Enum):
    """The electrical type a symbol gives its pin; UNKNOWN where the file does not say."""

    INPUT = "input"
    OUTPUT = "output"
    BIDIRECTIONAL = "bidirectional"
    TRI_STATE = "tri-state"
    PASSIVE = "passive"
    FREE = "free"
    POWER_IN = "power in"
    POWER_OUT = "power out"
    OPEN_COLLECTOR = "open collector"
    OPEN_EMITTER = "open emitter"
    NO_CONNECT = "no connect"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Pin:
    """One pin of one part. ``net`` is None when nothing is joined to it.

    ``name`` is the symbol's pin name with escapes and overbar marks removed ("RESET", not
    "~{RESET}"), "" when the file gives none. ``marked_open`` means that the drawing says the pin is
    left open on purpose.
    """

    ref: str
    number: str
    net: str | None = None
    name: str = ""
    kind: PinKind = PinKind.UNKNOWN
    marked_open: bool = False

    @property
    def label(self) -> str:
        """How messages name the pin: "U2.5 (PROG)"."""
        extra = f" ({self.name})" if self.name and self.name != self.number else ""
        return f"{self.ref}.{self.number}{extra}"


@dataclass(frozen=True, slots=True)
class Part:
    """One part as the circuit knows it.

    ``value``, ``footprint`` (bare name without its library), ``symbol`` (library part name) and
    ``description`` are the text of the file, "" when absent. ``fields`` holds the user's further
    fields by their own names (order code, tolerance, …). ``fitted`` is False for parts marked not
    to be fitted; ``bought`` is False for parts left out of the BOM on purpose (holes, fiducials,
    copper shapes).
    """

    ref: str
    value: str = ""
    footprint: str = ""
    symbol: str = ""
    description: str = ""
    fields: Mapping[str, str] = field(default_factory=lambda: NO_FIELDS)
    pins: tuple[Pin, ...] = ()
    fitted: bool = True
    bought: bool = True
    sheet: str = ""
    origin: Origin | None = None

    def pin(self, number: str) -> Pin | None:
        """The pin with that number."""
        return next((p for p in self.pins if p.number == number), None)

    @property
    def nets(self) -> tuple[str, ...]:
        """The nets it touches, each once, in pin order."""
        return tuple(dict.fromkeys(p.net for p in self.pins if p.net is not None))


@dataclass(frozen=True, slots=True)
class Net:
    """A net and the pins on it, in file order."""

    name: str
    pins: tuple[Pin, ...] = ()


@dataclass(frozen=True)
class Circuit:
    """All parts and nets. Two parts may share a ref in a faulty file: both are kept, in order.

    ``knows_wiring`` is False for a parts list with no nets at all.
    """

    parts: tuple[Part, ...] = ()
    knows_wiring: bool = True
    _by_ref: Mapping[str, Part] = field(init=False, repr=False, compare=False)
    _nets: Mapping[str, Net] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        by_ref: dict[str, Part] = {}
        nets: dict[str, list[Pin]] = {}
        for part in self.parts:
            by_ref.setdefault(part.ref, part)
            for pin in part.pins:
                if pin.net is not None:
                    nets.setdefault(pin.net, []).append(pin)
        object.__setattr__(self, "_by_ref", MappingProxyType(by_ref))
        joined = {name: Net(name, tuple(pins)) for name, pins in nets.items()}
        object.__setattr__(self, "_nets", MappingProxyType(joined))

    @property
    def nets(self) -> Mapping[str, Net]:
        """Nets by name."""
        return self._nets

    def part(self, ref: str) -> Part | None:
        """The first part with that ref."""
        return self._by_ref.get(ref)

    def pins_on(self, net: str | None) -> tuple[Pin, ...]:
        """The pins on a net; none for an unknown or absent net."""
        found = self._nets.get(net) if net is not None else None
        return found.pins if found else ()
