"""How long a search may go on."""

from __future__ import annotations

import time


class TimeUp(Exception):  # noqa: N818 - it ends a search, it is no mistake
    """The time or the number of tries is used up; the question stays open."""


class Clock:
    """Seconds and tries left.

    Tries bound the work in a way that is the same on every machine; seconds bound the wait.
    """

    def __init__(self, seconds: float, tries: int = 5000) -> None:
        self._end = time.monotonic() + seconds
        self._tries = tries

    @property
    def left(self) -> float:
        """Seconds left, never below zero."""
        return max(self._end - time.monotonic(), 0.0)

    def check(self) -> None:
        """Go on?

        Raises:
            TimeUp: the seconds are used up.
        """
        if time.monotonic() > self._end:
            raise TimeUp

    def spend(self) -> None:
        """One more try.

        Raises:
            TimeUp: no try or no time is left.
        """
        self._tries -= 1
        if self._tries < 0:
            raise TimeUp
        self.check()
