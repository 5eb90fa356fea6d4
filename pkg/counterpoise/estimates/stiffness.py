"""How far an arm of the board bends when a switch on it is pressed."""

from __future__ import annotations

from dataclasses import dataclass

from counterpoise.values.ranges import Range

FR4_GPA = Range(15.0, 24.0)
"""Young's modulus of FR-4 laminates, crosswise in bending to lengthwise (laminate makers' sheets:
2.2 to 3.5 million psi)."""


@dataclass(frozen=True, slots=True)
class Bend:
    """Deflection at the force in mm, and stress at the root in MPa."""

    deflection_mm: Range
    stress_mpa: float


def second_moment(width_mm: float, thickness_mm: float) -> float:
    """Second moment of area b h³ / 12 in mm⁴ of a rectangle about its middle."""
    return width_mm * thickness_mm**3 / 12


def cantilever(
    force_n: float,
    length_mm: float,
    width_mm: float,
    thickness_mm: float,
    modulus_gpa: Range = FR4_GPA,
) -> Bend:
    """A beam held at one end with a force at the other: F L³ / (3 E I), and F L h / (2 I).

    Raises:
        ValueError: a length that is not above zero.
    """
    if min(length_mm, width_mm, thickness_mm) <= 0:
        raise ValueError("an arm has a length, a width and a thickness above zero")
    moment = second_moment(width_mm, thickness_mm)
    # 1 GPa is 1000 N/mm².
    stiff = force_n * length_mm**3 / (3 * 1000 * moment)
    bend = Range(stiff / modulus_gpa.high, stiff / modulus_gpa.low)
    return Bend(bend, force_n * length_mm * thickness_mm / (2 * moment))
