"""Figures as people write them in messages: "4.7 kΩ", "3.0 to 4.2 V", "R1, R2 and R3"."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

from counterpoise.model.circuit import Part
from counterpoise.roles.refdes import natural
from counterpoise.values.eseries import nearest
from counterpoise.values.ranges import Range

_PREFIXES = (
    (1e9, "G"),
    (1e6, "M"),
    (1e3, "k"),
    (1.0, ""),
    (1e-3, "m"),
    (1e-6, "µ"),
    (1e-9, "n"),
    (1e-12, "p"),
)


def scaled(value: float, unit: str) -> tuple[float, str]:
    """The figure and its prefixed unit: 0.004 "A" is (4.0, "mA"). Volts from 0.1 up stay volts."""
    if value == 0 or not math.isfinite(value):
        return value, unit
    if unit == "ppm":
        return round(value, 3), unit  # a share takes no prefix
    if unit == "V" and 0.1 <= abs(value) < 1000:
        return value, unit
    for factor, prefix in _PREFIXES:
        if abs(value) >= factor * 0.9995:
            return value / factor, prefix + unit
    return value / 1e-12, "p" + unit


def figure(value: float) -> str:
    """Three significant figures, without an exponent and without idle zeros: "4.2", "100"."""
    if value == 0:
        return "0"
    digits = max(0, 2 - math.floor(math.log10(abs(value))))
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def amount(value: float, unit: str) -> str:
    """One figure with its unit: ``amount(4700, "Ω")`` is "4.7 kΩ"."""
    number, shown = scaled(value, unit)
    return f"{figure(number)} {shown}".strip()


def span(value: Range, unit: str) -> str:
    """A range with its unit, or one figure where its ends read alike."""
    if value.sure or amount(value.low, unit) == amount(value.high, unit):
        return amount(value.middle, unit)
    low, high = scaled(value.low, unit), scaled(value.high, unit)
    if low[1] == high[1] or value.low == 0:
        factor = value.high / high[0] if high[0] else 1.0
        return f"{figure(value.low / factor)} to {figure(high[0])} {high[1]}"
    return f"{amount(value.low, unit)} to {amount(value.high, unit)}"


def listed(items: Iterable[str]) -> str:
    """ "C1", "C1 and C2", "C1, C2 and C3"."""
    names = list(dict.fromkeys(items))
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


_NUMBERED = re.compile(r"(\D*)(0|[1-9]\d{0,8})")


def briefly(names: Iterable[str]) -> str:
    """Refs in natural order, three or more in a row by their first and last: "C4 to C9 and C18"."""
    rows: list[list[str]] = []
    for name in sorted(set(names), key=natural):
        if rows and _follows(rows[-1][-1], name):
            rows[-1].append(name)
        else:
            rows.append([name])
    return listed(
        text for row in rows for text in ([f"{row[0]} to {row[-1]}"] if len(row) > 2 else row)
    )


def _follows(one: str, other: str) -> bool:
    first, second = _NUMBERED.fullmatch(one), _NUMBERED.fullmatch(other)
    if first is None or second is None or first[1] != second[1]:
        return False
    return int(second[2]) == int(first[2]) + 1


def refs(parts: Iterable[Part]) -> str:
    """The refs of parts as one phrase."""
    return listed(part.ref for part in parts)


def plural(count: int, one: str, many: str) -> str:
    """``one`` for a count of one, else ``many``."""
    return one if count == 1 else many


def preferred(ohms: float) -> float:
    """The next E24 value no smaller than ``ohms``: a set resistor that gives no more current."""
    tries = (nearest(ohms * factor, "E24") for factor in (1.0, 1.04, 1.08, 1.12))
    return next((value for value in tries if value >= ohms * 0.9999), ohms)
