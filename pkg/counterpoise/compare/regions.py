"""Which part of a board had to stay: all of it, all but the power section, or what the maker names."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase

from counterpoise.compare.kinds import Kind
from counterpoise.compare.pairing import Pairing
from counterpoise.compare.view import Piece, View

POWER = frozenset(
    {"cell", "charger", "power-path", "protector", "regulator", "boost", "buck", "buck-boost"}
    | {"usb-connector"}
)
"""Roles that make up a power section; what hangs on them alone belongs to it."""

_FILLERS = frozenset(
    {"resistor", "resistor-array", "thermistor", "capacitor", "inductor", "ferrite", "fuse", "link"}
    | {"led", "diode", "zener", "clamp", "transistor", "slide-switch", "test-point", "mechanical"}
)
"""Roles that serve whatever they stand beside. All others are there for their own sake."""

_FEW_PINS = 4

ALL, NOT_POWER, NAMED = "all", "not power", "named"


class KeepError(ValueError):
    """A pattern of [compare] keep that no part fits."""


@dataclass(frozen=True)
class Region:
    """What had to stay, as places in each view.

    ``scope`` is ALL, NOT_POWER or NAMED. ``cut`` are the nets of each side at which the region ends:
    grounds and the nets of power parts.
    """

    scope: str
    old: frozenset[int]
    new: frozenset[int]
    old_core: frozenset[int]
    new_core: frozenset[int]
    old_cut: frozenset[str]
    new_cut: frozenset[str]
    old_grounds: frozenset[str]
    new_grounds: frozenset[str]


def region(pairing: Pairing) -> Region:
    """The region that had to stay.

    The manifests' [compare] keep wins. Else, when the power parts of both boards are the same ones,
    everything had to stay; when they were replaced, everything but the power section.

    Raises:
        KeepError: a pattern fits no part.
    """
    old, new = pairing.old, pairing.new
    powers = power_kinds(old, new)
    named_old, named_new = _named(old), _named(new)
    if named_old or named_new:
        named_old |= {pairing.parts_back[b] for b in named_new if b in pairing.parts_back}
        named_new |= {pairing.parts[a] for a in named_old if a in pairing.parts}
        return _built(NAMED, old, new, named_old, named_new, powers)
    if power_signature(old, powers) == power_signature(new, powers):
        return _built(ALL, old, new, set(), set(), powers)
    return _built(NOT_POWER, old, new, set(), set(), powers)


def _built(
    scope: str,
    old: View,
    new: View,
    named_old: Collection[int],
    named_new: Collection[int],
    powers: Mapping[Kind, str],
) -> Region:
    sides = []
    for view, named in ((old, named_old), (new, named_new)):
        core = frozenset(core_places(view, powers)) - frozenset(named)
        grounds = frozenset(view.node[net] for net in view.board.grounds if net in view.node)
        cut = grounds | {c.net for place in core for c in view.pieces[place].contacts}
        everything = frozenset(range(len(view.pieces)))
        held = everything if scope == ALL else _grown(view, core, cut, frozenset(named), scope)
        sides.append((held, core, frozenset(cut), grounds))
    (a, core_a, cut_a, ground_a), (b, core_b, cut_b, ground_b) = sides
    return Region(scope, a, b, core_a, core_b, cut_a, cut_b, ground_a, ground_b)


def role_of(view: View, piece: Piece) -> str:
    """The role by the piece's own words, else by its place on the board."""
    if piece.role not in ("unknown", "chip"):
        return piece.role
    return view.board.role(piece.ref).name


def power_kinds(*views: View) -> Mapping[Kind, str]:
    """The kinds of part that are power parts on any of the boards, with their role: the same part is
    the same thing on both, though only one board's surroundings tell what it is."""
    return {
        piece.kind: role
        for view in views
        for piece in view.pieces
        if piece.fitted and (role := role_of(view, piece)) in POWER
    }


def core_places(view: View, powers: Mapping[Kind, str]) -> list[int]:
    """The power parts of a board."""
    return [place for place, piece in enumerate(view.pieces) if piece.kind in powers]


def power_signature(view: View, powers: Mapping[Kind, str]) -> list[tuple[str, ...]]:
    """What the power section is made of, whatever its parts are called. A cell counts by its
    chemistry where that is stated, a USB connector by being one."""
    found: list[tuple[str, ...]] = []
    for place in core_places(view, powers):
        piece = view.pieces[place]
        role = powers[piece.kind]
        if role == "cell":
            found.append((role, view.board.manifest.cell.chemistry or ""))
        else:
            found.append((role,) if role == "usb-connector" else (role, *piece.kind))
    return sorted(found)


def _named(view: View) -> set[int]:
    found: set[int] = set()
    for pattern in view.board.manifest.compare.keep:
        fitting = {p for p, piece in enumerate(view.pieces) if fnmatchcase(piece.ref, pattern)}
        if not fitting:
            raise KeepError(f'[compare] keep: no part of {view.label} fits "{pattern}"')
        found |= fitting
    return found


def _anchor(view: View, piece: Piece) -> bool:
    """Whether a part is on the board for its own sake."""
    role = role_of(view, piece)
    if role in ("unknown", "chip"):
        return len(piece.contacts) > _FEW_PINS
    return role not in _FILLERS


def _grown(
    view: View, core: frozenset[int], cut: Collection[str], named: frozenset[int], scope: str
) -> frozenset[int]:
    """Named parts (or all that stand for themselves outside the power section), with the small parts
    that hang together with them without passing a net of the power section or ground."""
    wanted = named if scope == NAMED else None
    held: set[int] = set()
    for group in _groups(view, core, cut, wanted):
        if wanted is not None:
            keep = bool(group & wanted)
        else:
            anchored = any(_anchor(view, view.pieces[place]) for place in group)
            keep = anchored or not _on_power(view, group, cut)
        if keep:
            held |= group
    return frozenset(held)


def _on_power(view: View, group: Iterable[int], cut: Collection[str]) -> bool:
    return any(c.net in cut for place in group for c in view.pieces[place].contacts)


def _groups(
    view: View, core: frozenset[int], cut: Collection[str], named: frozenset[int] | None
) -> list[set[int]]:
    """Parts outside the power section that hang together by nets that are not cut. Among named parts,
    others that stand for themselves are left out."""

    def belongs(place: int) -> bool:
        if place in core:
            return False
        if named is None or place in named:
            return True
        return not _anchor(view, view.pieces[place])

    left = {place for place in range(len(view.pieces)) if belongs(place)}
    walked = set(cut)
    groups = []
    for start in sorted(left):
        if start not in left:
            continue
        left.remove(start)
        line = [start]
        for place in line:
            beside = left.intersection(_beside(view, place, walked))
            left -= beside
            line += sorted(beside)
        groups.append(set(line))
    return groups


def _beside(view: View, place: int, walked: set[str]) -> Iterable[int]:
    """The parts on the nets of a part that were not walked yet: each net is walked once."""
    for contact in view.pieces[place].contacts:
        if contact.net not in walked:
            walked.add(contact.net)
            yield from (other for other, _ in view.nets[contact.net])
