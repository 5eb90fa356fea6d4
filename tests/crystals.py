"""A radio chip with a crystal and its two load capacitors, for tests of any of them."""

from __future__ import annotations

from typing import Any

from boards import make_board
from counterpoise.catalog.cards import all_cards, read_cards
from counterpoise.model.verdicts import Fail, Verdict
from counterpoise.roles.board import Board
from rules import verdicts

CHIP = "U1 RX900 QFN-32 : 1/XIN=XIN 2/XOUT=XOUT 3/VDD/pwr=+3V3 4/GND/pwr=GND 5/RF=ANT\n"
CRYSTAL = "Y1 16MHz Crystal_3225 : 1=XIN 2=GND 3=XOUT 4=GND @symbol=Crystal_GND24\n"
FACTS = (
    '[board]\nstray = "{stray} pF"\n[parts.Y1]\nload = "{load} pF"\n[parts.U1]\nrole = "radio"\n'
)


def caps(first: str, second: str) -> str:
    return f"C1 {first} C_0402 : XIN GND\nC2 {second} C_0402 : XOUT GND\n"


def facts(load: float | str, stray: float | str, chip: str = "") -> str:
    return FACTS.format(load=load, stray=stray) + chip + "\n"


def one(text: str, stated: str, *cards: dict[str, Any], slug: str = "crystal-load") -> Verdict:
    own = read_cards("own.toml", {f"card{k}": card for k, card in enumerate(cards)})
    board = Board(make_board(text, stated).design, (*own, *all_cards()))
    (verdict,) = verdicts(slug, board)
    return verdict


def failed(text: str, stated: str, *cards: dict[str, Any]) -> Fail:
    verdict = one(text, stated, *cards)
    assert isinstance(verdict, Fail), verdict
    return verdict
