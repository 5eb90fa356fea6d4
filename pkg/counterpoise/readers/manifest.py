"""The manifest, board.toml: what the maker states and no drawing shows."""

from __future__ import annotations

import re
import tomllib

from counterpoise.catalog.toml import crowded_line
from counterpoise.model.manifest import (
    CHEMISTRIES,
    BoardFacts,
    CellFacts,
    Compare,
    Extra,
    Limits,
    Manifest,
    Mode,
    OwnCell,
    Weighed,
)
from counterpoise.readers._manifest_lines import key_lines
from counterpoise.readers._manifest_parts import parts, rules, waivers
from counterpoise.readers._manifest_section import Section, shown
from counterpoise.readers._source import InputError, Source
from counterpoise.values.units import quantity, quantity_range

EDGES = ("top", "bottom", "left", "right")

_SPELLINGS = {
    "lipo": "li-po",
    "lithium-polymer": "li-po",
    "liion": "li-ion",
    "lithium-ion": "li-ion",
    "lfp": "lifepo4",
    "li-fepo4": "lifepo4",
    "ni-mh": "nimh",
    "ni-cd": "nicd",
    "carbon-zinc": "zinc-carbon",
    "li-fes2": "lithium-fes2",
    "li-mno2": "lithium-primary",
    "li-cfx": "lithium-primary",
}

_SHARE_SUM = 1.0 + 1e-9
_TOML_LINE = re.compile(r"\s*\(at line (\d+), column \d+\)$")
_SIZE = re.compile(r"\s*[x×*]\s*", re.I)
_TRAILING_UNIT = re.compile(r"[A-Za-z]+$")


def read(source: Source) -> Manifest:
    """The manifest in a file.

    Raises:
        InputError: not UTF-8 or TOML, an unknown key, or a value of another kind: file, line,
            what was expected.
    """
    return parse(source.utf8, source.name)


def parse(text: str, file: str = "board.toml") -> Manifest:
    """The manifest in a text. Quantities become volts, amperes, ampere-hours, ohms, farads, grams,
    millimetres, square millimetres and hours.

    Raises:
        InputError: as for ``read``.
    """
    loaded = _loaded(text, file)  # first: it refuses what would keep the search for lines busy
    top = Section(file, key_lines(text), (), loaded, "")
    manifest = Manifest(
        board=_board(top.section("board")),
        cell=_cell(top.section("cell")),
        limits=_limits(top.section("limits")),
        modes=_modes(top),
        extras=tuple(_extra(entry) for entry in top.array("extra")),
        parts=parts(top),
        rules=rules(top),
        waivers=waivers(top),
        weighed=_weighed(top.section("weighed")),
        compare=_compare(top.section("compare")),
        cells=tuple(_own_cell(entry) for entry in top.array("cells")),
        stated=True,
    )
    top.done()
    return manifest


def _loaded(text: str, file: str) -> dict[str, object]:
    crowded = crowded_line(text)
    if crowded is not None:
        raise InputError(file, crowded, "expected a manifest, found a line with thousands of dots")
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise InputError(file, None, "nested too deep for a manifest") from error
    except ValueError as error:
        said = str(error)
        match = _TOML_LINE.search(said)
        line = int(match[1]) if match else _last_line(text)
        reason = _TOML_LINE.sub("", said).removesuffix(" (at end of document)")
        raise InputError(file, line, shown(f"expected TOML: {reason}")) from error


def _last_line(text: str) -> int:
    return text.rstrip("\n").count("\n") + 1


def _board(table: Section | None) -> BoardFacts:
    if table is None:
        return BoardFacts()
    facts = BoardFacts(
        name=table.text("name") or "",
        netlist=_file_name(table, "netlist"),
        layout=_file_name(table, "layout"),
        bom=_file_name(table, "bom"),
        centroid=_file_name(table, "centroid"),
        thickness_mm=table.amount("thickness", "length"),
        copper_mm=table.amount("copper", "length"),
        inner_copper_mm=table.amount("inner_copper", "length"),
        front=table.choice("front", EDGES),
        fab=table.text("fab"),
        stray_f=table.span("stray", "capacitance", zero=True),
        finish=table.text("finish"),
        outline=table.text("outline"),
        radio=table.text("radio"),
        density_g_cm3=table.amount("density", "density"),
    )
    table.done()
    return facts


def _file_name(table: Section, key: str) -> str | None:
    name = table.text(key)
    if name is not None and not name.isprintable():
        raise table.error(key, "expected a file name, got control characters")
    return name.replace("\\", "/") if name is not None else None


def _cell(table: Section | None) -> CellFacts:
    if table is None:
        return CellFacts()
    limit_a, limit_c = _charge_limit(table)
    facts = CellFacts(
        ref=table.text("ref"),
        chemistry=table.choice("chemistry", CHEMISTRIES, _SPELLINGS),
        capacity_ah=table.amount("capacity", "capacity"),
        mass_g=table.span("mass", "mass"),
        protected=table.flag("protected"),
        charge_limit_a=limit_a,
        charge_limit_c=limit_c,
        charge_voltage_v=table.amount("charge_voltage", "voltage"),
        end_voltage_v=table.amount("end_voltage", "voltage"),
        peak_limit_a=table.amount("peak_limit", "current"),
        resistance_ohm=table.amount("resistance", "resistance", zero=True),
        cells=table.count("cells", 1),
        outside_charger=table.flag("outside_charger"),
        removable=table.flag("removable"),
        size_mm=table.read("size", _size, "5 x 30 x 40 mm"),
        temperature_c=table.read(
            "temperature", lambda text: quantity_range(text, "temperature"), "0 degC to 25 degC"
        ),
    )
    table.done()
    return facts


def _charge_limit(table: Section) -> tuple[float | None, float | None]:
    """The stated limit as (amperes, None), or as (None, multiples of the capacity per hour)."""

    def reader(text: str) -> tuple[float | None, float | None]:
        value: float
        try:
            value, rate = quantity(text, "rate"), True
        except ValueError:
            rate = False
            try:
                value = quantity(text, "current")
            except ValueError as error:
                raise ValueError(
                    f'expected "1C" or a current such as "180 mA", got "{text}"'
                ) from error
        if value <= 0:
            raise ValueError(f'expected a limit above zero, got "{text}"')
        return (None, value) if rate else (value, None)

    return table.read("charge_limit", reader, "1C") or (None, None)


def _size(text: str) -> tuple[float, float, float]:
    """Thickness, width and length in mm, as written: "5 x 30 x 40 mm"; the last unit serves all."""
    sides = _SIZE.split(text.strip())
    unit = _TRAILING_UNIT.search(sides[-1])
    if len(sides) != 3 or not unit:
        raise ValueError(f'expected three lengths such as "5 x 30 x 40 mm", got "{text}"')
    spelt = [s if _TRAILING_UNIT.search(s) else f"{s} {unit[0]}" for s in sides]
    a, b, c = (quantity(side, "length") for side in spelt)
    if min(a, b, c) <= 0:
        raise ValueError(f'expected lengths above zero, got "{text}"')
    return a, b, c


def _own_cell(table: Section) -> OwnCell:
    name = table.required("name", "what the cell is called")
    chemistry = table.choice("chemistry", CHEMISTRIES, _SPELLINGS)
    capacity, mass = table.amount("capacity", "capacity"), table.span("mass", "mass")
    if chemistry is None:
        raise table.error(None, '"chemistry" is required, such as "li-po"')
    if capacity is None:
        raise table.error(None, '"capacity" is required, such as "180 mAh"')
    if mass is None:
        raise table.error(None, '"mass" is required, such as "4.1 g"')
    table.done()
    return OwnCell(name, chemistry, capacity, mass)


def _limits(table: Section | None) -> Limits:
    if table is None:
        return Limits()
    facts = Limits(
        mass_g=table.amount("mass", "mass"),
        area_mm2=table.amount("area", "area"),
        bounding_mm2=table.amount("bounding", "area"),
        endurance_h=table.amount("endurance", "time"),
        height_mm=table.amount("height", "length"),
        charge_time_h=table.amount("charge_time", "time"),
        bend_mm=table.amount("bend", "length"),
        press_n=table.amount("press", "force"),
        width_mm=table.amount("width", "length"),
        length_mm=table.amount("length", "length"),
    )
    table.done()
    return facts


def _modes(top: Section) -> tuple[Mode, ...]:
    modes, total = [], 0.0
    for name, table in top.sections("modes").items():
        current = table.amount("current", "current", zero=True)
        if current is None:
            raise table.error(None, '"current" is required, such as "6 mA"')
        share = _share(table)
        total += share or 0.0
        if total > _SHARE_SUM:
            raise table.error(
                "share", f"the shares of all modes add up to {total:g}; expected at most 1"
            )
        peak = table.amount("peak", "current")
        table.done()
        modes.append(Mode(name, current, share, peak))
    return tuple(modes)


def _share(table: Section) -> float | None:
    """The share as stated, or of the pattern "for 3 ms, every 10 ms"."""
    value = table.take("share")
    span, period = table.amount("for", "duration"), table.amount("every", "duration")
    if span is not None or period is not None:
        if value is not None or span is None or period is None or span > period:
            raise table.error(
                "for",
                'expected "for" and a longer "every", such as for = "3 ms", every = "10 ms", and no share',
            )
        return span / period
    if value is None:
        return None
    if isinstance(value, str):
        try:
            value = quantity(value, "fraction")
        except ValueError as error:
            raise table.error("share", str(error)) from error
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1:
        raise table.error("share", "expected a number from 0 to 1")
    return float(value)


def _extra(table: Section) -> Extra:
    name = table.required("name", "what is weighed here")
    mass = table.span("mass", "mass", zero=True)
    if mass is None:
        raise table.error(None, '"mass" is required, such as "5.5 g"')
    count = table.count("count", 1)
    table.done()
    return Extra(name, mass, count)


def _weighed(table: Section | None) -> Weighed:
    if table is None:
        return Weighed()
    facts = Weighed(
        bare_g=table.amount("bare", "mass"),
        assembled_g=table.amount("assembled", "mass"),
        total_g=table.amount("total", "mass"),
    )
    table.done()
    return facts


def _compare(table: Section | None) -> Compare:
    if table is None:
        return Compare()
    value = table.take("keep")
    items = [value] if isinstance(value, str) else [] if value is None else value
    if not isinstance(items, list) or not all(isinstance(i, str) and i.strip() for i in items):
        raise table.error("keep", 'expected a list of parts such as ["U1", "SW*"]')
    table.done()
    return Compare(tuple(item.strip() for item in items))
