"""The preferred values of IEC 60063: which values a part can be bought in."""

from __future__ import annotations

import math

_E24 = (
    10,
    11,
    12,
    13,
    15,
    16,
    18,
    20,
    22,
    24,
    27,
    30,
    33,
    36,
    39,
    43,
    47,
    51,
    56,
    62,
    68,
    75,
    82,
    91,
)


_AS_LISTED = {919: 920}
"""Where the list of IEC 60063 differs from its formula: E192 has 920."""

SERIES: dict[str, tuple[int, ...]] = {
    "E3": _E24[::8],
    "E6": _E24[::4],
    "E12": _E24[::2],
    "E24": _E24,
    **{
        f"E{count}": tuple(
            _AS_LISTED.get(figures, figures)
            for figures in (round(100 * 10 ** (i / count)) for i in range(count))
        )
        for count in (48, 96, 192)
    },
}
"""The values of one decade by series: two figures up to E24, three above."""

_BY_TOLERANCE = ((0.2, "E6"), (0.1, "E12"), (0.05, "E24"), (0.02, "E48"), (0.01, "E96"))
_FINER = ("E48", "E96", "E192")


def series_for(tolerance: float) -> str:
    """The coarsest series whose tolerance band (a fraction) is no wider than asked for."""
    return next((name for band, name in _BY_TOLERANCE if tolerance >= band), "E192")


def in_series(value: float, tolerance: float) -> bool:
    """Whether a value is a preferred one for parts of that tolerance (a fraction: 0.01 for 1 %).

    Values of E24 count at every finer tolerance too: makers sell them so (common practice, no
    source). Zero counts: it is a link.
    """
    if value <= 0 or not math.isfinite(value):
        return value == 0
    name = series_for(tolerance)
    return _holds(name, value) or (name in _FINER and _holds("E24", value))


def _steps(name: str, value: float) -> list[float]:
    """The series' values in the decade of ``value``, up to the next one's first: a value a hair
    short of it is that."""
    series = SERIES[name]
    decade = 10.0 ** math.floor(math.log10(value))
    return [step / series[0] * decade for step in (*series, 10 * series[0])]


def _holds(name: str, value: float) -> bool:
    return any(math.isclose(value, step, rel_tol=1e-6) for step in _steps(name, value))


def nearest(value: float, name: str = "E24") -> float:
    """The preferred value with the smallest ratio to ``value``, which must be above zero."""
    best = min(_steps(name, value), key=lambda step: abs(math.log(step / value)))
    return float(f"{best:.12g}")
