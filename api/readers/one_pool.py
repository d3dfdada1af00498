"""One set of reading processes, from its start until it is ended or found broken."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Callable, Mapping
from concurrent.futures import BrokenExecutor, Future, wait
from contextlib import suppress
from typing import Any

from pebble import ProcessPool

from api.jobs.limits import limit_memory
from api.logs import log_to_stderr
from optimiser.worker_process import end_with

_LOOK_EVERY_S = 0.5
_STARTING_S = 30.0
"""Longest that processes take to start on a machine with other work."""


class BrokenPoolError(Exception):
    """The processes cannot be used any more; none of what they were doing is known to be at fault."""


class OnePool:
    """Its processes die with the thread that starts them, so that is one of its own."""

    def __init__(
        self,
        *,
        processes: int,
        limit_s: float,
        memory_mb: int,
        log_level: str,
        prepare: Callable[[], None] | None = None,
    ) -> None:
        self._limit_s = limit_s
        self._asked: set[Future[Any]] = set()
        self._moved_s = time.monotonic()
        self._lock = threading.Lock()
        self._started, self._over = threading.Event(), threading.Event()
        self._pool: Any = ProcessPool(
            max_workers=processes,
            context=multiprocessing.get_context("spawn"),
            initializer=_begin,
            initargs=(os.getpid(), memory_mb, log_level, prepare),
        )
        self._thread = threading.Thread(target=self._keep, name="readers", daemon=True)
        self._thread.start()
        self._started.wait()

    def ask(self, work: Callable[..., Any], arguments: tuple[Any, ...], named: Mapping[str, Any]) -> Future[Any]:
        with self._lock:
            if self._over.is_set():
                raise BrokenPoolError
            if not self._asked:
                self._moved_s = time.monotonic()
            try:
                future: Future[Any] = self._pool.schedule(work, args=arguments, kwargs=named, timeout=self._limit_s)
            except RuntimeError as error:  # what pebble says of a pool that has broken
                raise BrokenPoolError from error
            self._asked.add(future)
        future.add_done_callback(self._note_end)
        return future

    def answer(self, future: Future[Any]) -> Any:
        """What the work led to, or the error that it ended in.

        pebble itself waits without end where a process was killed while it held the lock of their pipe, or had written
        half an answer into it; so does it where its clock, which is that of the wall, was put back.
        """
        while not wait([future], timeout=_LOOK_EVERY_S).done:
            if time.monotonic() > self._moved_s + self._limit_s + _STARTING_S or not self._pool.active:
                raise BrokenPoolError
        try:
            return future.result()
        except BrokenExecutor as error:
            raise BrokenPoolError from error

    def end(self) -> None:
        """End the processes, without waiting for that; whoever waits for an answer is told."""
        with self._lock:
            self._over.set()
            asked = list(self._asked)
        for future in asked:  # the pool forgets them, and they would be waited for without end
            future.cancel()

    def join(self) -> None:
        self._thread.join()

    def _keep(self) -> None:
        try:
            _ = self._pool.active  # to look at it starts it
        finally:
            self._started.set()
        self._over.wait()
        self._pool.stop()
        self._pool.join()

    def _note_end(self, future: Future[Any]) -> None:
        self._asked.discard(future)
        self._moved_s = time.monotonic()


def _begin(parent_pid: int, memory_mb: int, log_level: str, prepare: Callable[[], None] | None) -> None:
    end_with(parent_pid)
    log_to_stderr(log_level, process="reader")
    limit_memory(memory_mb)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if prepare is not None:
        with suppress(MemoryError):  # whoever asks for work is told
            prepare()
