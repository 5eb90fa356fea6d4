"""Bringing two views to one language: kinds softened where values changed, pins named alike."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterable
from dataclasses import replace

from counterpoise.compare.graph import Wires
from counterpoise.compare.kinds import Kind, plain, soft_kind
from counterpoise.compare.view import Piece, View

Naming = Callable[[Piece], Hashable]


def harmonised(old: View, new: View) -> tuple[View, View]:
    """Both views, with the pins of a kind called by name where the two number them differently
    (another package, another symbol) and every pin has a name."""
    numbers: dict[Kind, tuple[set[str], set[str]]] = defaultdict(lambda: (set(), set()))
    named: dict[Kind, bool] = defaultdict(lambda: True)
    for side, whole in enumerate((old, new)):
        for piece in whole.pieces:
            numbers[piece.kind][side].update(_wired_labels(piece))
            named[piece.kind] &= all(c.name for c in piece.contacts if c.net[0] != "\0")
    renamed = {k for k, (a, b) in numbers.items() if a and b and named[k] and not _agree(a, b)}

    def told(piece: Piece) -> Piece:
        if piece.kind not in renamed:
            return piece
        contacts = (replace(c, label=plain(c.name) or c.label) for c in piece.contacts)
        return replace(piece, contacts=tuple(contacts))

    return (
        old.with_pieces(told(piece) for piece in old.pieces),
        new.with_pieces(told(piece) for piece in new.pieces),
    )


def _wired_labels(piece: Piece) -> Iterable[str]:
    return (contact.label for contact in piece.contacts if contact.net[0] != "\0")


def _agree(a: set[str], b: set[str]) -> bool:
    # A pin may be open on one board: numbers disagree only when each side has some of its own.
    return not (a - b and b - a)


def soft_naming(old: Iterable[Piece], new: Iterable[Piece]) -> Naming:
    """How to name kinds so that changed values do not hide equal wiring: a kind that both sides have
    in equal number keeps its name, the others go by their role."""
    ours, theirs = Counter(p.kind for p in old), Counter(p.kind for p in new)
    uneven = {kind for kind in {*ours, *theirs} if ours[kind] != theirs[kind]}

    def name(piece: Piece) -> Hashable:
        return softened(piece) if piece.kind in uneven else piece.kind

    return name


def shared_naming(old: Iterable[Piece], new: Iterable[Piece]) -> Naming:
    """How to name kinds in a partial pairing: a kind that both sides have keeps its name, the others
    go by their role."""
    both = {p.kind for p in old} & {p.kind for p in new}

    def name(piece: Piece) -> Hashable:
        return piece.kind if piece.kind in both else softened(piece)

    return name


def softened(piece: Piece) -> Kind:
    """The kind of a piece without its value."""
    return soft_kind(piece.role, piece.kind, len(piece.contacts))


def wires(view: View, places: Iterable[int], name: Naming) -> Wires:
    """Some pieces of a view for the exact comparison. Nets with one contact among these pieces are
    left out: that pin is open, whatever its net is called."""
    chosen = [view.pieces[place] for place in places]
    count = Counter(contact.net for piece in chosen for contact in piece.contacts)
    return [
        (name(piece), [(c.label, c.net) for c in piece.contacts if count[c.net] > 1])
        for piece in chosen
    ]
