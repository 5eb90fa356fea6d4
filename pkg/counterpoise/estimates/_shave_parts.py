"""Lighter parts: smaller chips, lighter builds, headers left off."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.estimates._mass_parts import package_mass
from counterpoise.model.report import Mass
from counterpoise.model.weigh import Shave
from counterpoise.roles.board import Board
from counterpoise.values.sizes import chip_size

_SMALLER = {"1206": "0805", "0805": "0603", "0603": "0402", "0402": "0201"}
_REACH = "a higher series resistance: check the start-up margin"
_LIGHTER = (
    ("tact switch 6 x 6 mm", "small tact switch", "a shorter travel and a smaller actuator"),
    (
        "wire-to-board connector, 2.0 mm, each pin",
        "wire-to-board connector, 1.0 to 1.5 mm, each pin",
        "its lead must be changed; less current",
    ),
    ("encoder with a shaft", "wheel encoder", "the knob and its case change"),
    ("crystal 3.2 x 2.5 mm", "crystal 2.0 x 1.6 mm", _REACH),
    ("crystal HC-49", "crystal 3.2 x 2.5 mm", _REACH),
    ("watch crystal in a tube", "watch crystal 3.2 x 1.5 mm", _REACH),
    ("axial resistor", "chip resistor 0805", "a surface part in place of a through-hole one"),
    ("axial diode DO-35 or DO-41", "SOD-123", "a surface part in place of a through-hole one"),
    ("round LED 3 to 5 mm", "LED 0805", "a surface part: its light leaves the board upwards"),
    ("electrolytic can", "chip capacitor 1210", "ceramic: less capacitance under voltage"),
    ("Type A socket or plug", "USB-C socket, 16 contacts", "another cable; two CC resistors"),
)


def smaller_passives(board: Board) -> Iterator[Shave]:
    """Chip parts one size down, all of a kind and size together."""
    groups: dict[tuple[str, str], list[str]] = {}
    for part in board.parts_as("resistor", "capacitor"):
        size = chip_size(part.footprint)
        if part.bought and size in _SMALLER:
            groups.setdefault((board.role(part.ref).name, size), []).append(part.ref)
    for (role, size), refs in sorted(groups.items()):
        smaller = _SMALLER[size]
        before, after = package_mass(role, size), package_mass(role, smaller)
        if before is None or after is None:
            continue
        ratings = "lower voltage ratings and more loss of capacitance under voltage; "
        yield Shave(
            f"{len(refs)} {role}{'s' if len(refs) > 1 else ''} in {smaller} instead of {size}",
            len(refs) * (before.likely - after.likely),
            f"{ratings if role == 'capacitor' else ''}harder to solder by hand",
            f"change the footprints of {few(refs)} and their BOM lines",
        )


def few(refs: list[str]) -> str:
    """Refs in words; of many the first five."""
    return ", ".join(refs) if len(refs) <= 6 else f"{', '.join(refs[:5])} and {len(refs) - 5} more"


def headers(now: Mass) -> Iterator[Shave]:
    """Pin headers that only carry a programming lead could be bare pads."""
    for item in now.items:
        if item.ref and item.basis.startswith("pin header"):
            yield Shave(
                f"leave off the pin header {item.ref}",
                item.mass.likely,
                "programming then needs spring pins or a soldered lead",
                f"mark {item.ref} as not fitted; keep its holes or make them bare pads",
            )


def smaller_parts(now: Mass) -> Iterator[Shave]:
    """Parts that exist in a lighter build; masses of both from the table of packages."""
    for heavy, light, costs in _LIGHTER:
        items = [i for i in now.items if i.ref and i.basis.startswith(heavy + ":")]
        before = package_mass("", heavy, by_name=True)
        after = package_mass("", light, by_name=True)
        if not items or before is None or after is None:
            continue
        # Where the figure is for each pin, the part keeps its pins.
        saves = sum(i.mass.likely * (1 - after.likely / before.likely) for i in items)
        names = few([i.ref for i in items])
        yield Shave(
            f"{light.removesuffix(', each pin')} instead of {heavy.removesuffix(', each pin')} "
            f"({names})",
            saves,
            costs,
            f"choose another part for {names}; change footprint and BOM line",
        )
