"""The mistakes written into real files, and what a careful colleague would say of each."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from commands import DEMO, OUTSIDE
from filefaults import Board, Edit, Files, Finding, Netlist, Project

MAKERS = Path(__file__).parent / "makers"


def _outside(folder: str, manifest: bool = False) -> Files:
    place = OUTSIDE / folder
    text = (MAKERS / f"{folder}.toml").read_text() if manifest else ""

    def one(pattern: str) -> Path | None:
        return next(iter(sorted(place.glob(pattern))), None)

    return Files(one("*.kicad_pcb"), one("*.net"), one("*[bB][oO][mM].csv"), text)


def _demo(folder: str) -> Files:
    place = DEMO / folder
    text = (place / "board.toml").read_text(encoding="utf-8")
    text = re.sub(r"(?m)^(netlist|layout|bom|centroid) = .*\n", "", text)
    return Files(place / f"{folder}.kicad_pcb", place / f"{folder}.net", place / "bom.csv", text)


def _alone(files: Files, kind: str) -> Files:
    return Files(**{kind: getattr(files, kind)})


def _parasite(manifest: bool = False) -> Files:
    found = _outside("parasite", manifest)
    return Files(found.board, None, OUTSIDE / "parasite" / "parasite.csv", found.manifest)


BASES: dict[str, Callable[[], Files]] = {
    "watchy": lambda: _outside("watchy"),
    "flatbox4": lambda: _outside("flatbox4"),
    "parasite": _parasite,
    "olimex": lambda: _outside("olimex-lipo-d"),
    "olimex board": lambda: _alone(_outside("olimex-lipo-d"), "board"),
    "olimex net": lambda: _alone(_outside("olimex-lipo-d"), "net"),
    "redox-rx": lambda: _outside("redox-w-rx"),
    "redox-rx board": lambda: _alone(_outside("redox-w-rx"), "board"),
    "redox-tx": lambda: _outside("redox-w-tx"),
    "redox-tx board": lambda: _alone(_outside("redox-w-tx"), "board"),
    "orangecrab": lambda: _outside("orangecrab"),
    "rev-b": lambda: _demo("rev-b"),
    "donor": lambda: _demo("donor"),
}

COPPER = frozenset({"gap-too-small", "crystal-distance", "feed-impedance"})
"""Honest company of a pad on another net: the tracks that reach it are still drawn as they were."""


@dataclass(frozen=True)
class Fault:
    """One mistake in one board's files.

    Attributes:
        expected: What has to be found, and was not before.
        company: Rules that may honestly speak up as well.
        state: Lines for the manifest, in the run before and after.
        asks: In place of a finding: the line that the report asks for. With it the fault is found.
    """

    base: str
    kind: str
    edit: Edit
    expected: tuple[Finding, ...]
    company: tuple[str, ...] = ()
    state: str = ""
    quick: bool = False
    asks: str = ""


def wire(ref: str, pin: str, net: str) -> Edit:
    return lambda p: p.wire(ref, pin, net)


def remove(*refs: str) -> Edit:
    return lambda p: p.remove(*refs)


def value(ref: str, new: str) -> Edit:
    return lambda p: p.value(ref, new)


def swap(ref: str, one: str, other: str) -> Edit:
    return lambda p: p.swap(ref, one, other)


def turn(ref: str, angle: float) -> Edit:
    return on_board(lambda board: board.place(ref, turn=angle))


def place(ref: str, dx: float, dy: float) -> Edit:
    return on_board(lambda board: board.place(ref, dx, dy))


def rename(ref: str, new: str) -> Edit:
    return lambda p: p.rename(ref, new)


def line(old: str, new: str) -> Edit:
    return lambda p: p.line(old, new)


def state(old: str, new: str) -> Edit:
    return lambda p: p.state(old, new)


def on_board(edit: Callable[[Board], None]) -> Edit:
    """A change of the board file alone."""

    def apply(project: Project) -> None:
        assert project.board is not None
        edit(project.board)

    return apply


def board_wire(ref: str, pin: str, net: str) -> Edit:
    """A pad on another net on the board alone."""
    return on_board(lambda board: board.wire(ref, pin, net))


def on_netlist(edit: Callable[[Netlist], None]) -> Edit:
    """A change of the netlist alone."""

    def apply(project: Project) -> None:
        assert project.net is not None
        edit(project.net)

    return apply


def unfit(ref: str) -> Edit:
    """The board file's own mark for a part that is not fitted."""

    def mark(board: Board) -> None:
        attr = board.first(board.part(ref), "attr")
        board.splice((attr[1] - 1, attr[1] - 1), " dnp")

    return on_board(mark)


def pour(net: str, number: int, box: tuple[float, float, float, float]) -> Edit:
    """A filled area on the back."""
    x1, y1, x2, y2 = box
    points = f"(pts (xy {x1} {y1}) (xy {x2} {y1}) (xy {x2} {y2}) (xy {x1} {y2}))"
    text = (
        f'(zone (net {number}) (net_name "{net}") (layer "B.Cu") (hatch edge 0.5)'
        " (connect_pads (clearance 0.2)) (min_thickness 0.2)"
        " (fill yes (thermal_gap 0.3) (thermal_bridge_width 0.3))"
        f' (polygon {points}) (filled_polygon (layer "B.Cu") {points}))'
    )
    return on_board(lambda board: board.add(text))


def both(*edits: Edit) -> Edit:
    def all_of(project: Project) -> None:
        for edit in edits:
            edit(project)

    return all_of
