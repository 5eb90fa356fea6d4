"""Quantities with written units, as in the manifest and the cards: "180 mAh", "1.8 V to 3.6 V".

The trade's plain units stand in a table; anything else is asked of pint, which loads only then.
Part values ("4k7") are another language: see ``partvalue``.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from counterpoise.values.ranges import Range

_PREFIX = {
    "": 1.0,
    "f": 1e-15,
    "p": 1e-12,
    "n": 1e-9,
    "u": 1e-6,
    "m": 1e-3,
    "k": 1e3,
    "M": 1e6,
    "G": 1e9,
}

# dimension: (symbol in our own unit, example for messages, {unit: factor}, pint's unit)
_SI = {
    "voltage": ("V", "3.7 V", "V", "fpnumkM"),
    "current": ("A", "14 mA", "A", "fpnumk"),
    "resistance": ("ohm", "4.7 kohm", "ohm", "munkMG"),
    "capacitance": ("F", "12 pF", "F", "fpnum"),
    "inductance": ("H", "2.2 uH", "H", "pnum"),
    "frequency": ("Hz", "16 MHz", "Hz", "mkMG"),
    "capacity": ("Ah", "180 mAh", "Ah", "um"),
    "force": ("N", "0.6 N", "N", "m"),
    "power": ("W", "10 mW", "W", "num"),
    "transconductance": ("S", "7.5 mS", "S", "num"),
}
_OTHER: dict[str, tuple[str, str, dict[str, float], str]] = {
    "mass": ("g", "9 g", {"g": 1.0, "mg": 1e-3, "ug": 1e-6, "kg": 1e3}, "gram"),
    "length": (
        "mm",
        "1.0 mm",
        {"mm": 1.0, "um": 1e-3, "cm": 10.0, "m": 1e3, "mil": 0.0254, "in": 25.4, "inch": 25.4},
        "millimeter",
    ),
    "area": (
        "mm^2",
        "19 cm^2",
        {"mm^2": 1.0, "mm2": 1.0, "cm^2": 100.0, "cm2": 100.0},
        "millimeter**2",
    ),
    "time": (
        "h",
        "6 h",
        {"h": 1.0, "min": 1 / 60, "s": 1 / 3600, "d": 24.0, "day": 24.0, "days": 24.0},
        "hour",
    ),
    "duration": (
        "s",
        "5 ms",
        {"s": 1.0, "ms": 1e-3, "us": 1e-6, "min": 60.0, "h": 3600.0},
        "second",
    ),
    "temperature": ("degC", "25 degC", {"degC": 1.0, "C": 1.0, "°C": 1.0}, "degC"),
    "fraction": ("", "20 %", {"": 1.0, "%": 1e-2, "ppm": 1e-6}, "dimensionless"),
    "ppm": ("ppm", "20 ppm", {"ppm": 1.0, "%": 1e4}, "ppm"),
    "rate": ("C", "0.5C", {"C": 1.0}, ""),
    "density": (
        "g/cm^3",
        "1.85 g/cm^3",
        {"g/cm^3": 1.0, "g/cm3": 1.0, "kg/m^3": 1e-3},
        "gram/centimeter**3",
    ),
    "areal_density": (
        "g/m^2",
        "305 g/m^2",
        {"g/m^2": 1.0, "g/m2": 1.0, "mg/mm^2": 1e3},
        "gram/meter**2",
    ),
    "pressure": ("GPa", "22 GPa", {"GPa": 1.0, "MPa": 1e-3}, "gigapascal"),
    "number": ("", "2", {"": 1.0}, "dimensionless"),
}

DIMENSIONS = _OTHER | {
    name: (
        symbol,
        example,
        {prefix + unit: _PREFIX[prefix] for prefix in ("", *prefixes)},
        {"Ah": "ampere*hour"}.get(unit, unit),
    )
    for name, (symbol, example, unit, prefixes) in _SI.items()
}
"""By dimension: the unit kept, an example, {written unit: factor}, the unit by its pint name."""

_SPELLING = str.maketrans(
    {
        "\N{MICRO SIGN}": "u",
        "\N{GREEK SMALL LETTER MU}": "u",
        "\N{OHM SIGN}": "ohm",
        "\N{GREEK CAPITAL LETTER OMEGA}": "ohm",
        "\N{SUPERSCRIPT TWO}": "^2",
        "\N{SUPERSCRIPT THREE}": "^3",
        "\N{MINUS SIGN}": "-",
        "\N{NO-BREAK SPACE}": " ",
        "\N{PLUS-MINUS SIGN}": "+-",
    }
)
_LARGEST, _SMALLEST = 1e18, 1e-24
"""Beyond these no quantity of a board lies, and products of a few could run out of floats."""
_NUMBER = re.compile(r"\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*(\D.*?)?\s*", re.A)
_ENDS = re.compile(r"\s*(?:\bto\b|\.\.\.?|…|–)\s*|(?<=\S)\s+-\s+|(?<=\d)-(?=\d)")
_FOREIGN = re.compile(r"[A-Za-z°][A-Za-z_°]*(?:\s?[/*]\s?[A-Za-z_]+|\^-?[1-4]|\*\*-?[1-4])*", re.A)


def quantity(text: str, dimension: str) -> float:
    """One written quantity in the dimension's own unit (volts, grams, … as in ``DIMENSIONS``).

    Raises:
        ValueError: no number, no unit, or one of another kind; it says what was expected.
    """
    match = _NUMBER.fullmatch(_clean(text))
    _, example, factors, foreign = DIMENSIONS[dimension]
    if not match:
        raise ValueError(f'expected {_a(dimension)} such as "{example}", got "{text}"')
    number, unit = float(match[1]), match[2] or ""
    value = _exact(number, factors[unit]) if unit in factors else None
    if value is None and not unit:
        raise ValueError(f'"{text}" has no unit; expected {_a(dimension)} such as "{example}"')
    if value is None:
        value = _by_pint(number, unit, foreign)
    if value is None:
        raise ValueError(f'"{text}" is not {_a(dimension)}; expected one such as "{example}"')
    if not abs(value) < _LARGEST:
        raise ValueError(f'"{text}" is too large for {_a(dimension)}')
    if 0 < abs(value) < _SMALLEST:
        raise ValueError(f'"{text}" is too small for {_a(dimension)}')
    return value


def quantity_range(text: str, dimension: str) -> Range:
    """One quantity, two joined by "to" ("1.8 V to 3.6 V", "1.8 to 3.6 V", "2..5 pF"), or one with a
    spread ("4.2 V +- 1 %"). A bare spread ("+-20 ppm") is its size.

    Raises:
        ValueError: as for ``quantity``, or the ends are the wrong way round.
    """
    cleaned = _clean(text)
    if "+-" in cleaned:
        return _spread(cleaned, dimension)
    ends = _ENDS.split(cleaned)
    if len(ends) == 1:
        return Range.of(quantity(text, dimension))
    if len(ends) != 2:
        raise ValueError(f'expected one quantity or two joined by "to", got "{text}"')
    first, second = (_NUMBER.fullmatch(end) for end in ends)
    if first and not first[2] and second and second[2]:
        ends[0] += f" {second[2]}"
    low, high = (quantity(end, dimension) for end in ends)
    if low > high:
        raise ValueError(f'the lower end comes first in "{text}"')
    return Range(low, high)


def _spread(text: str, dimension: str) -> Range:
    base, _, spread = text.partition("+-")
    base, spread = base.strip(), spread.strip()
    if not base and dimension in ("ppm", "fraction"):
        return Range.of(quantity(spread, dimension))
    middle = quantity(base, dimension)
    if spread.endswith("%") and dimension != "fraction":
        return Range.around(middle, quantity(spread, "fraction"))
    wide = quantity(spread, dimension)
    return Range(middle - wide, middle + wide)


def _exact(number: float, factor: float) -> float:
    """``number * factor`` as the decimal that was meant: 12 pF is 12e-12, not 1.1999…e-11."""
    return float(f"{number * factor:.15g}")


def _clean(text: str) -> str:
    spelt = text.translate(_SPELLING).replace("Ohm", "ohm").strip()
    return re.sub(r"(?<=[\d ])([kMG]?)(?:R|ohms)\b", r"\1ohm", spelt)


def _a(dimension: str) -> str:
    name = dimension.replace("_", " ")
    return f"an {name}" if name[0] in "aeiou" else f"a {name}"


def _by_pint(number: float, unit: str, wanted: str) -> float | None:
    """Quantity by pint, or None when it does not know the unit or it is of another kind."""
    if not wanted or len(unit) > 40 or not _FOREIGN.fullmatch(unit):
        return None
    try:
        return float(_registry().Quantity(number, unit).to(wanted).magnitude)
    except Exception:  # pint raises many kinds for a unit it cannot take
        return None


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()
