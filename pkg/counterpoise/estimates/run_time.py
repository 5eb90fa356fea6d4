"""The sums of run time, charge time and sag: plain functions of numbers, in SI units and hours."""

from __future__ import annotations

import math
from collections.abc import Iterable


def mean_current(modes: Iterable[tuple[float, float]]) -> float:
    """Mean current in amperes of (amperes, share of the time) pairs; none flows in what is left.

    Raises:
        ValueError: the shares add up to more than one, or one is negative.
    """
    pairs = list(modes)
    shares = math.fsum(share for _, share in pairs)
    if shares > 1 + 1e-9 or any(share < 0 for _, share in pairs):
        raise ValueError("shares of the time lie between 0 and 1 and add up to 1 at most")
    return math.fsum(current * share for current, share in pairs)


def through_linear(load_a: float, quiescent_a: float) -> float:
    """Amperes from the cell for a load behind a linear regulator, its own current added."""
    return load_a + quiescent_a


def through_switching(
    load_a: float, out_v: float, cell_v: float, efficiency: float, quiescent_a: float
) -> float:
    """Amperes from the cell for a load behind a switching converter: power over efficiency.

    Raises:
        ZeroDivisionError: no cell voltage or no efficiency.
    """
    return out_v * load_a / (efficiency * cell_v) + quiescent_a


def run_hours(usable_ah: float, mean_a: float) -> float:
    """Hours that a usable capacity lasts at a mean current; infinite at none."""
    return usable_ah / mean_a if mean_a > 0 else math.inf


def charge_hours(
    capacity_ah: float,
    current_a: float,
    *,
    constant_share: float = 0.8,
    end_share: float = 0.1,
    taken: float = 0.99,
) -> float:
    """Hours to charge from empty.

    Constant current brings ``constant_share`` of the charge; then, at constant voltage, the current
    falls off exponentially to ``end_share`` of it, with the time constant that brings the rest.
    ``taken`` is the share that stays in the cell. Two-phase model, common practice, no source.

    Raises:
        ZeroDivisionError: no current.
    """
    charge = capacity_ah / taken
    constant = constant_share * charge / current_a
    tail = (1 - constant_share) * charge / (current_a * (1 - end_share))
    return constant + tail * math.log(1 / end_share)


def sag_v(current_a: float, resistance_ohm: float) -> float:
    """Volts lost inside the cell: I · R."""
    return current_a * resistance_ohm


def reservoir_f(current_a: float, seconds: float, drop_v: float) -> float:
    """Farads that carry a pulse: I · t / ΔV."""
    return current_a * seconds / drop_v
