"""The same board under other names: refs, nets, order of parts and pins all drawn anew."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import TypeVar

from counterpoise.catalog.cards import all_cards
from counterpoise.model.bom import Bom
from counterpoise.model.circuit import Circuit, Part, Pin
from counterpoise.model.manifest import Compare
from counterpoise.roles.board import Board

T = TypeVar("T")
Edit = Callable[[list[Part]], list[Part]]


@dataclass(frozen=True)
class Renamed:
    """The renamed board, and the new refs and nets by the old ones."""

    board: Board
    refs: dict[str, str]
    nets: dict[str, str]


def renamed(board: Board, rng: random.Random, edit: Edit | None = None) -> Renamed:
    """``board`` with every name drawn anew and all orders shuffled, after ``edit`` of its parts."""
    parts = list(board.circuit.parts)
    if edit is not None:
        parts = edit(parts)
    numbers = _shuffled(range(len(parts)), rng)
    refs: dict[str, str] = {}
    for part, number in zip(parts, numbers, strict=True):
        refs.setdefault(part.ref, f"X{number + 1}")
    names = sorted({pin.net for part in parts for pin in part.pins if pin.net is not None})
    nets = dict(zip(names, (f"w{i}" for i in _shuffled(range(len(names)), rng)), strict=True))
    made = Circuit(tuple(_shuffled([_part(p, refs, nets, rng) for p in parts], rng)))
    design = replace(
        board.design,
        circuit=made,
        netlist=made,
        drawn=None,
        layout=None,
        placements=None,
        bom=_bom(board.design.bom, refs),
        manifest=replace(
            board.manifest,
            parts={refs.get(ref, ref): facts for ref, facts in board.manifest.parts.items()},
            compare=Compare(),
        ),
    )
    return Renamed(Board(design, all_cards()), refs, nets)


def unkept(board: Board) -> Board:
    """The board with nothing named in [compare] keep."""
    manifest = replace(board.manifest, compare=Compare())
    return Board(replace(board.design, manifest=manifest), all_cards())


def _part(part: Part, refs: dict[str, str], nets: dict[str, str], rng: random.Random) -> Part:
    ref = refs[part.ref]
    pins = [replace(p, ref=ref, net=None if p.net is None else nets[p.net]) for p in part.pins]
    return replace(part, ref=ref, pins=tuple(_shuffled(pins, rng)))


def _bom(bom: Bom | None, refs: dict[str, str]) -> Bom | None:
    if bom is None:
        return None
    lines = (replace(line, refs=tuple(refs.get(r, r) for r in line.refs)) for line in bom.lines)
    return Bom(tuple(lines), bom.columns)


def _shuffled(items: Iterable[T], rng: random.Random) -> list[T]:
    found = list(items)
    rng.shuffle(found)
    return found


def moved(ref: str, number: str, net: str | None) -> Edit:
    """An edit that puts one pin on another net."""

    def edit(parts: list[Part]) -> list[Part]:
        return [
            replace(part, pins=tuple(_on(pin, number, net) for pin in part.pins))
            if part.ref == ref
            else part
            for part in parts
        ]

    return edit


def _on(pin: Pin, number: str, net: str | None) -> Pin:
    return replace(pin, net=net) if pin.number == number else pin
