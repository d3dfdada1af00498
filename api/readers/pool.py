"""A few processes with limits. What they hand back is small and plain."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from concurrent.futures import CancelledError
from typing import ParamSpec, TypeVar

from pebble import ProcessExpired

from api.readers.one_pool import BrokenPoolError, OnePool

P = ParamSpec("P")
T = TypeVar("T")

log = logging.getLogger(__name__)

_TRIES = 2
"""A process may be ended from outside, and a pool break over the work of others."""


class BeyondLimitsError(Exception):
    """The work was ended because it took more than it may; the message says what of."""


class TookTooLongError(BeyondLimitsError):
    """Of time, which says as much of how busy the machine was as of the work."""


class NoReaderError(Exception):
    """Nobody could do the work, through no fault of its own; the message says why."""


class ReaderPool:
    """Safe to share between threads. The processes are started with the first work, and end with this one.

    When they cannot be used any more, others take their place. prepare: what each does before its first work, outside
    the limit of time; one that was ended is followed by one as ready as it was.
    """

    def __init__(
        self,
        *,
        processes: int,
        limit_s: float,
        memory_mb: int,
        log_level: str = "info",
        prepare: Callable[[], None] | None = None,
    ) -> None:
        self._processes, self._limit_s, self._memory_mb, self._log_level = processes, limit_s, memory_mb, log_level
        self._prepare = prepare
        self._pool: OnePool | None = None
        self._is_closed = False
        self._lock = threading.Lock()

    def run(self, work: Callable[P, T], *arguments: P.args, **named: P.kwargs) -> T:
        """What `work` returns or raises in one of the processes.

        BeyondLimitsError where it had to be ended, NoReaderError where it may be asked again.
        """
        ended: Exception = NoReaderError("the processes that read cannot be started")
        for _ in range(_TRIES):
            pool, began_s = self._current(), time.monotonic()
            try:
                result: T = pool.answer(pool.ask(work, arguments, named))
            except TimeoutError:
                ended = TookTooLongError(f"it took longer than {self._limit_s:g} s")
                if time.monotonic() - began_s >= self._limit_s:  # else the clock of the wall was put forward
                    break
            except MemoryError as error:
                raise BeyondLimitsError(f"it needed more than {self._memory_mb} MB of memory") from error
            except ProcessExpired:
                ended = BeyondLimitsError("its process ended")
            except (BrokenPoolError, CancelledError):
                ended = NoReaderError("the processes that read broke down")
                self._replace(pool)
            else:
                return result
        raise ended

    def run_kept(self, work: Callable[P, T], *arguments: P.args, **named: P.kwargs) -> T:
        """As `run`, of what the store holds: that it takes too long is no fault of who asks, so NoReaderError."""
        try:
            return self.run(work, *arguments, **named)
        except TookTooLongError as error:
            raise NoReaderError(str(error)) from error

    def start(self) -> None:
        """Start the processes before the first work, without waiting for them."""
        self._current()

    def close(self) -> None:
        """End the processes; whoever waits for one of them is told so. May be called again."""
        with self._lock:
            self._is_closed, pool = True, self._pool
        if pool is not None:
            pool.end()
            pool.join()

    def _current(self) -> OnePool:
        with self._lock:
            if self._is_closed:
                raise NoReaderError("the service is being stopped")
            if self._pool is None:
                self._pool = OnePool(
                    processes=self._processes,
                    limit_s=self._limit_s,
                    memory_mb=self._memory_mb,
                    log_level=self._log_level,
                    prepare=self._prepare,
                )
            return self._pool

    def _replace(self, broken: OnePool) -> None:
        with self._lock:
            if self._is_closed or self._pool is not broken:
                return
            self._pool = None
        log.error("the processes that read cannot be used any more; others take their place")
        broken.end()
