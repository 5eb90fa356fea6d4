"""The formulas of a quartz oscillator, in SI units, each with its source."""

from __future__ import annotations

import math
from itertools import product

from counterpoise.values.ranges import Range


def load_seen(a: Range, b: Range, stray: Range) -> Range:
    """Load in farads of two capacitors to ground and the stray across the crystal.

    a·b/(a + b) + stray (ST AN2867, "Load capacitor CL"). Not both may be zero; more of either
    is more load, so that the ends of the ranges give the ends of the result.
    """
    return Range(
        a.low * b.low / (a.low + b.low) + stray.low,
        a.high * b.high / (a.high + b.high) + stray.high,
    )


def capacitor_for(load: float, stray: float) -> float:
    """Each of two equal capacitors in farads: 2·(CL - Cs) (ST AN2867); not above zero where the
    stray alone is already the load."""
    return 2 * (load - stray)


def pull_ppm(motional: Range, shunt: Range, seen: Range, cut_for: Range) -> Range:
    """Frequency error in ppm of a crystal that sees another load than it was cut for.

    C1/2 · (1/(C0 + CLseen) - 1/(C0 + CLcut)) · 1e6 (ST AN2867, "Crystal pullability"): more load,
    lower frequency. The extremes lie at the ends of the ranges, as the expression is monotonic in
    each of the loads and in C1; C0 is tried at both ends.
    """
    values = [
        m / 2 * (1 / (c0 + cl) - 1 / (c0 + target)) * 1e6
        for m, c0, cl, target in product(
            *((r.low, r.high) for r in (motional, shunt, seen, cut_for))
        )
    ]
    return Range(min(values), max(values))


def critical_transconductance(
    esr: Range, frequency: Range, shunt: Range, load: Range, series: float = 0.0
) -> Range:
    """Least transconductance in siemens that starts it: 4·(ESR + Rext)·(2·pi·f)²·(C0 + CL)²
    (ST AN2867, "Gain margin of the oscillator")."""
    low, high = (
        4 * (e + series) * (2 * math.pi * f) ** 2 * (c0 + cl) ** 2
        for e, f, c0, cl in (
            (esr.low, frequency.low, shunt.low, load.low),
            (esr.high, frequency.high, shunt.high, load.high),
        )
    )
    return Range(low, high)
