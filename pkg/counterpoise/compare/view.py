"""A board as comparing sees it: parts by what they are, pins by class, nets with links joined.

Nothing here depends on references, net names or order, nor on what a part is wired to: a moved wire
must not change what its part is taken for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from counterpoise.compare.kinds import Kind, kind_of, text_role
from counterpoise.compare.swaps import joined_sides, labels_of
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


def view(board: Board, label: str) -> View:
    """Prepare one board. ``label`` is what messages call it."""
    parts = sorted(board.all_parts, key=lambda part: natural(part.ref))
    roles = [text_role(board, part) for part in parts]
    node = _nodes(board, parts, roles)
    pieces: list[Piece] = []
    links: list[Piece] = []
    for part, role in zip(parts, roles, strict=True):
        piece = _piece(board, part, role, node)
        closed = role == "link" and part.fitted and bool(_joined(part))
        (links if closed else pieces).append(piece)
    return View(label, board, tuple(pieces), tuple(links), node)


def _piece(board: Board, part: Part, role: str, node: Mapping[str, str]) -> Piece:
    labels = labels_of(board, part, role)
    sides = joined_sides(board, part, role)
    found: dict[object, Contact] = {}
    for place, pin in enumerate(part.pins):
        label = labels[place]
        net = node[pin.net] if pin.net is not None else f"\0{part.ref}\0{place}"
        if sides and place in sides:
            key: object = sides[place]
            known = found.get(key)
            if known is not None:
                joined = known.net if known.net[0] != "\0" else net
                found[key] = replace(known, net=joined, pins=(*known.pins, pin.number))
                continue
        else:
            key = (place,)
        found[key] = Contact(label, net, (pin.number,), pin.name)
    fitted = part.fitted
    optional = role in OPTIONAL or not fitted
    return Piece(
        part.ref, role, kind_of(board, part, role), tuple(found.values()), optional, fitted
    )


def _joined(part: Part) -> tuple[tuple[str, str], ...]:
    return tuple(joined_pairs(part, "link", reads_zero(part.value)))


def _nodes(board: Board, parts: list[Part], roles: list[str]) -> dict[str, str]:
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

    for part, role in zip(parts, roles, strict=True):
        if not part.fitted:
            continue
        if role == "link":
            for first, second in _joined(part):
                join(first, second)
        last: dict[int, str] = {}
        for place, side in joined_sides(board, part, role).items():
            net = part.pins[place].net
            if net is not None:
                join(last.setdefault(side, net), net)
    return {net: top(net) for net in above}
