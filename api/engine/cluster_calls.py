"""Calls carried by the workers of a dask cluster."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, ParamSpec, TypeVar

from api.engine.calls import CallExecutor, follow
from api.engine.cluster import connect, disconnect, engine_errors, threads_of
from api.engine.in_worker import call, read_answer
from api.engine.software import software_here

P = ParamSpec("P")
R = TypeVar("R")


class ClusterCalls(CallExecutor):
    def __init__(self, address: str) -> None:
        self._address = address
        self._client = connect(address)
        self._executor = self._client.get_executor(pure=False)

    @property
    def at_once(self) -> int:
        with engine_errors(self._address):
            return 2 * max(1, threads_of(self._client))

    def submit(self, fn: Callable[P, R], /, *args: P.args, **kwargs: P.kwargs) -> Future[R]:
        with engine_errors(self._address):
            inner = self._executor.submit(call, pickle.dumps((fn, args, kwargs)), software_here())
        return follow(inner, self._read)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        self._executor.shutdown(wait=wait and not cancel_futures)
        disconnect(self._client)

    def _read(self, done: Future[Any]) -> Any:
        with engine_errors(self._address):
            return read_answer(done.result())
