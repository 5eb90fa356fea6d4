"""What current a track carries: the formula that IPC-2221 gives for its charts."""

from __future__ import annotations

MIL_MM = 0.0254
OUTER, INNER = 0.048, 0.024
"""IPC-2221 section 6.2: k for outer and inner layers in I = k ΔT^0.44 A^0.725, A in square mil."""


def capacity_a(width_mm: float, copper_mm: float, rise_k: float, outer: bool = True) -> float:
    """Amperes that warm a track by ``rise_k`` kelvin.

    Raises:
        ValueError: a size or rise that is not above zero.
    """
    if min(width_mm, copper_mm, rise_k) <= 0:
        raise ValueError("width, copper and rise are above zero")
    area = width_mm * copper_mm / MIL_MM**2
    return float((OUTER if outer else INNER) * rise_k**0.44 * area**0.725)


def width_mm(current_a: float, copper_mm: float, rise_k: float, outer: bool = True) -> float:
    """The width at which ``current_a`` warms a track by ``rise_k`` kelvin.

    Raises:
        ValueError: as above.
    """
    if min(current_a, copper_mm, rise_k) <= 0:
        raise ValueError("current, copper and rise are above zero")
    k = OUTER if outer else INNER
    area = (current_a / (k * rise_k**0.44)) ** (1 / 0.725)
    return float(area * MIL_MM**2 / copper_mm)
