from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boards import circuit, manifest
from counterpoise.catalog.cards import read_cards
from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import function_of
from counterpoise.model.design import Design
from counterpoise.model.layout import Layout
from counterpoise.model.verdicts import Fail, Pass
from counterpoise.roles.board import Board
from layouts import layout
from turning import moved

ANTENNA = """
board 40 x 30
part AE1 at 4 3 "ANT-3216"
  pad 1 rect 0.8 x 1.6 at -1.4 0 net=RF
  pad 2 rect 0.8 x 1.6 at 1.4 0
  body -1.6 -0.8 1.6 0.8
zone GND B.Cu : {x} 1 39 1 39 29 {x} 29
"""
WIRING = "AE1 2.4GHz ANT-3216 : 1/FEED=RF 2=~\nU1 RADIO QFN : 1/ANT=RF 2/GND=GND"


def board(wiring: str, facts: str, made: Layout, cards: tuple[object, ...] = ()) -> Board:
    design = Design("test", circuit=circuit(wiring), layout=made, manifest=manifest(facts))
    return Board(design, cards)  # type: ignore[arg-type]


def run(slug: str, made: Board) -> list[tuple[object, ...]]:
    rule = all_rules()[slug]
    return [
        (type(v).__name__, getattr(v, "subjects", ()), getattr(v, "case", ""))
        for v in function_of(rule)(made, rule)
    ]


@settings(max_examples=25, deadline=None)
@given(
    st.floats(0, 360),
    st.floats(-200, 200),
    st.floats(-200, 200),
    st.booleans(),
    st.sampled_from([1.0, 6.0, 12.0]),
)
def test_antenna_verdict_stands_when_the_board_is_moved(
    degrees: float, dx: float, dy: float, flip: bool, x: float
) -> None:
    facts = '[parts.AE1]\nrole = "antenna"'
    made = layout(ANTENNA.format(x=x))
    before = run("antenna-clear-zone", board(WIRING, facts, made))
    after = run("antenna-clear-zone", board(WIRING, facts, moved(made, degrees, (dx, dy), flip)))
    assert before == after


SWITCHES = """
board 80 x 60
part SW1 at 20 10 "MICRO"
  pad 1 rect 1 x 1 at -5 0 net=A
  pad 2 rect 1 x 1 at 0 0 net=GND
  body -6 -4 6 2
part SW2 at 60 10 180 "MICRO"
  pad 1 rect 1 x 1 at -5 0 net=A
  pad 2 rect 1 x 1 at 0 0 net=GND
  body -6 -4 6 2
"""


@pytest.mark.parametrize("degrees", [0, 90, 180, 270])
@pytest.mark.parametrize("flip", [False, True])
def test_odd_sibling_stays_odd_when_the_board_is_moved(degrees: float, flip: bool) -> None:
    facts = "\n".join(f'[parts.SW{i}]\nrole = "push-switch"' for i in (1, 2))
    made = moved(layout(SWITCHES), degrees, (7, 5), flip)
    found = run("switch-siblings", board("SW1 - MICRO : A GND\nSW2 - MICRO : A GND", facts, made))
    assert [v[0] for v in found] == ["Fail"]


@given(st.integers(0, 359), st.booleans())
@settings(max_examples=40, deadline=None)
def test_facing_follows_the_turn(angle: int, back: bool) -> None:
    side = "back" if back else ""
    text = f'board 40 x 30\npart SW1 at 20 15 {angle} {side} "MICRO"\n  pad 1 rect 1 x 1 at 0 0'
    facts = '[board]\nfront = "top"\n[parts.SW1]\nrole = "push-switch"\nplunger = "up"\n'
    made = board("SW1 - MICRO : A GND", facts + 'faces = "front"', layout(text))
    off = abs((angle - (180 if back else 0) + 180) % 360 - 180)
    (found,) = run("switch-facing", made)
    assert found[0] == ("Pass" if off <= 50 else "Fail")


CARD = {
    "micro": {
        "title": "a snap-action switch",
        "role": "change-over-switch",
        "matches": ["SNAP1"],
        "sources": ["own test data"],
        "pins": {"common": ["C"]},
        "packages": {
            "row": {
                "matches": "MICRO",
                "pins": {"1": "common", "2": "open", "3": "closed"},
                "orientation": {"plunger": "up", "order": "1 2 3"},
            },
            "ring": {
                "matches": "RING",
                "pins": {"1": "common", "2": "open", "3": "closed", "4": "none"},
                "orientation": {"round": "1 2 3 4"},
            },
        },
    }
}
ROW = "  pad 1 rect 1 x 1 at {a} 0\n  pad 2 rect 1 x 1 at 0 0\n  pad 3 rect 1 x 1 at {b} 0\n"
RING = (
    "  pad 1 rect 1 x 1 at {a} -3\n  pad 2 rect 1 x 1 at {a} 3\n"
    "  pad 3 rect 1 x 1 at {b} 3\n  pad 4 rect 1 x 1 at {b} -3\n"
)


@pytest.mark.parametrize(("name", "pads"), [("MICRO", ROW), ("RING", RING)])
@pytest.mark.parametrize("side", ["", "back"])
@pytest.mark.parametrize("angle", [0, 90, 135, 180, 270])
def test_pad_order_against_the_card(name: str, pads: str, side: str, angle: int) -> None:
    cards = read_cards("test.toml", CARD)
    for left, right, expected in [(-5, 5, Pass), (5, -5, Fail)]:
        text = f'board 40 x 30\npart SW1 at 20 15 {angle} {side} "{name}"\n'
        made = layout(text + pads.format(a=left, b=right))
        wiring = f"SW1 SNAP1 {name} : 1=A 2=B 3=~"
        (found,) = run("switch-mirrored", board(wiring, "", made, cards))
        assert found[0] == expected.__name__, (left, math.isfinite(angle))
