"""Ways to take mass off this very board, each reckoned through the same ledger."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from counterpoise.catalog.materials import material, triple
from counterpoise.estimates._cell_table import cells_to_weigh
from counterpoise.estimates._mass_board import copper_of, foil, thickness
from counterpoise.estimates._shave_arms import arms_bend, kept_whole
from counterpoise.estimates._shave_parts import headers, smaller_parts, smaller_passives
from counterpoise.estimates.area import main_piece
from counterpoise.estimates.endurance import endurance
from counterpoise.estimates.mass import mass
from counterpoise.model.facts import Need
from counterpoise.model.manifest import BoardFacts
from counterpoise.model.report import CellChoice, Endurance, Mass
from counterpoise.model.weigh import Shave
from counterpoise.roles.board import Board

_STEPS_MM = (0.4, 0.6, 0.8, 1.0, 1.2, 1.6, 2.0)
"""Finished thicknesses that board houses commonly offer; common practice, no source."""
_THIN_FOIL_MM = 0.018
_LEAST_G = 0.005
_WEB_MM, _CORNER_MM, _LEAST_MM2, _MOST_CUTS = 1.5, 1.0, 12.0, 5


def shave(board: Board) -> tuple[Shave, ...]:
    """Every way found, the one that saves most first; ways under 5 mg are not worth a line."""
    now = mass(board)
    if isinstance(now, Need):
        return ()
    ways = [
        *_thinner(board, now),
        *_lighter_copper(board, now),
        *_cut_outs(board),
        *smaller_passives(board),
        *headers(now),
        *smaller_parts(now),
        *_lighter_cell(board, now),
    ]
    worth = [way for way in ways if way.saves_g >= _LEAST_G]
    return tuple(sorted(worth, key=lambda way: (-way.saves_g, way.change)))


def _less(board: Board, now: Mass, facts: BoardFacts) -> float:
    manifest = replace(board.manifest, board=facts)
    then = mass(board.revised(replace(board.design, manifest=manifest)))
    return 0.0 if isinstance(then, Need) else now.total.likely - then.total.likely


def _thinner(board: Board, now: Mass) -> Iterator[Shave]:
    thick = thickness(board)
    if isinstance(thick, Need):
        return
    thinner = [step for step in _STEPS_MM if step < thick.mm - 0.05][-2:]
    for step in reversed(thinner):
        saves = _less(board, now, replace(board.manifest.board, thickness_mm=step))
        arms = arms_bend(board, thick.mm, step)
        softer = f"it bends {(thick.mm / step) ** 3:.1f} times as much under a press"
        yield Shave(
            f"order the board {step:g} mm thick instead of {thick.mm:g} mm",
            saves,
            f"{arms or softer}; sockets made for {thick.mm:g} mm may not fit",
            f'board.toml: [board] thickness = "{step:g} mm", and the same in the order',
        )


def _lighter_copper(board: Board, now: Mass) -> Iterator[Shave]:
    facts = board.manifest.board
    foils = list(foil(board).values())
    likely = foils[0].likely if foils else 0.0
    if likely < 0.03:
        return
    saves = _less(board, now, replace(facts, copper_mm=_THIN_FOIL_MM))
    yield Shave(
        f"order 18 µm copper outside instead of {likely * 1000:.0f} µm",
        saves,
        "tracks have twice the resistance and carry less current; not every board house offers it",
        'board.toml: [board] copper = "18 um", and the same in the order',
    )


def _cut_outs(board: Board) -> Iterator[Shave]:
    piece, thick = main_piece(board), thickness(board)
    if isinstance(piece, Need) or isinstance(thick, Need) or board.layout is None:
        return
    from counterpoise.geometry.empty import empty_regions

    regions = empty_regions(
        board.layout,
        copper_of(board),
        piece,
        web=max(_WEB_MM, thick.mm),
        corner=_CORNER_MM,
        least=_LEAST_MM2,
        kept=kept_whole(board),
        ground=frozenset(board.grounds),
    )
    each = _grams_per_mm2(board, thick.mm)
    foils = foil(board)
    copper = float(material("copper").take("density", float)) / 1000
    for region in regions[:_MOST_CUTS]:
        x, y = region.at
        poured = sum(area * foils[name].likely for name, area in region.pour.items())
        saves = region.area * each + poured * copper
        pour = "the ground pour there goes too: check that ground still joins; " if poured else ""
        yield Shave(
            f"cut out {region.area:.0f} mm² of empty board at {x:.1f}, {y:.1f} mm",
            saves,
            f"{pour}the board is softer there, and milling adds to the price",
            f"draw a closed cut-out on Edge.Cuts inside {_span(region.shape.bounds)}, corners rounded "
            f"{_CORNER_MM:g} mm or more, then fill the zones again",
        )


def _span(bounds: tuple[float, float, float, float]) -> str:
    x1, y1, x2, y2 = bounds
    return f"{x1:.1f} to {x2:.1f} mm by {y1:.1f} to {y2:.1f} mm"


def _grams_per_mm2(board: Board, thick: float) -> float:
    """Laminate and mask of one square millimetre."""
    foils = [f.likely for f in foil(board).values()]
    mask = triple(material("mask"), "thickness_um").likely / 1000
    stated = board.manifest.board.density_g_cm3
    density = stated or triple(material("laminate"), "density").likely
    core = max(thick - sum(foils) - 2 * mask, 0.0)
    cover = float(material("mask").take("cover", float))
    return (core * density + 2 * cover * mask * triple(material("mask"), "density").likely) / 1000


def _lighter_cell(board: Board, now: Mass) -> Iterator[Shave]:
    """The next lighter cell of the same chemistry, and the lightest that still runs long enough."""
    cell = [i for i in now.items if i.kind == "cell"]
    chemistry = board.manifest.cell.chemistry
    rated = board.manifest.cell.capacity_ah
    if not cell or chemistry is None or rated is None or board.manifest.cell.cells > 1:
        return
    runs = endurance(board)
    choices = {c.name: c for c in runs.choices}  # one cell each: not in series
    limit = board.manifest.limits.endurance_h
    lighter = sorted(
        (
            c
            for c in cells_to_weigh(board)
            if c.chemistry == chemistry
            and c.capacity_ah < rated
            and c.mass.likely < cell[0].mass.likely
            and _long_enough(choices[c.name], limit)
        ),
        key=lambda c: (c.mass.likely, c.name),
    )
    picked = lighter[-1:] if limit is None else lighter[:1] + lighter[1:][-1:]
    for choice in picked:
        yield Shave(
            f"{choice.name} instead of {rated * 1000:.0f} mAh",
            cell[0].mass.likely - choice.mass.likely,
            f"{_shorter(runs, choices[choice.name], choice.capacity_ah / rated)}; set the charge "
            "current anew",
            f'board.toml: [cell] capacity = "{choice.capacity_ah * 1000:.0f} mAh", '
            f'mass = "{choice.mass.likely:g} g"',
        )


def _long_enough(choice: CellChoice, limit: float | None) -> bool:
    return limit is None or choice.hours is None or choice.hours.likely >= limit


def _shorter(runs: Endurance, choice: CellChoice, share: float) -> str:
    if runs.hours is None or choice.hours is None:
        return f"it runs {share:.0%} of the time"
    return f"it runs about {choice.hours.likely:.3g} h instead of {runs.hours.likely:.3g} h"
