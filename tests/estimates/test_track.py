from __future__ import annotations

import pytest

from counterpoise.estimates.track import capacity_a, width_mm


# IPC-2221, 6.2: I = k dT^0.44 A^0.725. The example that published calculators share (1 A, 10 K,
# 1 oz outside: 11.8 mil, 0.300 mm; inside: 30.8 mil, 0.781 mm), 1 oz taken as 1.378 mil = 35 um.
@pytest.mark.parametrize(
    ("current", "rise", "outer", "width"),
    [
        (1.0, 10, True, 0.3004),
        (1.0, 10, False, 0.7814),
        (1.0, 20, True, 0.1972),
        (2.0, 10, True, 0.7814),
        (3.0, 20, True, 0.8976),
    ],
)
def test_ipc_2221(current: float, rise: float, outer: bool, width: float) -> None:
    assert width_mm(current, 0.035, rise, outer) == pytest.approx(width, rel=1e-3)
    assert capacity_a(width, 0.035, rise, outer) == pytest.approx(current, rel=1e-3)


def test_sizes_are_above_zero() -> None:
    with pytest.raises(ValueError, match="above zero"):
        capacity_a(0, 0.035, 10)
    with pytest.raises(ValueError, match="above zero"):
        width_mm(1, 0, 10)
