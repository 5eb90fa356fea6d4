"""A board as comparing sees it: parts by what they are, pins by class, nets with links joined.

Nothing here depends on references, net names or order, nor on what a part is wired to: a moved wire
must not change what its part is taken for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from counterpoise.compare.kinds import Kind, kind_of, text_role
from counterpoise.compare.swaps import PinWord, told_pins
from counterpoise.model.circuit import Part
from counterpoise.roles.board import Board
from counterpoise.roles.links import joined_pairs, reads_zero
from counterpoise.roles.refdes import natural

OPTIONAL = ("test-point", "mechanical")
"""Roles without which the circuit works the same."""

ACCESS = ("connector", "antenna-connector")
"""Roles that only reach out: taking such a part off, or putting one on, changes no wire inside."""


@dataclass(frozen=True, slots=True)
class Contact:
    """One pin, or several pins that the part itself joins: its class, its net, its pin numbers."""

    label: str
    net: str
    pins: tuple[str, ...]
    name: str = ""


@dataclass(frozen=True, slots=True)
class Piece:
    """One part. ``optional``: not fitted, or of an OPTIONAL role."""

    ref: str
    role: str
    kind: Kind
    contacts: tuple[Contact, ...]
    optional: bool = False
    fitted: bool = True

    @property
    def access(self) -> bool:
        """Whether it only reaches out of the board."""
        return self.role in ACCESS


@dataclass(frozen=True)
class View:
    """One side of a comparison.

    ``pieces`` in natural ref order. ``links`` are the parts that only join nets: they are wires here.
    ``node`` gives for every net of the board the net that stands for its node. ``nets`` lists the
    (piece, contact) places on each.
    """

    label: str
    board: Board
    pieces: tuple[Piece, ...]
    links: tuple[Piece, ...]
    node: Mapping[str, str]
    nets: Mapping[str, tuple[tuple[int, int], ...]] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        nets: dict[str, list[tuple[int, int]]] = {}
        for place, piece in enumerate(self.pieces):
            for index, contact in enumerate(piece.contacts):
                nets.setdefault(contact.net, []).append((place, index))
        object.__setattr__(self, "nets", {net: tuple(spots) for net, spots in nets.items()})

    def pin(self, place: int, index: int) -> str:
        """How messages name a contact: "U2.5", "SW4.1/2"."""
        piece = self.pieces[place]
        return f"{piece.ref}.{'/'.join(piece.contacts[index].pins)}"

    def pins(self, place: int, index: int) -> tuple[str, ...]:
        """The pins of a contact one by one."""
        piece = self.pieces[place]
        return tuple(f"{piece.ref}.{number}" for number in piece.contacts[index].pins)

    def with_pieces(self, pieces: Iterable[Piece]) -> View:
        """The same side with other pieces in the same places."""
        return replace(self, pieces=tuple(pieces))


def view(board: Board, label: str, other: Board | None = None) -> View:
    """Prepare one board. ``label`` is what messages call it.

    Where the other board's files tell more of a part of the same value (its order code, the names of
    its pins, which pads it joins), their word holds for this board's too.
    """
    parts = sorted(board.all_parts, key=lambda part: natural(part.ref))
    roles = [text_role(board, part) for part in parts]
    kinds = [kind_of(board, part, role) for part, role in zip(parts, roles, strict=True)]
    borrowed = pin_words(other) if other is not None else {}
    known = {kind[1:]: kind for kind in borrowed if kind[0].startswith("card ")}
    kinds = [known.get(kind[1:], kind) if kind[0] == "text" else kind for kind in kinds]
    pins = [
        told_pins(board, part, role, borrowed.get(kind, {}))
        for part, role, kind in zip(parts, roles, kinds, strict=True)
    ]
    node = _nodes(board, parts, roles, pins)
    pieces: list[Piece] = []
    links: list[Piece] = []
    for number, part in enumerate(parts):
        found = _contacts(part, pins[number], node, number)
        role = roles[number]
        optional = role in OPTIONAL or not part.fitted
        piece = Piece(part.ref, role, kinds[number], found, optional, part.fitted)
        closed = role == "link" and part.fitted and bool(_joined(part))
        (links if closed else pieces).append(piece)
    return View(label, board, tuple(pieces), tuple(links), node)


def pin_words(board: Board) -> dict[Kind, dict[str, PinWord]]:
    """What is told of the pins of each kind of part on a board, by pin number."""
    found: dict[Kind, dict[str, PinWord]] = {}
    for part in board.all_parts:
        role = text_role(board, part)
        told = found.setdefault(kind_of(board, part, role), {})
        for pin, word in zip(part.pins, told_pins(board, part, role, {}), strict=True):
            told.setdefault(pin.number, word)
    return found


def _contacts(
    part: Part, words: tuple[PinWord, ...], node: Mapping[str, str], number: int
) -> tuple[Contact, ...]:
    """The contacts of a part: each side of joined pins is one."""
    found: dict[object, Contact] = {}
    for place, (pin, (label, side)) in enumerate(zip(part.pins, words, strict=True)):
        net = node[pin.net] if pin.net is not None else f"\0{number}\0{place}"
        key = ("pin", place) if side is None else ("side", side)
        known = found.get(key)
        if known is None:
            found[key] = Contact(label, net, (pin.number,), pin.name)
        else:
            joined = known.net if known.net[0] != "\0" else net
            found[key] = replace(known, net=joined, pins=(*known.pins, pin.number))
    return tuple(found.values())


def _joined(part: Part) -> tuple[tuple[str, str], ...]:
    return tuple(joined_pairs(part, "link", reads_zero(part.value)))


def _nodes(
    board: Board, parts: list[Part], roles: list[str], pins: list[tuple[PinWord, ...]]
) -> dict[str, str]:
    """Every net's node: what closed links and the insides of switches join is one."""
    above: dict[str, str] = {net: net for net in board.circuit.nets}

    def top(net: str) -> str:
        while above[net] != net:
            above[net] = above[above[net]]
            net = above[net]
        return net

    def join(a: str, b: str) -> None:
        one, other = sorted((top(a), top(b)), key=natural)
        above[other] = one

    for part, role, words in zip(parts, roles, pins, strict=True):
        if not part.fitted:
            continue
        for first, second in _joined(part) if role == "link" else ():
            join(first, second)
        last: dict[int, str] = {}
        for pin, (_, side) in zip(part.pins, words, strict=True):
            if side is not None and pin.net is not None:
                join(last.setdefault(side, pin.net), pin.net)
    return {net: top(net) for net in above}
