"""What boards and parts weigh, as tables: materials and packages."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from counterpoise.catalog.pattern import Pattern
from counterpoise.catalog.tables import section, table
from counterpoise.catalog.toml import Table
from counterpoise.catalog.vocabulary import ROLES
from counterpoise.values.ranges import Estimate


@dataclass(frozen=True, slots=True)
class PackageMass:
    """One row of packages.toml: which parts it fits and what one weighs, in grams.

    ``each`` is "part", or "pin" where the figure is for each pin.
    """

    name: str
    roles: frozenset[str]
    chip: str
    footprint: Pattern | None
    mass: Estimate
    each: str
    basis: str

    def fits(self, role: str, chip: str | None, footprint: str) -> bool:
        """Whether a part of that role, chip size and footprint name (upper case) is meant."""
        if self.roles and role not in self.roles:
            return False
        if self.chip and chip != self.chip:
            return False
        return self.footprint is None or bool(self.footprint.search(footprint))


def triple(owner: Table, key: str, scale: float = 1.0) -> Estimate:
    """Three numbers low, likely, high (or one) as an estimate.

    Raises:
        CatalogError: not such a list.
    """
    data: Any = owner.take(key, (list, float, int))
    values = data if isinstance(data, list) else [data] * 3
    if len(values) != 3 or not all(isinstance(v, int | float) for v in values):
        raise owner.error(key, "expected three numbers: low, likely, high")
    try:
        return Estimate(*(float(v) * scale for v in values))
    except ValueError as error:
        raise owner.error(key, str(error)) from error


@cache
def packages() -> tuple[PackageMass, ...]:
    """The rows of packages.toml in their order.

    Raises:
        CatalogError: with the row's name and the key.
    """
    rows = []
    for entry in table("packages")["package"]:
        row = Table("packages.toml", str(entry.get("name", "package")), entry)
        roles = frozenset(row.texts("roles"))
        for role in sorted(roles - set(ROLES)):
            raise row.error("roles", f'unknown role "{role}"')
        pattern = row.text("footprint", "")
        rows.append(
            PackageMass(
                name=row.text("name"),
                roles=roles,
                chip=row.text("chip", ""),
                footprint=Pattern(pattern, row.file, f"[{row.name}] footprint")
                if pattern
                else None,
                mass=triple(row, "mg", 1e-3),
                each=row.text("each", "part"),
                basis=row.text("basis"),
            )
        )
        row.done()
    return tuple(rows)


def material(name: str) -> Table:
    """One table of materials.toml."""
    return section("materials", name)


def finishes() -> tuple[Table, ...]:
    """The finishes that materials.toml knows, in their order."""
    return tuple(
        Table("materials.toml", str(row.get("name", "finishes")), row)
        for row in table("materials")["finishes"]
    )
