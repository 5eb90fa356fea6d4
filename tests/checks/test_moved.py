"""Whole boards turned, shifted and turned over: no verdict on the layout may change with them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boards import circuit, manifest
from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import function_of
from counterpoise.model.bom import Placement
from counterpoise.model.design import Design
from counterpoise.model.layout import BACK, Layout
from counterpoise.roles.board import Board
from layouts import layout
from turning import moved

PLACEMENT = tuple(rule for rule in all_rules().values() if rule.domain == "placement")

SOUND = """
thickness 1.6
board 60 x 40
part AE1 at 4 3 180 "ANT-3216"
  pad 1 rect 0.8 x 1.6 at -1.4 0 net=RF
  pad 2 rect 0.8 x 1.6 at 1.4 0
  body -1.6 -0.8 1.6 0.8
part U1 at 11 7 "QFN"
  pad 1 rect 0.5 x 0.3 at 0 -2 net=RF
  pad 2 rect 0.5 x 0.3 at 0 2 net=GND
  pad 3 rect 0.5 x 0.3 at 2 0 net=XI
  pad 4 rect 0.5 x 0.3 at 2 1 net=XO
part Y1 at 16 8 "XTAL"
  pad 1 rect 0.6 x 0.6 at -1 0 net=XI
  pad 2 rect 0.6 x 0.6 at 1 0 net=XO
  body -1.6 -1 1.6 1
part SW1 at 20 35 "MICRO"
  pad 1 rect 1 x 1 at -2.5 0 net=A
  pad 2 rect 1 x 1 at 2.5 0.5 net=GND
  body -4 -3 4 2
part SW2 at 40 35 "MICRO"
  pad 1 rect 1 x 1 at -2.5 0 net=B
  pad 2 rect 1 x 1 at 2.5 0.5 net=GND
  body -4 -3 4 2
part BT1 at 45 15 "HOLDER"
  pad 1 rect 1 x 1 at -4 0 net=VBAT
  pad 2 rect 1 x 1 at 4 0 net=GND
  courtyard -8 -8 8 8
track RF F.Cu 2.8 : 5.4 3 11 5
track XI F.Cu 0.2 : 13 7 15 8
track XO F.Cu 0.2 : 13 8 17 8
zone GND B.Cu : 11 9 59 9 59 39 11 39
"""
FAULTY = (
    SOUND.replace("SW2 at 40 35", "SW2 at 40 35 180")
    .replace("Y1 at 16 8", "Y1 at 40 30")
    .replace("BT1 at 45 15", "BT1 at 13 13")
    .replace("RF F.Cu 2.8", "RF F.Cu 0.2")
    .replace("11 9 59 9 59 39 11 39", "1 1 59 1 59 39 1 39")
    .replace("net=VBAT", "net=GND")
)
PAIR = SOUND.replace("SW1 at 20 35", "SW1 at 20 35 90").replace("SW2 at 40 35", "SW2 at 40 35 270")
INSIDE = FAULTY.replace("AE1 at 4 3 180", "AE1 at 30 22 180")

WIRING = """
AE1 2.4GHz ANT-3216 : 1/FEED=RF 2=~
U1 RADIO QFN : 1/ANT=RF 2/GND=GND 3/XTAL_IN=XI 4/XTAL_OUT=XO
Y1 32MHz XTAL : 1=XI 2=XO
SW1 - MICRO : 1=A 2=GND
SW2 - MICRO : 1=B 2=GND
BT1 CELL HOLDER : 1/+=VBAT 2/-=GND
"""
FACTS = """
[board]
front = "{front}"
[limits]
height = "4 mm"
[parts.AE1]
role = "antenna"
[parts.U1]
role = "radio"
height = "1 mm"
[parts.Y1]
role = "crystal"
height = "1 mm"
[parts.BT1]
role = "cell"
height = "3 mm"
[parts.SW1]
role = "push-switch"
height = "1 mm"
[parts.SW2]
role = "push-switch"
height = "1 mm"
"""
FACING = '\n[parts.SW3]\nrole = "push-switch"\nplunger = "down"\nfaces = "front"'


def placements(made: Layout) -> tuple[Placement, ...]:
    """The placement file of the layout, one part a quarter turn off."""
    return tuple(
        Placement(
            f.ref,
            f.at[0],
            -f.at[1],
            (f.angle + (90 if f.ref == "U1" else 0)) % 360,
            f.side,
        )
        for f in made.footprints
    )


def told(made: Layout, facts: str, only: str = "") -> list[tuple[object, ...]]:
    """Verdict, subject and size of each placement rule but those of facing."""
    wiring = circuit(WIRING)
    design = Design(
        "test",
        circuit=wiring,
        netlist=wiring,
        drawn=circuit(WIRING.replace("VBAT", "GND")) if "VBAT" not in str(made) else wiring,
        layout=made,
        placements=placements(made),
        manifest=manifest(facts),
    )
    board = Board(design)
    found: list[tuple[object, ...]] = []
    for rule in PLACEMENT:
        if only and rule.slug != only:
            continue
        for v in function_of(rule)(board, rule):
            measured = getattr(v, "measured", None)
            size = None if measured is None else round(measured.value, 1)
            subjects = tuple(getattr(v, "subjects", ())) or (getattr(v, "subject", ""),)
            case = getattr(v, "case", "")
            if rule.slug == "switch-siblings":
                # Either of two may be called the odd one, and by either sense of rotation.
                subjects, size = tuple(sorted(subjects)), None
            found.append((rule.slug, type(v).__name__, subjects, case, size))
    return sorted(found, key=str)


def test_the_faulty_board_fails_and_the_sound_one_holds() -> None:
    facts = FACTS.format(front="bottom")
    failed = {slug for slug, kind, *_ in told(layout(FAULTY), facts) if kind == "Fail"}
    assert failed >= {
        "antenna-clear-zone",
        "antenna-near-metal",
        "feed-impedance",
        "crystal-distance",
        "switch-siblings",
        "layout-netlist-differs",
        "centroid-rotation",
        "height-over",
    }
    assert "antenna-at-edge" in {s for s, k, *_ in told(layout(INSIDE), facts) if k == "Fail"}
    pair = told(layout(PAIR), facts, "switch-siblings")
    assert [kind for _, kind, *_ in pair] == ["Pass"], "a mirror image is no slip"
    kinds = {slug for slug, kind, *_ in told(layout(SOUND), facts) if kind == "Fail"}
    assert kinds == {"centroid-rotation", "height-over"}, "only what the files beside it get wrong"


@pytest.mark.parametrize(
    "text", [SOUND, FAULTY, INSIDE, PAIR], ids=["sound", "faulty", "inside", "pair"]
)
@settings(max_examples=12, deadline=None)
@given(st.floats(0, 360), st.floats(-200, 200), st.floats(-200, 200), st.booleans())
def test_placement_verdicts_stand_when_the_board_is_moved(
    text: str, degrees: float, dx: float, dy: float, flip: bool
) -> None:
    made, facts = layout(text), FACTS.format(front="bottom")
    again = moved(made, degrees, (dx, dy), flip)
    assert told(again, facts) == told(made, facts)


ROUND = ("top", "left", "bottom", "right")
"""Edges of the board, counter-clockwise."""


@pytest.mark.parametrize("quarter", range(4))
@pytest.mark.parametrize("flip", [False, True])
@pytest.mark.parametrize("angle", [0, 45, 90, 180, 270])
@pytest.mark.parametrize("side", ["", "back"])
def test_facing_moves_with_its_edge(quarter: int, flip: bool, angle: int, side: str) -> None:
    text = f'board 60 x 40\npart SW3 at 30 36 {angle} {side} "MICRO"\n  pad 1 rect 1 x 1 at 0 0'

    def judged(made: Layout, front: str) -> list[str]:
        design = Design(
            "test",
            circuit=circuit("SW3 - MICRO : A GND"),
            layout=made,
            manifest=manifest(f'[board]\nfront = "{front}"' + FACING),
        )
        rule = all_rules()["switch-facing"]
        return [type(v).__name__ for v in function_of(rule)(Board(design), rule)]

    made = layout(text)
    for front in ROUND:
        seen = {"left": "right", "right": "left"}.get(front, front) if flip else front
        turned = ROUND[(ROUND.index(seen) + quarter) % 4]
        assert judged(moved(made, 90 * quarter, (5, 7), flip), turned) == judged(made, front)


def test_both_sides_are_told_apart() -> None:
    made = layout(SOUND)
    over = moved(made, 0, (0, 0), True)
    assert {f.side for f in over.footprints} == {BACK}
    assert replace(over, footprints=()) != replace(made, footprints=())
