"""The board as the rules see it: parts by role, pins by function, facts, rails, neighbours.

A rule asks only this object. It knows no file format and no particular board.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from counterpoise.catalog.cards import Card, CardFact
from counterpoise.model.circuit import Circuit, Part, Pin
from counterpoise.model.design import Design
from counterpoise.model.facts import Need
from counterpoise.model.layout import Layout
from counterpoise.model.manifest import Manifest
from counterpoise.roles import facts as _facts
from counterpoise.roles.assign import Assigned, assign
from counterpoise.roles.evidence import Known, Role
from counterpoise.roles.grounds import first_grounds
from counterpoise.roles.links import Joints
from counterpoise.roles.neighbours import Wiring, other_end, reached, two_terminal

if TYPE_CHECKING:
    from counterpoise.catalog.fab import Profile
    from counterpoise.roles.rails import Rail

T = TypeVar("T")

_UNKNOWN = Role("unknown")


class Board:
    """One design, understood. Everything is worked out on first use and kept.

    Parts that are not fitted are left out of every answer unless ``all_parts`` is asked.
    """

    def __init__(
        self,
        design: Design,
        cards: Iterable[Card] = (),
        profiles: Mapping[str, Profile] | None = None,
    ) -> None:
        """``cards`` are those to match parts against, the user's own first; ``profiles`` the user's
        own fabrication profiles by name."""
        self.design = design
        self.manifest: Manifest = design.manifest
        self.layout: Layout | None = design.layout
        self.circuit: Circuit = (
            design.circuit if design.circuit is not None else Circuit(knows_wiring=False)
        )
        self._cards = tuple(cards)
        self.profiles: Mapping[str, Profile] = profiles or {}

        self._memo: dict[str, object] = {}
        self._parts_as: dict[tuple[str, ...], tuple[Part, ...]] = {}
        self._on_net: dict[tuple[str | None, ...], tuple[Part, ...]] = {}

    def revised(self, design: Design) -> Board:
        """The board that another design would make, understood with the same cards."""
        return Board(design, self._cards, self.profiles)

    def once(self, key: str, work: Callable[[], T]) -> T:
        """The result of ``work``, done the first time ``key`` is asked for."""
        if key not in self._memo:
            self._memo[key] = work()
        return self._memo[key]  # type: ignore[return-value]

    # -- parts ----------------------------------------------------------------------------------
    @cached_property
    def assigned(self) -> Assigned:
        """Roles, cards and pin functions, worked out together."""
        return assign(self.circuit, self.manifest, self._cards, self.design.bom)

    @property
    def roles(self) -> Mapping[str, Role]:
        """The role of every part by ref, unfitted ones too."""
        return self.assigned.roles

    @cached_property
    def wiring(self) -> Wiring:
        """The fitted parts by net."""
        return Wiring(self.circuit)

    @property
    def parts(self) -> tuple[Part, ...]:
        """Fitted parts in natural ref order (R2 before R10)."""
        return self.wiring.parts

    @property
    def all_parts(self) -> tuple[Part, ...]:
        """Every part, unfitted ones too, as the circuit has them."""
        return self.circuit.parts

    def role(self, ref: str) -> Role:
        """The role of one part; role "unknown" for a ref that is not on the board."""
        return self.roles.get(ref, _UNKNOWN)

    def parts_as(self, *roles: str) -> tuple[Part, ...]:
        """Fitted parts that have one of the roles, in natural ref order."""
        if roles not in self._parts_as:
            found = tuple(p for p in self.parts if self.role(p.ref).name in roles)
            self._parts_as[roles] = found
        return self._parts_as[roles]

    def card(self, ref: str) -> Card | None:
        """The card of a part."""
        found = self.assigned.cards.get(ref)
        return found[0] if found else None

    def order_code(self, ref: str) -> str:
        """The order code under which the part's card was found, "" without a card."""
        found = self.assigned.cards.get(ref)
        return found[1] if found else ""

    # -- pins -----------------------------------------------------------------------------------
    def pins_for(self, part: Part, *functions: str) -> tuple[Pin, ...]:
        """The part's pins with one of the functions (``vocabulary.FUNCTIONS``).

        By manifest, by card (numbers where the package is known, else names), by generic pin names
        for its role.
        """
        return tuple(pin for pin in part.pins if self.function_of(pin) in functions)

    def nets_for(self, part: Part, *functions: str) -> tuple[str, ...]:
        """The nets on those pins, each once."""
        nets = (pin.net for pin in self.pins_for(part, *functions) if pin.net is not None)
        return tuple(dict.fromkeys(nets))

    def function_of(self, pin: Pin) -> str:
        """The pin's function, "" when unknown."""
        found = self.assigned.functions.get(pin.ref)
        return found.get(pin.number, ("", ""))[0] if found else ""

    def function_evidence(self, pin: Pin) -> str:
        """The kind of evidence (``evidence.SOURCES``) a pin's function rests on, "" when unknown.
        Only "manifest", "card" and "pins" (its name, or a standard's numbering) are firm."""
        found = self.assigned.functions.get(pin.ref)
        return found.get(pin.number, ("", ""))[1] if found else ""

    # -- nets -----------------------------------------------------------------------------------
    @cached_property
    def grounds(self) -> frozenset[str]:
        """Net names taken for ground (0 V reference), analogue and shield grounds included."""
        found = first_grounds(self.circuit)
        if not found:
            found = self._cell_ground()
        return self.joints.node(found)

    def _cell_ground(self) -> frozenset[str]:
        minus = {n for part in self.parts_as("cell") for n in self.nets_for(part, "minus")}
        minus |= {n for p in self.parts_as("usb-connector") for n in self.nets_for(p, "ground")}
        return frozenset(minus) if len(minus) == 1 else frozenset()

    def is_ground(self, net: str | None) -> bool:
        """Whether the net is ground."""
        return net is not None and net in self.grounds

    def on_net(self, net: str | None, *roles: str) -> tuple[Part, ...]:
        """Fitted parts with a pin on the net (all roles when none is named), natural ref order."""
        if not roles:
            return self.wiring.on(net)
        key = (net, *roles)
        if key not in self._on_net:
            found = tuple(p for p in self.wiring.on(net) if self.role(p.ref).name in roles)
            self._on_net[key] = found
        return self._on_net[key]

    def between(self, a: str | None, b: str | None, *roles: str) -> tuple[Part, ...]:
        """Fitted two-terminal parts (of these roles) from net ``a`` to net ``b``."""
        if a is None or b is None or a == b:
            return ()
        fewest = min(self.wiring.on(a), self.wiring.on(b), key=len)
        return tuple(
            p
            for p in fewest
            if set(p.nets) == {a, b} and self._is_two(p) and self._has_role(p, roles)
        )

    def _has_role(self, part: Part, roles: tuple[str, ...]) -> bool:
        return not roles or self.role(part.ref).name in roles

    def _is_two(self, part: Part) -> bool:
        return two_terminal(part, self.role(part.ref).name)

    def to_ground(self, net: str | None, *roles: str) -> tuple[Part, ...]:
        """Fitted two-terminal parts from the net to any ground net."""
        if net is None or net in self.grounds:
            return ()
        return tuple(
            p
            for p in self.wiring.on(net)
            if self._has_role(p, roles) and self._is_two(p) and other_end(p, net) in self.grounds
        )

    def across(self, part: Part, net: str) -> str | None:
        """The net at a two-terminal part's other end; None when it has not exactly two nets."""
        return other_end(part, net)

    @cached_property
    def joints(self) -> Joints:
        """The links and ferrites that are fitted and closed."""
        return Joints(self.parts, lambda ref: self.role(ref).name, self._is_zero)

    def _is_zero(self, part: Part) -> bool:
        ohms = self.known(part, "resistance")
        return isinstance(ohms, Known) and ohms.value.high <= 0

    def same_node(self, net: str) -> frozenset[str]:
        """The nets that 0 Ω links, closed jumpers, net ties and ferrites make one node with it."""
        return self.joints.node((net,))

    def reach(self, net: str, *roles: str) -> frozenset[str]:
        """Nets reached from ``net`` through fitted two-terminal parts of these roles.

        A ground net is reached but never gone on from.
        """
        return reached(
            [net],
            self.wiring.on,
            lambda p: self._has_role(p, roles) and self._is_two(p),
            self.grounds,
        )

    # -- facts ----------------------------------------------------------------------------------
    def _card_facts(self, part: Part) -> Mapping[str, CardFact]:
        found = self.assigned.cards.get(part.ref)
        return self.once(
            f"facts of {part.ref}", lambda: found[0].facts_for(found[1]) if found else {}
        )

    def value_text(self, part: Part) -> str:
        """The part's value as written, or its BOM row's where the part itself has none."""
        if part.value.strip() not in ("", "~", "-"):
            return part.value
        lines = self.design.bom.lines if self.design.bom else ()
        return next((line.value for line in lines if part.ref in line.refs), "")

    def known(self, part: Part, key: str) -> Known | Need:
        """A numeric fact of a part (``catalog.facts.FACTS``): stated in the manifest, else by its
        card, else read from its value text (crystal frequency and load, rated voltage …). The need
        names the manifest line to add."""
        return _facts.numeric(
            part,
            key,
            self.role(part.ref).name,
            self.manifest.parts.get(part.ref),
            self._card_facts(part),
            self.value_text(part),
        )

    def _stated(self, part: Part, key: str) -> object:
        told = self.manifest.parts.get(part.ref)
        if told is not None and key in told.facts:
            return told.facts[key]
        carded = self._card_facts(part).get(key)
        return carded.value if carded else None

    def text(self, part: Part, key: str) -> str | None:
        """A text fact from manifest or card; None when neither states it."""
        found = self._stated(part, key)
        return found if isinstance(found, str) else None

    def flag(self, part: Part, key: str) -> bool | None:
        """A truth value from manifest or card; None when neither states it."""
        found = self._stated(part, key)
        return found if isinstance(found, bool) else None

    def value(self, part: Part) -> Known | Need:
        """Ohms, farads or henries of a resistor, capacitor, inductor (nominal value)."""
        key = _facts.NOMINAL.get(self.role(part.ref).name)
        found = self.known(part, key) if key else None
        return found if isinstance(found, Known) else _facts.need(part, "value")

    # -- supplies -------------------------------------------------------------------------------
    @cached_property
    def rails(self) -> Mapping[str, Rail]:
        """Possible voltage range by net, for the nets whose range could be worked out."""
        from counterpoise.roles.rails import work_out

        return work_out(self).rails

    def volts(self, net: str | None) -> Rail | Need:
        """The range of one net, or the fact that is missing to tell it."""
        from counterpoise.roles.rails import volts_of

        return volts_of(self, net)

    @cached_property
    def cell(self) -> Part | None:
        """The main cell: as the manifest names it, else the only part taken for one."""
        named = self.manifest.cell.ref
        if named is not None:
            return next((p for p in self.parts if p.ref == named), None)
        cells = self.parts_as("cell")
        return cells[0] if len(cells) == 1 else None
