"""Which way plungers, shafts and mouths point, and in which order pads lie, at their limits."""

from __future__ import annotations

from typing import Any

import pytest

from boards import circuit, make_board, manifest
from counterpoise.catalog.cards import read_cards
from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import function_of
from counterpoise.model.design import Design
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from layouts import layout
from rules import outcome

BOARD = "board 40 x 30\n"
PADS = "  pad 1 rect 1 x 1 at -1 0 net=A\n  pad 2 rect 1 x 1 at 1 0 net=GND\n"


def judged(
    slug: str, wiring: str, facts: str, drawn: str, cards: dict[str, Any] | None = None
) -> list[Verdict]:
    parts = circuit(wiring)
    design = Design(
        "t", circuit=parts, netlist=parts, layout=layout(drawn), manifest=manifest(facts)
    )
    rule = all_rules()[slug]
    return list(function_of(rule)(Board(design, read_cards("own.toml", cards or {})), rule))


def facing(
    at: str,
    *,
    role: str = "push-switch",
    front: str = "top",
    stated: str = 'plunger = "up"',
    edge: str = BOARD,
) -> Verdict:
    """The verdict for one part, "x y angle" of which is given."""
    facts = f'[board]\nfront = "{front}"\n' if front else ""
    facts += f'[parts.SW1]\nrole = "{role}"\n{stated}\n'
    drawn = f'{edge}part SW1 at {at} "MICRO"\n{PADS}'
    (found,) = judged("switch-facing", "SW1 - MICRO : 1=A 2=GND", facts, drawn)
    return found


def failed(found: Verdict) -> Fail:
    assert isinstance(found, Fail), found
    return found


STATED = 'plunger = "up"\nfaces = "front"'


# -- how far off ----------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("angle", "way"),
    [
        (0, ""),
        (49.5, ""),
        (50.5, "to the left edge"),
        (129.5, "to the left edge"),
        (130.5, "into the board"),
        (180, "into the board"),
        (229.5, "into the board"),
        (230.5, "to the right edge"),
        (310.5, ""),
    ],
)
def test_where_a_turned_plunger_points(angle: float, way: str) -> None:
    """A part at 45° in a corner still counts as turned to its edge; from 130° on it points away."""
    found = facing(f"20 15 {angle}", stated=STATED)
    if not way:
        assert isinstance(found, Pass)
    else:
        assert failed(found).words["way"] == way


def test_an_angle_up_to_the_limit_passes() -> None:
    """A project that allows every way has said so: 180°."""
    facts = '[board]\nfront = "top"\n[rules.switch-facing.limits]\nangle = "180"\n'
    drawn = layout(f'{BOARD}part SW1 at 20 15 180 "MICRO"\n{PADS}')
    made = make_board("SW1 - - : A GND", facts + switch("SW1", STATED), layout=drawn)
    (covered,) = outcome("switch-facing", made).coverage
    assert covered.verdict == "pass"


def test_the_figure_and_the_place_are_told() -> None:
    found = failed(facing("20 15 60.26", stated=STATED))
    assert found.measured is not None
    assert (found.measured.value, found.words["turn"]) == (60.3, "60°")
    assert found.place is not None
    assert (found.place.x_mm, found.place.y_mm) == (20.0, 15.0)


@pytest.mark.parametrize("front", ["top", "right", "bottom", "left"])
@pytest.mark.parametrize(
    ("plunger", "angle"), [("up", 0), ("left", 270), ("down", 180), ("right", 90)]
)
def test_each_edge_can_be_the_one_under_the_fingers(front: str, plunger: str, angle: int) -> None:
    turn = {"top": 0, "left": 90, "bottom": 180, "right": 270}[front]
    at = f"20 15 {(angle + turn) % 360}"
    for stated in (f'plunger = "{plunger}"\nfaces = "front"', f'plunger = "{plunger}"'):
        assert isinstance(facing(at, front=front, stated=stated), Pass)
    other = {"top": "left", "left": "bottom", "bottom": "right", "right": "top"}[front]
    stated = f'plunger = "{plunger}"\nfaces = "{other}"'
    found = failed(facing(at, front=front, stated=stated))
    assert (found.words["edge"], found.words["fingers"]) == (other, "it should face")
    assert found.firm


# -- nothing said of the edge it must face ---------------------------------------------------------
@pytest.mark.parametrize(
    ("at", "verdict", "firm"),
    [
        # The plunger points down, away from the fingers at the top: 30 mm of board.
        ("20 5 180", Fail, True),
        ("20 9.9 180", Fail, True),
        ("20 10 180", Fail, False),  # just twice as much board ahead as behind
        ("20 20 180", Fail, False),
        ("20 20.1 180", Unknown, False),  # over the near edge: it may be meant
        ("20 29 180", Unknown, False),
        ("20 31 180", Unknown, False),  # overhanging the edge it leaves by
        ("20 -1 180", Fail, True),  # overhanging the edge it points away from
        # To the left: 40 mm.
        ("13.4 15 90", Fail, False),
        ("13.3 15 90", Unknown, False),
        ("39 15 90", Fail, False),
    ],
)
def test_a_turned_switch_stops_only_where_it_must_be_wrong(
    at: str, verdict: type, firm: bool
) -> None:
    found = facing(at)
    assert isinstance(found, verdict), found
    if isinstance(found, Fail):
        assert found.firm is firm
        assert bool(found.doubt) is not firm


def test_the_likely_edge_is_offered() -> None:
    found = facing("38 15 270")
    assert isinstance(found, Unknown)
    assert 'faces = "right"' in found.needs[0].where


def test_without_a_closed_edge_nothing_is_sure() -> None:
    found = failed(facing("20 5 180", edge="edge line 0 0 40 0\n"))
    assert not found.firm
    assert failed(facing("20 5 180", edge="edge line 0 0 40 0\n", stated=STATED)).firm


# -- sockets --------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("at", "turned"),
    [
        ("20 29", False),
        ("20 20", False),
        ("20 10", False),  # just twice the board ahead
        ("20 9.9", True),
        ("20 1", True),
    ],
)
def test_a_usb_mouth_must_not_lie_across_the_board(at: str, turned: bool) -> None:
    found = facing(at, role="usb-connector", stated='plunger = "down"', front="")
    if turned:
        assert (failed(found).case, failed(found).firm) == ("mouth", False)
    else:
        assert isinstance(found, Pass)


@pytest.mark.parametrize("role", ["connector", "cell"])
def test_another_socket_needs_its_edge_stated(role: str) -> None:
    """Inner connectors take wires that come across the board."""
    drawn = f'{BOARD}part SW1 at 20 1 "MICRO"\n{PADS}'
    for faces, verdicts in (("", []), ('faces = "bottom"', [Pass]), ('faces = "top"', [Fail])):
        facts = f'[parts.SW1]\nrole = "{role}"\nplunger = "down"\n{faces}\n'
        found = judged("switch-facing", "SW1 - MICRO : 1=A 2=GND", facts, drawn)
        assert [type(one) for one in found] == verdicts


# -- which parts ----------------------------------------------------------------------------------
def several(facts: str, parts: int = 3) -> list[Verdict]:
    wiring = "\n".join(f"SW{n} - MICRO : 1=A 2=GND" for n in range(1, parts + 1))
    drawn = BOARD + "".join(f'part SW{n} at {9 * n} 5 "MICRO"\n{PADS}' for n in range(2, parts + 1))
    return judged("switch-facing", wiring, '[board]\nfront = "top"\n' + facts, drawn)


def switch(ref: str, *lines: str, role: str = "push-switch") -> str:
    return "\n".join((f"[parts.{ref}]", f'role = "{role}"', *lines, ""))


def test_a_part_that_is_not_drawn_or_pressed_from_above_hides_no_other() -> None:
    """SW1 is on no footprint; SW2 is pressed from above; SW3 is judged."""
    facts = switch("SW1", 'plunger = "up"') + switch("SW2", 'actuation = "top"')
    facts += switch("SW3", 'plunger = "up"')
    assert several(facts) == [Pass("SW3")]


def test_a_control_that_may_face_anywhere_passes_without_its_plunger() -> None:
    facts = switch("SW2", 'faces = "any"') + switch("SW3", 'plunger = "down"', 'faces = "any"')
    assert several(facts + switch("SW1")) == [Pass("SW2"), Pass("SW3")]


@pytest.mark.parametrize(
    ("role", "lines", "asked"),
    [
        ("push-switch", (), True),
        ("change-over-switch", (), True),
        # Often symmetric, and seldom wrong: only where an edge is stated for it.
        ("slide-switch", (), False),
        ("encoder", (), False),
        ("slide-switch", ('faces = "top"',), True),
    ],
)
def test_whose_plunger_is_asked_for(role: str, lines: tuple[str, ...], asked: bool) -> None:
    found = several(switch("SW1") + switch("SW2", *lines, role=role), parts=2)
    assert [type(one) for one in found] == ([Unknown] if asked else [])


def test_switches_of_which_nothing_is_known_share_one_need() -> None:
    (found,) = several("".join(switch(f"SW{n}") for n in (1, 2, 3, 4)), parts=4)
    assert isinstance(found, Unknown)
    assert found.needs[0].what == "the side of the plunger of SW2 and 2 more"


# -- cards ----------------------------------------------------------------------------------------
CARD: dict[str, Any] = {
    "micro": {
        "title": "a snap-action switch",
        "role": "change-over-switch",
        "matches": ["SNAP1"],
        "sources": ["own test data"],
        "pins": {"common": ["C"]},
        "packages": {
            "mini": {"matches": "MINI", "orientation": {"plunger": "right", "order": "3 2 1"}},
            "row": {"matches": "MICRO", "orientation": {"plunger": "up", "order": "1 2 3"}},
            "ring": {"matches": "RING", "orientation": {"round": "1 2 3"}},
        },
    }
}
for _package in CARD["micro"]["packages"].values():
    _package["pins"] = {"1": "common", "2": "open", "3": "closed"}


@pytest.mark.parametrize(
    ("name", "stated", "verdict"),
    [
        ("MICRO", "", Pass),
        ("MINI", "", Fail),
        # What is stated counts before the card.
        ("MICRO", 'plunger = "down"', Fail),
        ("MINI", 'plunger = "up"', Pass),
        # A footprint that the card does not know, or of which it does not tell the plunger.
        ("OTHER", "", Unknown),
        ("RING", "", Unknown),
    ],
)
def test_the_card_tells_the_plunger_of_the_footprint_it_knows(
    name: str, stated: str, verdict: type
) -> None:
    facts = '[board]\nfront = "top"\n'
    facts += f'[parts.SW1]\nfaces = "front"\n{stated}\n'
    drawn = f'{BOARD}part SW1 at 20 15 "{name}"\n{PADS}'
    (found,) = judged("switch-facing", f"SW1 SNAP1 {name} : 1=A 2=GND", facts, drawn, CARD)
    assert isinstance(found, verdict)


# -- pad order ------------------------------------------------------------------------------------
def order(pads: str, name: str = "MICRO", stated: str = "", turn: str = "") -> Verdict:
    facts = f"[parts.SW1]\n{stated}\n" if stated else ""
    rows = "".join(f"  pad {row}\n" for row in pads.split("; "))
    drawn = f'{BOARD}part SW1 at 20 15 {turn} "{name}"\n{rows}'
    (found,) = judged("switch-mirrored", f"SW1 SNAP1 {name} : 1=A 2=B 3=C", facts, drawn, CARD)
    return found


ROW = "1 rect 1 x 1 at -5 0; 2 rect 1 x 1 at 0 0; 3 rect 1 x 1 at 5 0"
MIRRORED = "1 rect 1 x 1 at 5 0; 2 rect 1 x 1 at 0 0; 3 rect 1 x 1 at -5 0"


@pytest.mark.parametrize(
    ("pads", "name", "stated", "verdict"),
    [
        (ROW, "MICRO", "", Pass),
        (MIRRORED, "MICRO", "", Fail),
        (MIRRORED, "MICRO", 'pad_order = "3 2 1"', Pass),
        # A stated order without a side to look from.
        (ROW, "OTHER", 'pad_order = "1 2 3"', Unknown),
        (ROW, "OTHER", 'pad_order = "1 2 3"\nplunger = "up"', Pass),
        # An order of one pad, or of a pad that is not drawn, tells nothing.
        (ROW, "MICRO", 'pad_order = "1"', Unknown),
        (ROW, "MICRO", 'pad_order = "1 3"', Pass),
        (MIRRORED, "MICRO", 'pad_order = "1 3"', Fail),
        (ROW, "MICRO", 'pad_order = "1 9"', Unknown),
        # A pad drawn in two pieces counts by their middle; paste alone is no pad.
        (f"{ROW}; 3 rect 1 x 1 at -17 0", "MICRO", "", Fail),
        (f"{ROW}; 3 rect 1 x 1 at -14 0", "MICRO", "", Pass),
        (f"{ROW}; 3 rect 1 x 1 at -30 0 layers=F.Paste", "MICRO", "", Pass),
        # Pads one above the other say nothing of left and right.
        ("1 rect 1 x 1 at 0 -5; 2 rect 1 x 1 at 0 0; 3 rect 1 x 1 at 1.5 0", "MICRO", "", Unknown),
        ("1 rect 1 x 1 at 0 -5; 2 rect 1 x 1 at 0 0; 3 rect 1 x 1 at 1.7 0", "MICRO", "", Pass),
        ("1 rect 1 x 1 at 0 -5; 2 rect 1 x 1 at 0 0; 3 rect 1 x 1 at -1.7 0", "MICRO", "", Fail),
        # Round the footprint: counter-clockwise, clockwise, in one line, too few.
        ("1 rect 1 x 1 at -5 -3; 2 rect 1 x 1 at -5 3; 3 rect 1 x 1 at 5 3", "RING", "", Pass),
        ("1 rect 1 x 1 at 5 -3; 2 rect 1 x 1 at 5 3; 3 rect 1 x 1 at -5 3", "RING", "", Fail),
        (ROW, "RING", "", Unknown),
        ("1 rect 1 x 1 at 0 0; 2 rect 1 x 1 at 0 5; 3 rect 1 x 1 at 0.018 0", "RING", "", Unknown),
        ("1 rect 1 x 1 at 0 0; 2 rect 1 x 1 at 0 5; 3 rect 1 x 1 at 0.025 0", "RING", "", Pass),
        ("1 rect 1 x 1 at -5 -3; 2 rect 1 x 1 at -5 3", "RING", "", Unknown),
    ],
)
@pytest.mark.parametrize("turn", ["", "60", "90", "200 back"])
def test_the_order_of_the_pads(pads: str, name: str, stated: str, verdict: type, turn: str) -> None:
    """However the part is turned, and from its own side."""
    assert isinstance(order(pads, name, stated, turn), verdict)


def test_a_switch_that_is_not_drawn_hides_no_other() -> None:
    wiring = "SW1 SNAP1 MICRO : 1=A 2=B 3=C\nSW2 SNAP1 MICRO : 1=A 2=B 3=C"
    rows = "".join(f"  pad {row}\n" for row in MIRRORED.split("; "))
    drawn = f'{BOARD}part SW2 at 20 15 "MICRO"\n{rows}'
    (found,) = judged("switch-mirrored", wiring, "", drawn, CARD)
    assert failed(found).subjects == ("SW2",)
    assert failed(found).place is not None


@pytest.mark.parametrize(("count", "more"), [(1, ""), (2, " and 1 more"), (3, " and 2 more")])
def test_switches_whose_pad_order_nobody_tells_share_one_need(count: int, more: str) -> None:
    names = ("SW1", "SW2", "SW3")[:count]
    wiring = "\n".join(f"{ref} - MICRO : 1=A 2=B 3=C" for ref in names)
    rows = "".join(f"  pad {row}\n" for row in ROW.split("; "))
    drawn = BOARD + "".join(
        f'part {ref} at {10 * n + 5} 15 "MICRO"\n{rows}' for n, ref in enumerate(names)
    )
    facts = "".join(switch(ref, role="change-over-switch") for ref in names)
    (found,) = judged("switch-mirrored", wiring, facts, drawn)
    assert isinstance(found, Unknown)
    assert found.needs[0].what == f"the order of the pads of SW1{more}"
