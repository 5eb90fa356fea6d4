"""Differences put into words that name pins and their neighbours on both boards."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol

from counterpoise.catalog.vocabulary import ROLES
from counterpoise.compare.pairing import Pairing
from counterpoise.compare.result import Difference, Spot
from counterpoise.compare.view import View

_SHOWN = 4


class MoveLike(Protocol):
    """A contact out of place: see ``account.Move``."""

    @property
    def old_part(self) -> int: ...  # noqa: D102
    @property
    def old_contact(self) -> int | None: ...  # noqa: D102
    @property
    def new_part(self) -> int: ...  # noqa: D102
    @property
    def new_contact(self) -> int | None: ...  # noqa: D102


Key = tuple[str | None, str | None]
Place = tuple[int, int]


def listed(words: Sequence[str]) -> str:
    """ "A", "A and B", "A, B and C"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def some(words: Sequence[str]) -> str:
    """The same, but no more than a few by name."""
    if len(words) <= _SHOWN:
        return listed(words)
    return f"{', '.join(words[: _SHOWN - 1])} and {len(words) - _SHOWN + 1} more"


def net_name(net: str) -> str:
    """A net's name for people and for JSON; "" for a pin that is on no net."""
    return "" if net.startswith("\0") else net


class Phrases:
    """Words for one pairing."""

    def __init__(self, pairing: Pairing) -> None:
        self._pairing = pairing
        self._old, self._new = pairing.old, pairing.new

    # -- pieces of sentences ----------------------------------------------------------------------
    def _old_pins(self, moves: Iterable[MoveLike]) -> tuple[str, ...]:
        return tuple(
            self._old.pin(m.old_part, m.old_contact) for m in moves if m.old_contact is not None
        )

    def _new_pins(self, moves: Iterable[MoveLike]) -> tuple[str, ...]:
        return tuple(
            self._new.pin(m.new_part, m.new_contact) for m in moves if m.new_contact is not None
        )

    def _it(self, moves: Sequence[MoveLike]) -> str:
        """How the sentence goes on about the same pins under their new names."""
        old, new = self._old_pins(moves), self._new_pins(moves)
        word = "it" if len(moves) == 1 else "they"
        return word if old == new or not new else f"{word} ({some(new)})"

    @staticmethod
    def _others(view: View, net: str, without: Iterable[Place]) -> str:
        left_out = set(without)
        others = [view.pin(*spot) for spot in view.nets[net] if spot not in left_out]
        if not others:
            return "nothing else"
        if len(others) <= _SHOWN:
            return listed(others)
        return f'"{net}" ({len(view.nets[net])} pins, {", ".join(others[:2])} among them)'

    def _was(self, net: str, moves: Sequence[MoveLike]) -> str:
        spots = [(m.old_part, m.old_contact) for m in moves if m.old_contact is not None]
        return self._others(self._old, net, spots)

    def _now(self, net: str, moves: Sequence[MoveLike]) -> str:
        spots = [(m.new_part, m.new_contact) for m in moves if m.new_contact is not None]
        return self._others(self._new, net, spots)

    def _spots(
        self, was: str | None, now: str | None, moves: Sequence[MoveLike]
    ) -> tuple[Spot, Spot]:
        return self._old_spot(was, moves), self._new_spot(now, moves)

    def _old_spot(self, net: str | None, moves: Iterable[MoveLike]) -> Spot:
        found = [
            pin
            for m in moves
            if m.old_contact is not None
            for pin in self._old.pins(m.old_part, m.old_contact)
        ]
        return Spot(net_name(net or ""), tuple(found))

    def _new_spot(self, net: str | None, moves: Iterable[MoveLike]) -> Spot:
        found = [
            pin
            for m in moves
            if m.new_contact is not None
            for pin in self._new.pins(m.new_part, m.new_contact)
        ]
        return Spot(net_name(net or ""), tuple(found))

    # -- wires ------------------------------------------------------------------------------------
    def moved(
        self,
        was: str,
        now: str,
        moves: Sequence[MoveLike],
        *,
        held: bool,
        left: Sequence[MoveLike] = (),
    ) -> Difference:
        """Pins that join another net now; ``left`` is left open by it."""
        s = "s" if len(moves) == 1 else ""
        message = (
            f"{self._old.label} {some(self._old_pins(moves))} joined {self._was(was, moves)}; "
            f"in {self._new.label} {self._it(moves)} join{s} {self._now(now, moves)}"
        )
        if left and self._new_pins(left):
            message += f", and {self._new_pins(left)[0]} is left open"
        return Difference("moved", *self._spots(was, now, moves), message, held)

    def opened(self, was: str, moves: Sequence[MoveLike], *, held: bool) -> Difference:
        """Pins that are left open now."""
        is_ = "is" if len(moves) == 1 else "are"
        message = (
            f"{self._old.label} {some(self._old_pins(moves))} joined {self._was(was, moves)}; "
            f"in {self._new.label} {self._it(moves)} {is_} left open"
        )
        return Difference("opened", *self._spots(was, None, moves), message, held)

    def closed(self, now: str, moves: Sequence[MoveLike], *, held: bool) -> Difference:
        """Pins that were open."""
        pins = self._old_pins(moves) or self._new_pins(moves)
        was, s = ("was", "s") if len(moves) == 1 else ("were", "")
        message = (
            f"{self._old.label} {some(pins)} {was} open; in {self._new.label} "
            f"{self._it(moves)} join{s} {self._now(now, moves)}"
        )
        return Difference("closed", *self._spots(None, now, moves), message, held)

    def split(self, was: str, now: str, moves: Sequence[MoveLike], *, held: bool) -> Difference:
        """One net that became two."""
        message = (
            f"{self._old.label} {some(self._old_pins(moves))} joined {self._was(was, moves)}; "
            f"in {self._new.label} {self._it(moves)} are apart from that net"
        )
        return Difference("split", *self._spots(was, now, moves), message, held)

    def joined(self, was: str, now: str, moves: Sequence[MoveLike], *, held: bool) -> Difference:
        """Two nets that became one."""
        message = (
            f"{self._old.label} {some(self._old_pins(moves))} were a net of their own; "
            f"in {self._new.label} {self._it(moves)} are one net with {self._now(now, moves)}"
        )
        return Difference("joined", *self._spots(was, now, moves), message, held)

    def exchanged(
        self, first: Key, one: MoveLike, second: Key, other: MoveLike, *, held: bool
    ) -> Difference:
        """Two pins that have changed places."""
        was, now = first[0] or "", second[1] or ""
        pair = (one, other)
        if first[1] is None:
            message = (
                f"{self._old.label} {self._old_pins([one])[0]} joined {self._was(was, [one])}; in "
                f"{self._new.label} {self._new_pins([other])[0]} joins "
                f"{self._now(now, [other])} in its place"
            )
        else:
            message = (
                f"{self._old.label} {listed(self._old_pins(pair))} have changed places: "
                f"{self._old_pins([one])[0]} joined {self._was(was, [one])}; in "
                f"{self._new.label} {self._new_pins([one])[0]} joins "
                f"{self._now(first[1], [one])}"
            )
        old, new = self._old_spot(was, pair), self._new_spot(now, pair)
        return Difference("exchanged", old, new, message, held)

    def intruded(self, was: str, now: str, guests: Sequence[Place]) -> Difference:
        """A power part on a signal."""
        pins = tuple(self._new.pin(*spot) for spot in guests)
        message = (
            f"{self._old.label} {self._others(self._old, was, ())} were joined to each other only; "
            f"in {self._new.label} {some(pins)} of the power section is on that net"
        )
        ours = [pin for spot in self._old.nets[was] for pin in self._old.pins(*spot)]
        guest_pins = [pin for spot in guests for pin in self._new.pins(*spot)]
        old, new = Spot(net_name(was), tuple(ours)), Spot(net_name(now), tuple(guest_pins))
        return Difference("joined", old, new, message)

    # -- whole parts ------------------------------------------------------------------------------
    def _part(self, view: View, place: int) -> str:
        piece = view.pieces[place]
        part = view.board.circuit.part(piece.ref)
        value = view.board.value_text(part) if part else ""
        role = ROLES.get(piece.role, "") if piece.role != "unknown" else ""
        told = ", ".join(word for word in (value, role) if word)
        return f"{piece.ref} ({told})" if told else piece.ref

    def _nets(self, view: View, place: int) -> str:
        wired = [c.net for c in view.pieces[place].contacts if len(view.nets[c.net]) > 1]
        names = list(dict.fromkeys(f'"{net}"' for net in wired))
        if len(names) == 2:
            return f"between {names[0]} and {names[1]}"
        return f"on {some(names)}"

    def _spot(self, view: View, place: int) -> Spot:
        contacts = view.pieces[place].contacts
        smallest = min(contacts, key=lambda c: (len(view.nets[c.net]), c.net)).net
        pins = [pin for index in range(len(contacts)) for pin in view.pins(place, index)]
        return Spot(net_name(smallest), tuple(pins))

    def missing(self, place: int, *, held: bool) -> Difference:
        """An old part without a partner."""
        message = (
            f"{self._old.label} {self._part(self._old, place)} {self._nets(self._old, place)} "
            f"has no counterpart in {self._new.label}"
        )
        return Difference("missing", self._spot(self._old, place), None, message, held)

    def added(self, place: int, *, held: bool) -> Difference:
        """A new part without a partner."""
        message = (
            f"{self._new.label} {self._part(self._new, place)} {self._nets(self._new, place)} "
            f"has no counterpart in {self._old.label}"
        )
        return Difference("added", None, self._spot(self._new, place), message, held)

    def traded(self, group: Sequence[int], *, held: bool) -> Difference:
        """Parts whose values went round."""
        told = [self._part(self._old, place) for place in group]
        partners = [self._pairing.parts[place] for place in group]
        now = [self._part(self._new, place) for place in partners]
        message = (
            f"{self._old.label} {listed(told)} have traded places: in {self._new.label} "
            f"{listed(now)} stand there"
        )
        old_pins = tuple(self._old.pieces[place].ref for place in group)
        new_pins = tuple(self._new.pieces[place].ref for place in partners)
        return Difference("exchanged", Spot("", old_pins), Spot("", new_pins), message, held)
