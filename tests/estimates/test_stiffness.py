from __future__ import annotations

import pytest

from counterpoise.estimates.stiffness import cantilever, second_moment
from counterpoise.values.ranges import Range


# The cantilever of any strength of materials, worked by hand: I = b h^3/12, d = F L^3/(3 E I).
@pytest.mark.parametrize(
    ("force", "length", "width", "thick", "modulus", "bend", "stress"),
    [
        (1.0, 20, 10, 1.6, 22, 0.035511, 4.6875),
        (1.0, 20, 10, 1.0, 22, 0.145455, 12.0),
        (1.0, 20, 10, 0.8, 22, 0.284091, 18.75),
        (0.75, 25, 12, 1.0, 22, 0.177557, 9.375),
        (0.7, 15, 8, 1.6, 24, 0.012016, 3.0762),
        (1.0, 50, 20, 1.6, 24, 0.254313, 5.8594),
    ],
)
def test_cantilever(
    force: float,
    length: float,
    width: float,
    thick: float,
    modulus: float,
    bend: float,
    stress: float,
) -> None:
    found = cantilever(force, length, width, thick, Range.of(modulus))
    assert found.deflection_mm.middle == pytest.approx(bend, rel=1e-4)
    assert found.stress_mpa == pytest.approx(stress, rel=1e-4)


def test_stiffness_grows_with_the_cube_of_the_thickness() -> None:
    assert second_moment(10, 1.6) / second_moment(10, 1.0) == pytest.approx(4.096)


def test_a_doubtful_modulus_gives_a_range() -> None:
    found = cantilever(1, 20, 10, 1.0)
    assert found.deflection_mm.low < 0.145455 < found.deflection_mm.high


def test_no_arm_without_size() -> None:
    with pytest.raises(ValueError, match="above zero"):
        cantilever(1, 0, 10, 1)
