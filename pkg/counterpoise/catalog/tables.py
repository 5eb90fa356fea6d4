"""Lookup tables under ``rules/tables``: read on first use, kept, every mistake one line."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Any

from counterpoise.catalog.toml import CatalogError, Table, load
from counterpoise.resources import rules_root


@cache
def table(name: str) -> Mapping[str, Any]:
    """The content of ``rules/tables/<name>.toml``.

    Raises:
        CatalogError: the file is missing or not TOML.
    """
    path = rules_root() / "tables" / f"{name}.toml"
    if not path.is_file():
        raise CatalogError(f"{name}.toml", "", "this table is missing; reinstall the package")
    return MappingProxyType(load(path))


def section(name: str, key: str) -> Table:
    """One table of a file, to be taken apart key by key.

    Raises:
        CatalogError: no such key, or not a table.
    """
    data = table(name).get(key)
    if not isinstance(data, dict):
        raise CatalogError(f"{name}.toml", f"[{key}]", "expected a table")
    return Table(f"{name}.toml", key, data)


def pattern(owner: Table, key: str) -> re.Pattern[str] | None:
    """The regular expression under ``key``; blanks around "|" and inside brackets do not count, so
    that long ones can be laid out. None when absent.

    Raises:
        CatalogError: not a pattern.
    """
    text = re.sub(r"\s*\|\s*|(?<=\()\s+|\s+(?=\))", lambda m: m[0].strip(), owner.text(key, ""))
    if not text.strip():
        return None
    try:
        return re.compile(text.strip())
    except re.error as error:
        raise owner.error(key, f"not a pattern: {error}") from error
