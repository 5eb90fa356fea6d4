"""A number known only to lie between two ends, and the honest comparisons it allows."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Range:
    """Every value from ``low`` to ``high``, both ends included, in one SI unit.

    A sure value is a range of no width. Comparisons answer True or False only when the answer is
    the same for every value inside; otherwise None, which a rule reports as *cannot judge*.

    Raises:
        ValueError: an end is not a number, or ``low`` lies above ``high``.
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        if math.isnan(self.low) or math.isnan(self.high) or self.low > self.high:
            raise ValueError(f"no range from {self.low!r} to {self.high!r}")

    @classmethod
    def of(cls, value: float | Range) -> Range:
        """A range as it is, or a sure value as a range of no width."""
        return value if isinstance(value, Range) else cls(value, value)

    @classmethod
    def around(cls, value: float, tolerance: float) -> Range:
        """``value`` give or take the fraction ``tolerance`` (0.05 for 5 %)."""
        spread = abs(value) * tolerance
        return cls(value - spread, value + spread)

    @property
    def sure(self) -> bool:
        """Whether both ends are the same value."""
        return self.low == self.high

    @property
    def middle(self) -> float:
        """Half way between the ends."""
        return self.low if self.sure else (self.low + self.high) / 2

    def at_most(self, limit: float) -> bool | None:
        """Is every value no greater than ``limit``?"""
        return True if self.high <= limit else False if self.low > limit else None

    def at_least(self, limit: float) -> bool | None:
        """Is every value no smaller than ``limit``?"""
        return True if self.low >= limit else False if self.high < limit else None

    def within(self, low: float = -math.inf, high: float = math.inf) -> bool | None:
        """Is every value between ``low`` and ``high``? False only when every value lies outside."""
        if self.low >= low and self.high <= high:
            return True
        return False if self.high < low or self.low > high else None

    def joined(self, other: float | Range) -> Range:
        """The smallest range that holds both."""
        o = Range.of(other)
        return Range(min(self.low, o.low), max(self.high, o.high))

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high

    def __add__(self, other: float | Range) -> Range:
        o = Range.of(other)
        return Range(self.low + o.low, self.high + o.high)

    __radd__ = __add__

    def __neg__(self) -> Range:
        return Range(-self.high, -self.low)

    def __sub__(self, other: float | Range) -> Range:
        return self + -Range.of(other)

    def __rsub__(self, other: float) -> Range:
        return -self + other

    def __mul__(self, other: float | Range) -> Range:
        o = Range.of(other)
        ends = [a * b for a in (self.low, self.high) for b in (o.low, o.high)]
        return Range(min(ends), max(ends))

    __rmul__ = __mul__

    def __truediv__(self, other: float | Range) -> Range:
        """Quotient.

        Raises:
            ZeroDivisionError: the divisor may be zero.
        """
        o = Range.of(other)
        if 0 in o:
            raise ZeroDivisionError("division by a range that holds zero")
        return self * Range(1 / o.high, 1 / o.low)

    def __rtruediv__(self, other: float) -> Range:
        return Range.of(other) / self


@dataclass(frozen=True, slots=True)
class Estimate:
    """A likely value between a low and a high one, all in one unit.

    Raises:
        ValueError: not ``low <= likely <= high``.
    """

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:
            raise ValueError(f"not in order: {self.low!r}, {self.likely!r}, {self.high!r}")

    @classmethod
    def sure(cls, value: float) -> Estimate:
        """A value with no spread."""
        return cls(value, value, value)

    def scaled(self, factor: float) -> Estimate:
        """All three times ``factor``, which must not be negative."""
        return Estimate(self.low * factor, self.likely * factor, self.high * factor)
