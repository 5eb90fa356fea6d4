"""Ways to take mass off this very board, each reckoned through the same ledger."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from counterpoise.catalog.cells import candidates
from counterpoise.catalog.materials import material, triple
from counterpoise.estimates._mass_board import copper_of, thickness
from counterpoise.estimates._mass_parts import package_mass
from counterpoise.estimates.area import main_piece
from counterpoise.estimates.endurance import endurance
from counterpoise.estimates.mass import mass
from counterpoise.model.facts import Need
from counterpoise.model.manifest import BoardFacts
from counterpoise.model.report import Mass
from counterpoise.model.weigh import Shave
from counterpoise.roles.board import Board
from counterpoise.values.sizes import chip_size

_STEPS_MM = (0.4, 0.6, 0.8, 1.0, 1.2, 1.6, 2.0)
"""Finished thicknesses that board houses commonly offer; common practice, no source."""
_SMALLER = {"1206": "0805", "0805": "0603", "0603": "0402", "0402": "0201"}
_LEAST_G = 0.005
_WEB_MM, _CORNER_MM, _LEAST_MM2 = 1.5, 1.0, 12.0


def shave(board: Board) -> tuple[Shave, ...]:
    """Every way found, the one that saves most first; ways under 5 mg are not worth a line."""
    now = mass(board)
    if isinstance(now, Need):
        return ()
    ways = [
        *_thinner(board, now),
        *_lighter_copper(board, now),
        *_cut_outs(board),
        *_smaller_passives(board),
        *_headers(board),
        *_smaller_parts(board),
        *_lighter_cell(board, now),
    ]
    worth = [way for way in ways if way.saves_g >= _LEAST_G]
    return tuple(sorted(worth, key=lambda way: (-way.saves_g, way.change)))


def _with_board(board: Board, facts: BoardFacts) -> Board:
    manifest = replace(board.manifest, board=facts)
    return board.revised(replace(board.design, manifest=manifest))


def _less(board: Board, now: Mass, facts: BoardFacts) -> float:
    then = mass(_with_board(board, facts))
    return 0.0 if isinstance(then, Need) else now.total.likely - then.total.likely


def _thinner(board: Board, now: Mass) -> Iterator[Shave]:
    thick = thickness(board)
    if isinstance(thick, Need):
        return
    thinner = [step for step in _STEPS_MM if step < thick.mm - 0.05][-2:]
    for step in reversed(thinner):
        saves = _less(board, now, replace(board.manifest.board, thickness_mm=step))
        softer = (thick.mm / step) ** 3
        yield Shave(
            f"order the board {step:g} mm thick instead of {thick.mm:g} mm",
            saves,
            f"it bends {softer:.1f} times as much under a press; sockets made for {thick.mm:g} mm may not fit",
            f'board.toml: [board] thickness = "{step:g} mm", and the same in the order',
        )


def _lighter_copper(board: Board, now: Mass) -> Iterator[Shave]:
    facts = board.manifest.board
    stated = facts.copper_mm
    usual = float(material("copper").take("foil_um", float)) / 1000
    likely = stated if stated is not None else usual
    if likely < 0.03:
        return
    saves = _less(
        board, now, replace(facts, copper_mm=0.018, inner_copper_mm=facts.inner_copper_mm)
    )
    yield Shave(
        f"order 18 µm copper instead of {likely * 1000:.0f} µm",
        saves,
        "tracks have twice the resistance and carry less current; not every board house offers it",
        'board.toml: [board] copper = "18 um", and the same in the order',
    )


def _cut_outs(board: Board) -> Iterator[Shave]:
    piece, thick = main_piece(board), thickness(board)
    if isinstance(piece, Need) or isinstance(thick, Need) or board.layout is None:
        return
    from counterpoise.geometry.empty import empty_regions

    grounds = frozenset(board.grounds)
    regions = empty_regions(
        board.layout,
        copper_of(board),
        piece,
        web=max(_WEB_MM, thick.mm),
        corner=_CORNER_MM,
        least=_LEAST_MM2,
        ground=grounds,
    )
    each = _grams_per_mm2(board, thick.mm)
    copper = float(material("copper").take("density", float)) * 0.035 / 1000
    for region in regions[:5]:
        x, y = region.at
        saves = region.area * each + sum(region.pour.values()) * copper
        pour = "the ground pour there goes too; " if sum(region.pour.values()) > 1 else ""
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
    layers = len(board.layout.copper_layers) if board.layout else 2
    mask = triple(material("mask"), "thickness_um").likely / 1000
    density = triple(material("laminate"), "density").likely
    core = thick - layers * 0.035 - 2 * mask
    cover = float(material("mask").take("cover", float))
    return (core * density + 2 * cover * mask * triple(material("mask"), "density").likely) / 1000


def _smaller_passives(board: Board) -> Iterator[Shave]:
    """Chip parts one size down, all of a kind and size together."""
    groups: dict[tuple[str, str], list[str]] = {}
    for part in board.parts_as("resistor", "capacitor"):
        size = chip_size(part.footprint)
        if size in _SMALLER:
            groups.setdefault((board.role(part.ref).name, size), []).append(part.ref)
    for (role, size), refs in sorted(groups.items()):
        smaller = _SMALLER[size]
        before, after = package_mass(role, size), package_mass(role, smaller)
        if before is None or after is None:
            continue
        saves = len(refs) * (before.likely - after.likely)
        rated = (
            "lower voltage ratings and more loss of capacitance under voltage; "
            if role == "capacitor"
            else ""
        )
        yield Shave(
            f"{len(refs)} {role}s in {smaller} instead of {size}",
            saves,
            f"{rated}harder to solder by hand",
            f"change the footprints of {_few(refs)} and their BOM lines",
        )


def _few(refs: list[str]) -> str:
    return ", ".join(refs) if len(refs) <= 6 else f"{', '.join(refs[:5])} and {len(refs) - 5} more"


def _headers(board: Board) -> Iterator[Shave]:
    """Pin headers that only carry a programming lead could be bare pads."""
    now = mass(board)
    if isinstance(now, Need):
        return
    for item in now.items:
        if item.ref and "header" in item.basis:
            yield Shave(
                f"leave off the pin header {item.ref}",
                item.mass.likely,
                "programming then needs spring pins or a soldered lead",
                f"mark {item.ref} as not fitted; keep its holes or make them bare pads",
            )


_SMALLER_PARTS = (
    ("tact switch 6 x 6 mm", "small tact switch", "a shorter travel and a smaller actuator"),
    (
        "cell connector, 2 pins, 2.0 mm",
        "cell connector, 2 pins, 1.0 to 1.25 mm",
        "its cell lead must be changed; less current",
    ),
    ("encoder with a shaft", "wheel encoder", "the knob and its case change"),
    (
        "crystal 3.2 x 2.5 mm",
        "crystal 2.0 x 1.6 mm",
        "a higher series resistance: check the start-up margin",
    ),
    (
        "crystal HC-49",
        "crystal 3.2 x 2.5 mm",
        "a higher series resistance: check the start-up margin",
    ),
)


def _smaller_parts(board: Board) -> Iterator[Shave]:
    """Parts that exist in a lighter build; masses of both from the table of packages."""
    now = mass(board)
    if isinstance(now, Need):
        return
    for heavy, light, costs in _SMALLER_PARTS:
        refs = [i for i in now.items if i.ref and i.basis.startswith(heavy + ":")]
        lighter = package_mass("", light, by_name=True)
        if not refs or lighter is None:
            continue
        saves = sum(i.mass.likely for i in refs) - len(refs) * lighter.likely
        names = [i.ref for i in refs]
        yield Shave(
            f"{light} instead of {heavy} ({_few(names)})",
            saves,
            costs,
            f"choose another part for {_few(names)}; change footprint and BOM line",
        )


def _lighter_cell(board: Board, now: Mass) -> Iterator[Shave]:
    """The largest lighter cell of the same chemistry, and the lightest that still runs long enough."""
    cell = [i for i in now.items if i.name == "cell"]
    chemistry = board.manifest.cell.chemistry
    rated = board.manifest.cell.capacity_ah
    if not cell or chemistry is None or rated is None:
        return
    hours = {c.name: c.hours for c in endurance(board).choices}
    limit = board.manifest.limits.endurance_h
    lighter = [
        c
        for c in candidates()
        if c.chemistry == chemistry
        and c.capacity_ah < rated
        and c.mass.likely < cell[0].mass.likely
    ]
    long_enough = [
        c for c in lighter if limit is None or (h := hours[c.name]) is None or h.likely >= limit
    ]
    for choice in (long_enough or lighter)[-1:]:
        h = hours[choice.name]
        runs = (
            f"about {h.likely:.3g} h instead of longer"
            if h
            else f"{choice.capacity_ah / rated:.0%} of the run time"
        )
        short = "" if long_enough else ", under the limit in board.toml"
        yield Shave(
            f"a {choice.name} instead of {rated * 1000:.0f} mAh",
            cell[0].mass.likely - choice.mass.likely,
            f"it runs {runs}{short}; set the charge current anew",
            f'board.toml: [cell] capacity = "{choice.capacity_ah * 1000:.0f} mAh", '
            f'mass = "{choice.mass.likely:g} g"',
        )
