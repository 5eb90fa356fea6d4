"""Open-hardware boards: key parts get their role, or an honest unknown, never a wrong firm one."""

from __future__ import annotations

import json
import os
import random
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from counterpoise.catalog.cards import all_cards
from counterpoise.model.circuit import Circuit, Part
from counterpoise.model.design import Design
from counterpoise.readers._source import Source
from counterpoise.readers.detect import read
from counterpoise.roles.board import Board

FOLDER = Path(
    os.environ.get("COUNTERPOISE_BOARDS")
    or Path(__file__).resolve().parents[2] / "../shared/boards"
)
FILES = sorted([*FOLDER.glob("*/*.kicad_pcb"), *FOLDER.glob("*/*.net")]) if FOLDER.is_dir() else []

pytestmark = pytest.mark.skipif(not FILES, reason="the folder of real boards is not there")

SWITCHES = {"push-switch", "slide-switch", "change-over-switch"}
PASSIVES = {"resistor", "capacitor", "inductor", "ferrite", "fuse", "link", "diode", "transistor"}
HELPERS = PASSIVES | {"led", "clamp", "logic", "usb-connector", "thermistor"}
RADIOS = {"radio", "radio-module"}
CONVERTERS = {"regulator", "buck", "boost", "buck-boost"}
RIGHT = {
    "battery": {"cell", "capacitor"},
    "charger": {"charger", *HELPERS},
    "regulator": CONVERTERS | PASSIVES,
    "crystal": {"crystal", "oscillator", "resonator", *PASSIVES},
    "antenna": {"antenna", *RADIOS, *PASSIVES},
    "radio/antenna": {"antenna", *RADIOS, *PASSIVES},
    "switch": SWITCHES,
    "usb": {"usb-connector", *HELPERS},
}


@cache
def circuit_of(path: Path) -> Circuit:
    found = read(Source.of(path)).circuit
    assert found is not None
    return found


def board_of(circuit: Circuit, *, cards: bool) -> Board:
    return Board(Design("real", circuit=circuit), all_cards() if cards else ())


def truth(path: Path) -> list[tuple[str, str]]:
    parts = json.loads((path.parent / "truth.json").read_text(encoding="utf-8"))["parts"]
    return [(kind, p["ref"]) for kind, ps in parts.items() if isinstance(ps, list) for p in ps]


@pytest.mark.parametrize("cards", [True, False])
@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_key_parts(path: Path, cards: bool) -> None:
    board = board_of(circuit_of(path), cards=cards)
    wrong = [
        (ref, kind, board.role(ref).name, board.role(ref).because)
        for kind, ref in truth(path)
        if board.role(ref).firm
        and board.role(ref).name not in (*RIGHT[kind], "chip", "unknown")
        and board.circuit.part(ref) is not None
    ]
    assert wrong == []


def renamed(part: Part, ref: str) -> Part:
    pins = tuple(replace(pin, ref=ref) for pin in part.pins)
    return replace(part, ref=ref, pins=pins)


@pytest.mark.parametrize("letters", ["X", "R", "U"])
@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_false_references_give_no_wrong_firm_role(path: Path, letters: str) -> None:
    circuit = circuit_of(path)
    plain = board_of(circuit, cards=False)
    parts = tuple(renamed(p, f"{letters}{i}") for i, p in enumerate(circuit.parts, 1))
    board = board_of(Circuit(parts), cards=False)
    first = {id(p) for p in circuit.parts if circuit.part(p.ref) is p}
    wrong = [
        (old.ref, plain.role(old.ref).name, board.role(new.ref).name, board.role(new.ref).because)
        for old, new in zip(circuit.parts, parts, strict=True)
        if id(old) in first
        and board.role(new.ref).firm
        and plain.role(old.ref).firm
        and board.role(new.ref).name != plain.role(old.ref).name
    ]
    assert wrong == []


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_the_order_of_parts_changes_nothing(path: Path) -> None:
    circuit = circuit_of(path)
    refs = [p.ref for p in circuit.parts]
    once = tuple(p for p in circuit.parts if refs.count(p.ref) == 1)
    mixed = list(once)
    random.Random(7).shuffle(mixed)
    first, second = (board_of(Circuit(parts), cards=True) for parts in (once, tuple(mixed)))
    assert dict(first.roles) == dict(second.roles)
    assert first.grounds == second.grounds
    assert dict(first.rails) == dict(second.rails)
