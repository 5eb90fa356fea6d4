"""What a part is, told from its own words alone: values read, spellings made equal."""

from __future__ import annotations

import re
from typing import TypeAlias

from counterpoise.model.circuit import Part
from counterpoise.roles.board import Board
from counterpoise.roles.links import reads_zero
from counterpoise.roles.votes import weigh
from counterpoise.roles.words import votes
from counterpoise.values.partvalue import KINDS, read_value

Kind: TypeAlias = tuple[str, ...]
"""Equal for parts that may stand for each other."""

_READ_AS = {"thermistor": "resistor", "potentiometer": "resistor"}
VALUED = frozenset(KINDS) - {"led"} | set(_READ_AS)
"""Roles whose value text tells them apart, whoever made them."""

MANY = 8
"""Contacts from which their number says more of a part than the role it was taken for."""

_PLAIN = re.compile(r"[^A-Z0-9.+]+")


def text_role(board: Board, part: Part) -> str:
    """The part's role by manifest, by card, else by its own texts and pin names (never by its
    reference letters, the names of its nets or its neighbours); "unknown" where they do not tell."""
    stated = board.manifest.parts.get(part.ref)
    if stated is not None and stated.role is not None:
        return stated.role
    card = board.card(part.ref)
    if card is not None:
        return card.role
    role = _by_words(board, part)
    return "link" if role == "resistor" and reads_zero(part.value) else role


def _by_words(board: Board, part: Part) -> str:
    def work() -> str:
        told = [vote for vote in votes(part) if vote.source != "refdes"]
        return weigh(told).name

    words = (part.symbol, part.footprint, part.value, part.description)
    pins = tuple((pin.number, pin.name) for pin in part.pins)
    return board.once(f"compare: words of {words} {pins}", work)


def kind_of(board: Board, part: Part, role: str) -> Kind:
    """Role and normal value of a passive part; of others the family and the value as written."""
    value = board.value_text(part)
    fitted = () if part.fitted else ("not fitted",)
    if role in VALUED:
        return (role, value_key(value, role), *fitted)
    card = board.card(part.ref)
    spelt = plain(value)
    if card is not None:
        return (f"card {card.key}", spelt, *fitted)
    identity = spelt or plain(part.symbol) or plain(part.footprint)
    return ("text", identity, *fitted)


def value_key(text: str, role: str) -> str:
    """A value's one spelling: "4k7" and "4.7 kΩ" give the same."""
    read = read_value(text, _READ_AS.get(role, role)) if text else None
    if read is None or read.doubtful:
        return plain(text)
    load = f" {read.load_f:.6g}" if read.load_f is not None else ""
    return f"{read.nominal:.6g}{load}"


def plain(text: str) -> str:
    """Upper case letters, digits, point and plus only."""
    return _PLAIN.sub("", text.upper())


def soft_kind(role: str, kind: Kind, contacts: int) -> Kind:
    """What stays of a kind when its value may have been changed: the role, or how many pins it has."""
    fitted = tuple(word for word in kind[2:] if word == "not fitted")
    if role in ("unknown", "chip") or contacts >= MANY:
        return ("any", str(contacts), *fitted)
    return ("role", role, *fitted)
