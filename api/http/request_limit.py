"""So many requests a minute for each key, or for each address where there is no key."""

from __future__ import annotations

import math
import time

from limits import RateLimitItemPerMinute
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter


class RequestLimit:
    """Any minute holds at most that many; counted in the memory of this process."""

    def __init__(self, per_minute: int) -> None:
        """0: no limit."""
        self.per_minute = per_minute
        self._limit = RateLimitItemPerMinute(per_minute) if per_minute else None
        self._windows = MovingWindowRateLimiter(MemoryStorage()) if per_minute else None

    def take(self, whom: str) -> int | None:
        """None where one more request is allowed, and counted; else the whole seconds to wait."""
        if self._limit is None or self._windows is None or self._windows.hit(self._limit, whom):
            return None
        free_at_s = self._windows.get_window_stats(self._limit, whom).reset_time
        return max(1, math.ceil(free_at_s - time.time()))
