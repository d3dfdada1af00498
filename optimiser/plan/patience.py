"""When planning has to come to an end: at a time limit, or when somebody says so. Looked at between network runs.

What is cut short is not repeatable: it depends on how fast the machine is that day.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TypeVar

ResultT = TypeVar("ResultT")

_SEARCH_SHARE = 0.6
"""Of the time limit, for the search; the rest is for verifying what it found."""


class EnoughError(Exception):
    """Raised out of work that may be left out, when planning has to come to an end."""


class Patience:
    """Endless without a time limit, until it is stopped; may be stopped from another thread."""

    def __init__(self, time_limit_s: float | None = None) -> None:
        self._limit_s = time_limit_s
        self._began_s = time.monotonic()
        self._stopped = False
        self.cut_short = False
        """Whether it was over when somebody asked, so that something was left out."""

    def stop(self) -> None:
        self._stopped = True

    @property
    def search_is_over(self) -> bool:
        return self._over(_SEARCH_SHARE)

    @property
    def is_over(self) -> bool:
        return self._over(1.0)

    @property
    def why(self) -> str:
        return "planning was interrupted" if self._stopped else f"the time limit of {self._limit_s:g} s came"

    def search_left_s(self) -> float | None:
        """None: as long as it takes."""
        if self._limit_s is None:
            return None
        return max(0.0, self._began_s + _SEARCH_SHARE * self._limit_s - time.monotonic())

    def unless_over(self, work: Callable[[], ResultT]) -> ResultT | None:
        """What the work returns; None where there is no time for it, or it was broken off by `check`."""
        if self.is_over:
            return None
        try:
            return work()
        except EnoughError:
            return None

    def check(self) -> None:
        if self.is_over:
            raise EnoughError

    def _over(self, share: float) -> bool:
        late = self._limit_s is not None and time.monotonic() - self._began_s >= share * self._limit_s
        self.cut_short |= self._stopped or late
        return self._stopped or late
