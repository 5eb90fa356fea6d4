"""Small words about parts that many checks share."""

from __future__ import annotations

from collections.abc import Iterable

from counterpoise.model.circuit import Part, Pin
from counterpoise.roles.board import Board


def distinct(parts: Iterable[Part]) -> tuple[Part, ...]:
    """The parts, each ref once, in order."""
    return tuple({part.ref: part for part in parts}.values())


def manifest_line(ref: str, text: str) -> str:
    """Where a fact of a part is stated."""
    plain = ref.replace("-", "").replace("_", "")
    key = ref if plain.isascii() and plain.isalnum() else '"' + ref.replace('"', '\\"') + '"'
    return f"board.toml: [parts.{key}] {text}"


def pin_firm(board: Board, pin: Pin) -> bool:
    """Whether a stop may rest on what the pin is taken for: stated, named, or on a card's pin table
    that was not recalled from memory."""
    evidence = board.function_evidence(pin)
    if evidence != "card":
        return evidence in ("manifest", "pins")
    card, part = board.card(pin.ref), board.circuit.part(pin.ref)
    if card is None or part is None:
        return False
    spelt = pin.name.upper()
    if spelt and any(spelt == name.upper() for names in card.names.values() for name in names):
        return True
    tables = [p for p in card.packages if p.matches.search(part.footprint)] or [*card.packages]
    return bool(tables) and not tables[0].memory


def pins_firm(board: Board, pins: Iterable[Pin]) -> bool:
    """Whether that holds for all of them."""
    return all(pin_firm(board, pin) for pin in pins)


def fact_firm(board: Board, part: Part, key: str) -> bool:
    """Whether a text or truth value is stated, or stands on a card that was not recalled."""
    stated = board.manifest.parts.get(part.ref)
    if stated is not None and key in stated.facts:
        return True
    card = board.card(part.ref)
    if card is None:
        return False
    fact = card.facts_for(board.order_code(part.ref)).get(key)
    return fact is not None and not fact.memory
