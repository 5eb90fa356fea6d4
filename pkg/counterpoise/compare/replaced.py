"""What became of the power section: blocks that went and came, and nets fed from elsewhere now."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from counterpoise.compare.pairing import Pairing
from counterpoise.compare.regions import Region, role_of
from counterpoise.compare.result import Boundary
from counterpoise.compare.view import View
from counterpoise.model.manifest import PRIMARY, RECHARGEABLE

_WORDS = {
    "cell": "cell",
    "charger": "charger",
    "power-path": "power-path switch",
    "protector": "cell protector",
    "regulator": "regulator",
    "boost": "boost converter",
    "buck": "buck converter",
    "buck-boost": "buck-boost converter",
    "usb-connector": "USB connector",
}
_ORDER = (*tuple(_WORDS)[3:], "power-path", "charger", "cell")
_SOURCES = ("output", "system", "cell", "plus", "vbus")
"""Pin functions that feed a net."""


def block_word(view: View, place: int) -> str:
    """A power part in words: "boost converter", "lithium cell", "USB-C socket"."""
    piece = view.pieces[place]
    role = role_of(view, piece)
    if role == "cell":
        chemistry = view.board.manifest.cell.chemistry or ""
        if chemistry in RECHARGEABLE and chemistry.startswith("li"):
            return "lithium cell"
        if chemistry in ("alkaline", "zinc-carbon"):
            return "dry cell"
        return "primary cell" if chemistry in PRIMARY else "cell"
    if role == "usb-connector":
        pins = {pin for contact in piece.contacts for pin in contact.pins}
        return "USB-C socket" if {"A5", "B5"} <= pins else "USB connector"
    return _WORDS.get(role, role)


def _blocks(view: View, core: frozenset[int]) -> Counter[tuple[int, str]]:
    """Each power block by its place in the usual order and its words (which hold its kind too)."""
    found: Counter[tuple[int, str]] = Counter()
    for place in core:
        role = role_of(view, view.pieces[place])
        order = _ORDER.index(role) if role in _ORDER else len(_ORDER)
        found[order, block_word(view, place)] += 1
    return found


def replaced(pairing: Pairing, area: Region) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Power blocks that went and those that came, in words, parts of one kind left out."""
    stayed_old, stayed_new = set(), set()
    for old, new in pairing.parts.items():
        same = pairing.old.pieces[old].kind == pairing.new.pieces[new].kind
        if old in area.old_core and new in area.new_core and same:
            stayed_old.add(old)
            stayed_new.add(new)
    went = _blocks(pairing.old, area.old_core - stayed_old)
    came = _blocks(pairing.new, area.new_core - stayed_new)
    return tuple(w for _, w in sorted(went)), tuple(w for _, w in sorted(came))


def boundary(pairing: Pairing, area: Region) -> tuple[Boundary, ...]:
    """Nets of held parts that the power section feeds or touches, where its parts there changed."""
    found = []
    for was, now in sorted(pairing.nets.items()):
        if was not in area.old_cut and now not in area.new_cut:
            continue
        if was in area.old_grounds or now in area.new_grounds:
            continue
        on_old = _held_on(pairing.old, was, area.old)
        if not on_old and not _held_on(pairing.new, now, area.new):
            continue
        old_side = _sources(pairing.old, was, area.old_core)
        new_side = _sources(pairing.new, now, area.new_core)
        if Counter(k for _, k in old_side) != Counter(k for _, k in new_side):
            names = tuple(n for n, _ in old_side), tuple(n for n, _ in new_side)
            found.append(Boundary(was.lstrip("\0"), now.lstrip("\0"), *names))
    return tuple(found)


def _held_on(view: View, net: str, held: frozenset[int]) -> bool:
    return any(place in held for place, _ in view.nets.get(net, ()))


def _sources(view: View, net: str, core: frozenset[int]) -> list[tuple[str, object]]:
    """Power parts on a net, by ref and word, with their kind: those that feed it, else all."""
    feeding: list[tuple[str, object]] = []
    touching: list[tuple[str, object]] = []
    for place, index in view.nets.get(net, ()):
        if place not in core:
            continue
        piece = view.pieces[place]
        entry = (f"{piece.ref} ({block_word(view, place)})", piece.kind)
        part = view.board.circuit.part(piece.ref)
        numbers = piece.contacts[index].pins
        pins = [pin for pin in part.pins if pin.number in numbers] if part else []
        feeds = any(view.board.function_of(pin) in _SOURCES for pin in pins)
        (feeding if feeds else touching).append(entry)
    chosen = feeding or touching
    return sorted(set(chosen), key=lambda entry: entry[0])


_KEPT = {
    "radio": "radio",
    "radio-module": "radio module",
    "controller": "microcontroller",
    "antenna-connector": "antenna connector",
    "push-switch": "push switch",
    "change-over-switch": "change-over switch",
    "slide-switch": "slide switch",
    "led": "LED",
    "addressable-led": "LED",
}
_PLAIN = frozenset(
    {"crystal", "resonator", "oscillator", "balun", "antenna", "sensor", "memory", "encoder"}
    | {"potentiometer", "motor", "connector"}
)
_FIRST = ("radio", "radio-module", "controller", "sensor", "crystal", "balun", "antenna")


def kept_words(view: View, places: Iterable[int]) -> tuple[str, ...]:
    """What parts are, in words, the most telling first, small parts counted together."""
    found: Counter[tuple[int, str]] = Counter()
    others = 0
    for place in places:
        role = role_of(view, view.pieces[place])
        word = _KEPT.get(role, role if role in _PLAIN else "")
        if not word:
            others += 1
            continue
        order = _FIRST.index(role) if role in _FIRST else len(_FIRST)
        found[order, word] += 1
    words = [word if n == 1 else f"{n} {_plural(word)}" for (_, word), n in sorted(found.items())]
    if others:
        words.append(f"{others} other {'part' if others == 1 else 'parts'}" if words else "")
    return tuple(word for word in words if word)


def _plural(word: str) -> str:
    if word.endswith("y"):
        return word[:-1] + "ies"
    return word + ("es" if word.endswith(("ch", "s")) else "s")
