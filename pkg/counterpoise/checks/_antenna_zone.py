"""The clear zone that each antenna on the layout asks for."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from counterpoise.checks._layout import layout_of, material, mm
from counterpoise.geometry import antenna as ant
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.layout import Footprint
from counterpoise.model.verdicts import Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import key_of

MODULES = ("radio-module",)
_MAYBE = ("chip", "unknown", "radio", "controller")

USUAL_MARGIN_MM = 3.0
"""Room that an antenna takes for itself, where a rule states none (common practice, no source)."""

_OVERHANG = 0.25
"""Share of a module's antenna end on the board below which it hangs over the edge on purpose."""


@dataclass(frozen=True)
class Zone:
    """A clear zone: its antenna, the places it may have, why, and how sure that is.

    ``sure``: a sheet, the manifest or the drawing states it. ``guessed`` holds why the antenna
    itself is a guess, "" when it is not.
    """

    part: Part
    radiator: ant.Radiator
    spots: tuple[BaseGeometry, ...]
    basis: str
    sure: bool
    guessed: str = ""


def antennas(board: Board) -> tuple[Part, ...]:
    """Antennas and modules; where there is none, parts shaped like such a module."""
    return board.once("antennas", lambda: _antennas(board))


def _antennas(board: Board) -> tuple[Part, ...]:
    found = board.parts_as("antenna", "antenna-connector", *MODULES)
    if found:
        return board.parts_as("antenna", *MODULES)
    layout = layout_of(board)
    shaped = ((p, layout.footprint(p.ref)) for p in board.parts_as(*_MAYBE))
    return tuple(p for p, f in shaped if f is not None and ant.looks_like_module(f))


def zone_of(board: Board, part: Part, margin: float = USUAL_MARGIN_MM) -> Zone | Verdict:
    """The clear zone of one antenna, or why there is none to judge."""
    key = f"clear zone of {part.ref} with {margin} mm"
    return board.once(key, lambda: _zone_of(board, part, margin))


def _zone_of(board: Board, part: Part, margin: float) -> Zone | Verdict:
    footprint = layout_of(board).footprint(part.ref)
    if footprint is None:
        return Skip(f"{part.ref} is not on the layout")
    if board.flag(part, "clear_zone_inside") or _on_metal(board, part):
        return Skip(f"{part.ref} is made to stand over metal")
    if board.role(part.ref).name == "antenna":
        return _antenna(board, part, footprint, margin)
    return _module(board, part, footprint)


def _on_metal(board: Board, part: Part) -> bool:
    kind = (board.text(part, "antenna_kind") or "").lower()
    words = f"{kind} {part.value} {part.footprint} {part.symbol} {part.description}".lower()
    return "patch" in words or kind in ("above-metal", "external", "wire")


def _module(board: Board, part: Part, footprint: Footprint) -> Zone | Verdict:
    inside = board.flag(part, "antenna_inside")
    if inside is False:
        return Skip(f"{part.ref} has its antenna elsewhere")
    end = ant.module_end(footprint)
    if end is None:
        if inside is None:
            return Skip(f"{part.ref} shows no pad-free end that could hold an antenna")
        what = f"the end of {part.ref} that holds its antenna"
        return Unknown(
            part.ref, (Need(what, "the footprint: draw the whole body on the fab layer"),)
        )
    guessed = ""
    role = board.role(part.ref)
    if role.name not in MODULES:
        guessed = f"{part.ref} is taken for a radio module by its shape: no pad reaches one end"
    elif not inside:
        guessed = "taken for the antenna's end since no pad reaches it"
    elif not role.firm:
        guessed = f"taken for a radio module: {role.because}"
    shape = material(board)
    if shape is not None and end.body.intersection(shape).area < _OVERHANG * end.body.area:
        return Pass(part.ref)
    return Zone(
        part,
        end,
        (end.body,),
        "the pad-free end of the module, where its antenna is",
        True,
        guessed,
    )


def _antenna(board: Board, part: Part, footprint: Footprint, margin: float) -> Zone | Verdict:
    feeds = frozenset(p.number for p in board.pins_for(part, "feed")) or frozenset("1")
    found = ant.radiator(footprint, feeds)
    if found is None:
        return Unknown(
            part.ref,
            (
                Need(
                    f"the body of antenna {part.ref}",
                    f"the footprint: draw it on the fab layer; or board.toml: [parts.{key_of(part.ref)}] "
                    'antenna_kind = "wire"',
                ),
            ),
        )
    role = board.role(part.ref)
    guessed = "" if role.firm else f"taken for an antenna: {role.because}"
    length, width = board.known(part, "clear_length"), board.known(part, "clear_width")
    if isinstance(length, Known) and isinstance(width, Known):
        spots = ant.stated_zones(found, length.value.low, width.value.low, material(board))
        sure = length.firm and width.firm
        return Zone(part, found, tuple(spots), "the stated clear zone", sure, guessed)
    kept = ant.kept_clear(layout_of(board), found, margin)
    if kept is not None:
        return Zone(part, found, (kept,), "the area that the drawing keeps clear", True, guessed)
    if found.kind == "trace":
        return Zone(
            part,
            found,
            (found.body,),
            "the printed antenna itself, where no zone is stated",
            True,
            guessed,
        )
    spot = ant.margin_zone(found, margin)
    basis = f"{mm(margin)} round a chip antenna, where no sheet is stated"
    return Zone(part, found, (spot,), basis, False, guessed)
