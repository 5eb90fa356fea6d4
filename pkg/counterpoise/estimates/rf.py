"""Impedance of feed lines on a board: microstrip, and coplanar line with ground beneath."""

from __future__ import annotations

import math
from dataclasses import dataclass

LIGHT_M_S = 299_792_458.0
_FREE_SPACE_OHM = 376.730313668


@dataclass(frozen=True, slots=True)
class LineImpedance:
    """Impedance in ohms and effective permittivity of a line."""

    ohms: float
    permittivity: float


def microstrip(
    width_mm: float, height_mm: float, permittivity: float, copper_mm: float = 0.0
) -> LineImpedance:
    """A track over its ground, after Hammerstad and Jensen 1980, thickness correction included.

    ``height_mm`` is the laminate between track and ground. Good to 1 % for widths of 0.01 to 100
    heights and permittivities up to 128.

    Raises:
        ValueError: a size that is not above zero, or a permittivity under one.
    """
    if min(width_mm, height_mm) <= 0 or permittivity < 1 or copper_mm < 0:
        raise ValueError("width and height are above zero, permittivity is one or more")
    u, t = width_mm / height_mm, copper_mm / height_mm
    wide_air, wide = u, u
    if t > 0:
        coth = 1 / math.tanh(math.sqrt(6.517 * u))
        more = t / math.pi * math.log(1 + 4 * math.e / (t * coth**2))
        wide_air = u + more
        wide = u + more * (1 + 1 / math.cosh(math.sqrt(permittivity - 1))) / 2
    effective = _effective(wide, permittivity)
    ohms = _air(wide) / math.sqrt(effective)
    # The thick strip's own permittivity: the filling seen by capacitance and inductance differ.
    seen = effective * (_air(wide_air) / _air(wide)) ** 2
    return LineImpedance(ohms, seen)


def _air(u: float) -> float:
    f = 6 + (2 * math.pi - 6) * math.exp(-((30.666 / u) ** 0.7528))
    return _FREE_SPACE_OHM / (2 * math.pi) * math.log(f / u + math.sqrt(1 + (2 / u) ** 2))


def _effective(u: float, permittivity: float) -> float:
    a = (
        1
        + math.log((u**4 + (u / 52) ** 2) / (u**4 + 0.432)) / 49
        + math.log(1 + (u / 18.1) ** 3) / 18.7
    )
    b = 0.564 * ((permittivity - 0.9) / (permittivity + 3)) ** 0.053
    return float((permittivity + 1) / 2 + (permittivity - 1) / 2 * (1 + 10 / u) ** (-a * b))


def coplanar(
    width_mm: float, gap_mm: float, height_mm: float, permittivity: float
) -> LineImpedance:
    """A track between grounds ``gap_mm`` away, with ground beneath (Wadell 1991, thin copper).

    Raises:
        ValueError: a size that is not above zero, or a permittivity under one.
    """
    if min(width_mm, gap_mm, height_mm) <= 0 or permittivity < 1:
        raise ValueError("sizes are above zero, permittivity is one or more")
    outer = width_mm + 2 * gap_mm
    k = width_mm / outer
    k1 = math.tanh(math.pi * width_mm / (4 * height_mm)) / math.tanh(
        math.pi * outer / (4 * height_mm)
    )
    p, q = _ratio(k), _ratio(k1)
    effective = (1 + permittivity * q / p) / (1 + q / p)
    return LineImpedance(60 * math.pi / math.sqrt(effective) / (p + q), effective)


def _ratio(k: float) -> float:
    """K(k) / K'(k) of the complete elliptic integrals, by the arithmetic-geometric mean."""
    return _mean(1.0, k) / _mean(1.0, math.sqrt(max(0.0, 1 - k * k))) if k < 1 else math.inf


def _mean(a: float, b: float) -> float:
    for _ in range(60):
        if abs(a - b) <= 1e-15 * a:
            break
        a, b = (a + b) / 2, math.sqrt(a * b)
    return a


def wavelength_mm(frequency_hz: float, permittivity: float = 1.0) -> float:
    """Wavelength on a line of that effective permittivity.

    Raises:
        ValueError: not above zero.
    """
    if frequency_hz <= 0 or permittivity <= 0:
        raise ValueError("frequency and permittivity are above zero")
    return LIGHT_M_S / (frequency_hz * math.sqrt(permittivity)) * 1000
