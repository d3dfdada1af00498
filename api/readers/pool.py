"""A few processes with limits. What they hand back is small and plain."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import CancelledError
from typing import Any, ParamSpec, TypeVar

from pebble import ProcessExpired, ProcessPool

from api.jobs.limits import limit_memory
from api.logs import log_to_stderr
from optimiser.worker_process import die_with

P = ParamSpec("P")
T = TypeVar("T")


class BeyondLimitsError(Exception):
    """The work was ended because it took more than it may; the message says what of."""


class ReaderPool:
    """Safe to share between threads. The processes are started with the first work, and end with this one."""

    def __init__(self, *, processes: int, limit_s: float, memory_mb: int, log_level: str = "info") -> None:
        self._processes, self._limit_s, self._memory_mb = processes, limit_s, memory_mb
        self._asked: set[Any] = set()
        self._lock = threading.Lock()
        self._pool: Any = ProcessPool(
            max_workers=processes,
            context=multiprocessing.get_context("spawn"),
            initializer=_prepare,
            initargs=(os.getpid(), memory_mb, log_level),
        )

    def run(self, work: Callable[P, T], *arguments: P.args, **named: P.kwargs) -> T:
        """What `work` returns or raises in one of the processes; BeyondLimitsError where it had to be ended."""
        with self._lock:
            future = self._pool.schedule(work, args=arguments, kwargs=named, timeout=self._limit_s)
            self._asked.add(future)
        try:
            result: T = future.result()
        except TimeoutError as error:
            raise BeyondLimitsError(f"it took longer than {self._limit_s:g} s") from error
        except MemoryError as error:
            raise BeyondLimitsError(f"it needed more than {self._memory_mb} MB of memory") from error
        except (ProcessExpired, CancelledError) as error:
            raise BeyondLimitsError("its process ended") from error
        finally:
            self._asked.discard(future)
        return result

    def warm_up(self, work: Callable[[], None]) -> None:
        """Start the processes and have each do this, without waiting for it."""
        for _ in range(self._processes):
            self._pool.schedule(work)

    def close(self) -> None:
        """End the processes; whoever waits for one of them is told so. May be called again."""
        with self._lock:
            self._pool.stop()
        for future in list(self._asked):  # the pool forgets them, and they would be waited for without end
            future.cancel()
        self._pool.join()


def _prepare(parent_pid: int, memory_mb: int, log_level: str) -> None:
    die_with(parent_pid)
    log_to_stderr(log_level, process="reader")
    limit_memory(memory_mb)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
