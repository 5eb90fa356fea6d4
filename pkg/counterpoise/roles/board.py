"""The board as the rules see it: parts by role, pins by function, facts, rails, neighbours.

A rule asks only this object. It knows no file format and no particular board.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from counterpoise.catalog.cards import Card
from counterpoise.model.circuit import Circuit, Part, Pin
from counterpoise.model.design import Design
from counterpoise.model.facts import Need
from counterpoise.model.layout import Layout
from counterpoise.model.manifest import Manifest
from counterpoise.roles.evidence import Known, Role

if TYPE_CHECKING:
    from counterpoise.roles.rails import Rail

T = TypeVar("T")


class Board:
    """One design, understood. Everything is worked out on first use and kept.

    Parts that are not fitted are left out of every answer unless ``all_parts`` is asked.
    """

    def __init__(self, design: Design, cards: Iterable[Card] = ()) -> None:
        """``cards`` are those to match parts against, the user's own first."""
        self.design = design
        self.manifest: Manifest = design.manifest
        self.layout: Layout | None = design.layout
        self.circuit: Circuit = (
            design.circuit if design.circuit is not None else Circuit(knows_wiring=False)
        )
        self._cards = tuple(cards)

        self._memo: dict[str, object] = {}

    def once(self, key: str, work: Callable[[], T]) -> T:
        """The result of ``work``, done the first time ``key`` is asked for (estimates keep theirs here)."""
        if key not in self._memo:
            self._memo[key] = work()
        return self._memo[key]  # type: ignore[return-value]

    # -- parts ----------------------------------------------------------------------------------
    @cached_property
    def roles(self) -> Mapping[str, Role]:
        """The role of every part by ref, unfitted ones too."""
        raise NotImplementedError

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """Fitted parts in natural ref order (R2 before R10)."""
        raise NotImplementedError

    def role(self, ref: str) -> Role:
        """The role of one part; role "unknown" for a ref that is not on the board."""
        raise NotImplementedError

    def parts_as(self, *roles: str) -> tuple[Part, ...]:
        """Fitted parts that have one of the roles, in natural ref order."""
        raise NotImplementedError

    def card(self, ref: str) -> Card | None:
        """The card of a part."""
        raise NotImplementedError

    # -- pins -----------------------------------------------------------------------------------
    def pins_for(self, part: Part, *functions: str) -> tuple[Pin, ...]:
        """The part's pins with one of the functions (``vocabulary.FUNCTIONS``): by manifest, by card
        (numbers where the package is known, else names), by generic pin names for its role."""
        raise NotImplementedError

    def nets_for(self, part: Part, *functions: str) -> tuple[str, ...]:
        """The nets on those pins, each once."""
        raise NotImplementedError

    def function_of(self, pin: Pin) -> str:
        """The pin's function, "" when unknown."""
        raise NotImplementedError

    # -- nets -----------------------------------------------------------------------------------
    @cached_property
    def grounds(self) -> frozenset[str]:
        """Net names taken for ground (0 V reference), analogue and shield grounds included."""
        raise NotImplementedError

    def is_ground(self, net: str | None) -> bool:
        """Whether the net is ground."""
        raise NotImplementedError

    def on_net(self, net: str | None, *roles: str) -> tuple[Part, ...]:
        """Fitted parts with a pin on the net (all roles when none is named), natural ref order."""
        raise NotImplementedError

    def between(self, a: str | None, b: str | None, *roles: str) -> tuple[Part, ...]:
        """Fitted two-terminal parts (of these roles) with one end on net ``a``, the other on ``b``."""
        raise NotImplementedError

    def to_ground(self, net: str | None, *roles: str) -> tuple[Part, ...]:
        """Fitted two-terminal parts from the net to any ground net."""
        raise NotImplementedError

    def across(self, part: Part, net: str) -> str | None:
        """The net at the other end of a two-terminal part; None when it has not exactly two nets."""
        raise NotImplementedError

    def same_node(self, net: str) -> frozenset[str]:
        """The nets that 0 Ω links, closed jumpers, net ties and ferrites make one node with it."""
        raise NotImplementedError

    def reach(self, net: str, *roles: str) -> frozenset[str]:
        """Nets reachable from ``net`` through fitted two-terminal parts of these roles; never goes on
        through a ground net."""
        raise NotImplementedError

    # -- facts ----------------------------------------------------------------------------------
    def known(self, part: Part, key: str) -> Known | Need:
        """A numeric fact of a part (``catalog.facts.FACTS``): stated in the manifest, else by its
        card, else read from its value text (crystal frequency and load, rated voltage …). The need
        names the manifest line to add."""
        raise NotImplementedError

    def text(self, part: Part, key: str) -> str | None:
        """A text fact from manifest or card; None when neither states it."""
        raise NotImplementedError

    def flag(self, part: Part, key: str) -> bool | None:
        """A truth value from manifest or card; None when neither states it."""
        raise NotImplementedError

    def value(self, part: Part) -> Known | Need:
        """Ohms, farads or henries of a resistor, capacitor, inductor (nominal value)."""
        raise NotImplementedError

    # -- supplies -------------------------------------------------------------------------------
    @cached_property
    def rails(self) -> Mapping[str, Rail]:
        """Possible voltage range by net, for the nets whose range could be worked out."""
        raise NotImplementedError

    def volts(self, net: str | None) -> Rail | Need:
        """The range of one net, or the fact that is missing to tell it."""
        raise NotImplementedError

    @cached_property
    def cell(self) -> Part | None:
        """The main cell: as the manifest names it, else the only part taken for one."""
        raise NotImplementedError
