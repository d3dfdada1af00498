"""Calls carried by processes of this machine, which end with the thread that started them."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor
from typing import Any, ParamSpec, TypeVar

from api.engine.calls import CallExecutor, follow
from api.engine.engine_error import WorkerKilledError
from optimiser.worker_process import begin_worker, worker_context

P = ParamSpec("P")
R = TypeVar("R")


class LocalCalls(CallExecutor):
    """A process pool that is started anew after one of its processes died."""

    def __init__(self, workers: int) -> None:
        self._workers = workers
        self._pool = self._new_pool()

    @property
    def at_once(self) -> int:
        return self._workers + 1

    def submit(self, fn: Callable[P, R], /, *args: P.args, **kwargs: P.kwargs) -> Future[R]:
        try:
            inner = self._pool.submit(fn, *args, **kwargs)
        except BrokenExecutor:
            self._pool = self._new_pool()
            inner = self._pool.submit(fn, *args, **kwargs)
        return follow(inner, _read)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        self._pool.shutdown(wait=wait, cancel_futures=cancel_futures)

    def _new_pool(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(
            self._workers,
            mp_context=worker_context(),
            initializer=begin_worker,
            initargs=(os.getpid(),),
        )


def _read(done: Future[Any]) -> Any:
    try:
        return done.result()
    except BrokenExecutor as error:
        raise WorkerKilledError("the process that did this ended over it, or beside one that did") from error
