"""Every real board and the demo: renamed it is the same, rewired it is not."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from commands import DEMO, DEMO_BOARDS, OUTSIDE
from counterpoise.cli._work import board_at
from counterpoise.compare.wiring import compare_wiring
from counterpoise.model.circuit import Part
from counterpoise.roles.board import Board
from renaming import moved, renamed, unkept

REWIRED = 6


def places() -> list[Path]:
    outside = sorted(path for path in OUTSIDE.glob("*") if path.is_dir())
    # A folder with several placement files needs a manifest; its board file says all wires.
    found = [next(iter(sorted(path.glob("*.kicad_pcb"))), path) for path in outside]
    return [*(DEMO / name for name in DEMO_BOARDS), *found]


@cache
def loaded(path: Path) -> Board:
    return unkept(board_at(path))


def named(path: Path) -> str:
    return path.stem


@pytest.mark.parametrize("path", places(), ids=named)
def test_renamed_is_the_same(path: Path) -> None:
    board = loaded(path)
    answer = compare_wiring(board, renamed(board, random.Random(5)).board).wiring
    assert (answer.verdict, answer.differences) == ("same", ())


@pytest.mark.parametrize("path", places(), ids=named)
def test_one_moved_pin_is_at_most_three_differences(path: Path) -> None:
    board = loaded(path)
    rng = random.Random(11)
    for _ in range(REWIRED):
        part, number, net = _some_pin(board, rng)
        other = renamed(board, rng, moved(part.ref, number, net)).board
        answer = compare_wiring(board, other).wiring
        told = f"{part.ref}.{number} to {net}"
        assert answer.verdict == "different", told
        assert 1 <= len(answer.differences) <= 3, told


def _some_pin(board: Board, rng: random.Random) -> tuple[Part, str, str]:
    """A pin that is joined to others, and a net it is not on."""
    nets = {name: net for name, net in board.circuit.nets.items() if len(net.pins) > 1}
    wired = [
        pin
        for part in board.parts
        for pin in part.pins
        if pin.net in nets and len({p.number for p in part.pins}) == len(part.pins)
    ]
    pin = rng.choice(wired)
    part = board.circuit.part(pin.ref)
    assert part is not None
    others = sorted(set(nets) - set(part.nets))
    return part, pin.number, rng.choice(others)


@pytest.mark.parametrize("name", DEMO_BOARDS)
def test_two_swapped_pins_of_a_chip(name: str) -> None:
    board = loaded(DEMO / name)
    (chip,) = board.parts_as("radio")

    def swapped(parts: list[Part]) -> list[Part]:
        return [_swapped(p) if p.ref == chip.ref else p for p in parts]

    answer = compare_wiring(board, renamed(board, random.Random(2), swapped).board).wiring
    assert answer.verdict == "different"
    assert [d.kind for d in answer.differences] == ["exchanged"]


def _swapped(part: Part) -> Part:
    a, b = part.pin("12"), part.pin("13")
    assert a is not None
    assert b is not None
    pins = tuple(
        replace(p, net=b.net) if p is a else replace(p, net=a.net) if p is b else p
        for p in part.pins
    )
    return replace(part, pins=pins)


# -- the demo ---------------------------------------------------------------------------------------
def test_donor_against_revision_b() -> None:
    donor, new = board_at(DEMO / "donor"), board_at(DEMO / "rev-b")
    answer = compare_wiring(donor, new, ("donor", "rev-b")).wiring
    assert answer.verdict == "same"
    assert {"U1", "Y1", "T1", "AE1", "SW1", "SW2", "SW3", "SW4"} <= set(answer.kept)
    assert answer.replaced == (
        ("boost converter", "dry cell"),
        ("regulator", "USB-C socket", "charger", "lithium cell"),
    )
    (supply,) = answer.boundary
    assert (supply.old_net, supply.new_net) == ("+3V3", "+3V0")


def test_donor_against_revision_a_names_the_mistake() -> None:
    donor, new = board_at(DEMO / "donor"), board_at(DEMO / "rev-a")
    answer = compare_wiring(donor, new, ("donor", "rev-a")).wiring
    assert answer.verdict == "different"
    (difference,) = answer.differences
    for word in ("donor U2.8", "SW2.2", "SW1.3"):
        assert word in difference.message
    assert "SW2" in answer.kept


@pytest.mark.parametrize("name", ["donor", "rev-b"])
def test_bare_netlists_of_the_demo_need_no_manifest(name: str) -> None:
    old = board_at(DEMO / "donor" / "donor.net")
    new = board_at(DEMO / name / f"{name}.net")
    assert compare_wiring(old, new).wiring.verdict == "same"


@pytest.mark.parametrize("name", DEMO_BOARDS)
def test_netlist_and_board_file_are_one_circuit(name: str) -> None:
    """The board file knows fewer pin names and no order codes; the wires are the same."""
    folder = DEMO / name
    old, new = board_at(folder / f"{name}.net"), board_at(folder / f"{name}.kicad_pcb")
    assert compare_wiring(old, new).wiring.verdict == "same"
    assert compare_wiring(new, old).wiring.verdict == "same"
