"""Fabrication rules where a drawing has more faults than a person reads, and exactly at a limit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boards import make_board
from counterpoise.estimates.track import capacity_a
from counterpoise.model.layout import Drawing, Line
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from layouts import layout
from rules import verdicts

FAB = '[board]\nfab = "prototype-2-layer"\n'


def drawn(text: str, facts: str = FAB, circuit: str = "") -> Board:
    return make_board(circuit, facts, layout=layout(text))


def fails(found: list[Verdict]) -> list[Fail]:
    return [one for one in found if isinstance(one, Fail)]


def thin_tracks(count: int) -> str:
    lines = [f"track N{k:02} F.Cu {0.1 + k / 1000} : 5 {k + 1} 20 {k + 1}" for k in range(count)]
    return "\n".join(["board 60 x 60", *lines])


@pytest.mark.parametrize(("count", "told"), [(24, 24), (25, 25), (26, 25), (40, 25)])
def test_the_thinnest_tracks_are_told_and_no_more_than_a_person_reads(
    count: int, told: int
) -> None:
    found = fails(verdicts("track-too-thin", drawn(thin_tracks(count))))
    assert [one.subjects[0] for one in found] == [f"N{k:02}" for k in range(told)]


@pytest.mark.parametrize(("count", "told"), [(25, 25), (27, 25)])
def test_nets_that_touch_are_told_up_to_as_many(count: int, told: int) -> None:
    crossing = [f"track N{k:02} F.Cu 0.2 : {k + 3} 1 {k + 3} 20" for k in range(count)]
    board = drawn("\n".join(["board 60 x 60", "track A F.Cu 0.2 : 1 5 50 5", *crossing]))
    found = fails(verdicts("gap-too-small", board))
    assert [one.nets for one in found] == [("A", f"N{k:02}") for k in range(told)]


@pytest.mark.parametrize(("count", "told"), [(20, 20), (22, 20)])
def test_lone_strokes_of_the_edge_are_told_up_to_twenty(count: int, told: int) -> None:
    strokes = [f"edge line 5 {4 * k + 2} {6 + k / 16} {4 * k + 2}" for k in range(count)]
    found = fails(verdicts("outline-open", drawn("\n".join(["board 60 x 99", *strokes]))))
    assert len(found) == told
    assert found[0].measured is not None
    assert found[0].measured.value == 1 + (count - 1) / 16  # the longest first


@pytest.mark.parametrize(("count", "told"), [(20, 20), (22, 20)])
def test_cut_outs_that_overlap_are_told_up_to_twenty(count: int, told: int) -> None:
    holes = [f"hole {2 * k + 2} 10 {2 * k + 4.5} {12 + k / 10}" for k in range(count + 1)]
    found = fails(verdicts("outline-self-crossing", drawn("\n".join(["board 60 x 60", *holes]))))
    assert len(found) == told


@pytest.mark.parametrize(("net", "faults"), [("GND", 1), (None, 0)])
def test_copper_drawn_on_the_board_counts_where_it_has_a_net(net: str | None, faults: int) -> None:
    """A frame or a word in copper may run along the edge; a drawn conductor may not."""
    made = layout("board 40 x 30\ntrack A F.Cu 0.2 : 5 5 20 5")
    stroke = Drawing(Line((0.2, 5.0), (0.2, 20.0)), "F.Cu", 0.2, net=net)
    board = make_board(facts=FAB, layout=replace(made, drawings=(*made.drawings, stroke)))
    found = verdicts("copper-near-edge", board)
    assert len(fails(found)) == faults
    assert [one.words["what"] for one in fails(found)] == ["drawing GND"] * faults


def test_copper_drawn_on_the_board_is_held_against_no_other_net() -> None:
    made = layout("board 40 x 30\ntrack A F.Cu 0.2 : 5 5 20 5")
    stroke = Drawing(Line((5.0, 5.25), (20.0, 5.25)), "F.Cu", 0.2, net="GND")
    board = make_board(facts=FAB, layout=replace(made, drawings=(*made.drawings, stroke)))
    assert verdicts("gap-too-small", board) == [Pass("the board")]


TIE = """
board 40 x 30
part X1 at 10 10
  pad 1 rect 1 x 1 at 0 0 net=A
  pad 2 rect 1 x 1 at 1.1 0 net=B
"""


@pytest.mark.parametrize(("ties", "faults"), [((("1", "2"),), 0), ((), 1)])
def test_a_part_that_its_library_calls_a_net_tie(
    ties: tuple[tuple[str, ...], ...], faults: int
) -> None:
    made = layout(TIE)
    (footprint,) = made.footprints
    tied = replace(made, footprints=(replace(footprint, net_ties=ties),))
    found = verdicts("gap-too-small", make_board("X1 - - : A B", FAB, layout=tied))
    assert len(fails(found)) == faults


CELL = "BT1 CELL HOLDER : 1/+=VBAT 2/-=GND\n"
CHARGED = CELL + "J1 USB_C USB_C : 1/VBUS=VBUS 2/GND=GND\nU1 CHARGER SOT : 1/VIN=VBUS 2/BAT=VBAT"
ROLES = '[cell]\nref = "BT1"\n[parts.BT1]\nrole = "cell"\n[parts.U1]\nrole = "charger"\n'
CARRIED = capacity_a(0.26, 0.035, 10.0)  # IPC-2221, 6.2; a width whose figure has 15 digits


@pytest.mark.parametrize(
    ("current", "verdict"),
    [
        (f"{CARRIED!r} A", Pass),
        (f"{CARRIED / 2!r} A to {CARRIED!r} A", Pass),
        (f"{CARRIED / 2!r} A to {CARRIED * 1.01!r} A", Unknown),
        (f"{CARRIED!r} A to {CARRIED * 2!r} A", Unknown),
        (f"{CARRIED * 1.001!r} A to {CARRIED * 2!r} A", Fail),
    ],
)
def test_a_track_that_carries_just_its_current(current: str, verdict: type) -> None:
    facts = f'{ROLES}charge_current = "{current}"\n'
    board = drawn("board 40 x 30\ntrack VBAT F.Cu 0.26 : 5 5 20 5", facts, CHARGED)
    (found,) = verdicts("track-current", board)
    assert isinstance(found, verdict)
