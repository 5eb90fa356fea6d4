"""Fabrication profiles: what a kind of board house makes, as data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources.abc import Traversable
from types import MappingProxyType
from typing import Any

from counterpoise.catalog.toml import CatalogError, Table, load, nearest
from counterpoise.resources import rules_root
from counterpoise.values.units import quantity

KEYS = {
    "track": "narrowest track",
    "gap": "narrowest gap between copper of two nets",
    "hole": "smallest plated hole",
    "bare-hole": "smallest hole without plating",
    "ring": "narrowest ring of copper round a plated hole",
    "edge": "least distance of copper from the board's edge",
    "web": "narrowest board between two cut-outs, or cut-out and edge",
}
"""What a profile may limit."""


@dataclass(frozen=True, slots=True)
class FabLimit:
    """The least that is made, in mm; ``memory`` marks a figure that was not read in its source."""

    least_mm: float
    source: str
    memory: bool = False


@dataclass(frozen=True, slots=True)
class Profile:
    """One kind of board house. ``layers`` is the most copper layers it makes."""

    name: str
    title: str
    layers: int
    limits: Mapping[str, FabLimit]


def read_profile(file: str, data: Mapping[str, Any]) -> Profile:
    """A profile from its tables; every key of ``KEYS`` is required.

    Raises:
        CatalogError: file, key and what was expected.
    """
    table = Table(file, "", data)
    title, layers = table.text("title"), table.take("layers", int)
    limits: dict[str, FabLimit] = {}
    for key, entry in table.tables("limits").items():
        if key not in KEYS:
            raise table.error(f"limits.{key}", f"unknown limit{nearest(key, KEYS)}")
        if not isinstance(entry, dict):
            raise table.error(f"limits.{key}", "expected a table")
        inner = Table(file, f"limits.{key}", entry)
        least = inner.read("min", lambda text: quantity(text, "length"))
        if least is None or least <= 0:
            raise inner.error("min", 'expected a length above zero such as "0.15 mm"')
        limits[key] = FabLimit(least, inner.text("source"), inner.flag("memory", False))
        inner.done()
    table.done()
    for key in KEYS:
        if key not in limits:
            raise CatalogError(file, f"limits.{key}", "this key is required")
    return Profile(file.removesuffix(".toml"), title, layers, MappingProxyType(limits))


@cache
def all_profiles() -> Mapping[str, Profile]:
    """The profiles that ship, by name.

    Raises:
        CatalogError: a faulty file.
    """
    return _folder(rules_root() / "fab")


def read_user_profiles(folder: Traversable) -> Mapping[str, Profile]:
    """A person's own profiles: every ``fab/*.toml`` of ``folder`` by name; none without one.

    Raises:
        CatalogError: a faulty file, or one that cannot be opened.
    """
    own = folder / "fab"
    if not own.is_dir():
        return MappingProxyType({})
    try:
        return _folder(own)
    except OSError as error:
        raise CatalogError("fab", "", f"cannot be read: {error.strerror}") from error


def profile_names(folder: Traversable) -> tuple[str, ...]:
    """The names that [board] fab may give in ``folder``: those that ship and its own."""
    own = folder / "fab"
    files = own.iterdir() if own.is_dir() else ()
    names = {f.name.removesuffix(".toml") for f in files if f.name.endswith(".toml")}
    return tuple(sorted(names | set(all_profiles())))


def _folder(folder: Traversable) -> Mapping[str, Profile]:
    paths = sorted((p for p in folder.iterdir() if p.name.endswith(".toml")), key=lambda p: p.name)
    found = (read_profile(path.name, load(path)) for path in paths)
    return MappingProxyType({profile.name: profile for profile in found})
