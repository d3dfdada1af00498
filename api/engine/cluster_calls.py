"""Calls carried by the workers of a dask cluster."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from concurrent.futures import Future
from concurrent.futures import wait as wait_for_all
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

from api.engine.calls import CallExecutor, follow
from api.engine.cluster import connect, disconnect, engine_errors, threads_of
from api.engine.in_worker import call, read_answer
from api.engine.software import software_here

if TYPE_CHECKING:
    from distributed import Future as FutureOnCluster

P = ParamSpec("P")
R = TypeVar("R")


class ClusterCalls(CallExecutor):
    """Not by the engine's own executor: a result lost with its worker while it was fetched reads as an error there.

    There the state of a future is read again after its result; by then the engine may have begun it anew.
    """

    def __init__(self, address: str) -> None:
        self._address = address
        self._client = connect(address)
        self._under_way: set[Future[Any]] = set()

    @property
    def at_once(self) -> int:
        with engine_errors(self._address):
            return 2 * max(1, threads_of(self._client))

    def submit(self, fn: Callable[P, R], /, *args: P.args, **kwargs: P.kwargs) -> Future[R]:
        with engine_errors(self._address):
            inner = self._client.submit(call, pickle.dumps((fn, args, kwargs)), software_here(), pure=False)
        outer = follow(inner, self._read)
        self._under_way.add(outer)
        outer.add_done_callback(self._under_way.discard)
        return outer

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        if wait and not cancel_futures:
            wait_for_all(set(self._under_way))
        disconnect(self._client)

    def _read(self, done: FutureOnCluster[Any]) -> Any:
        """Waits once more where the engine lost the result and does the call again."""
        with engine_errors(self._address):
            return read_answer(done.result())
