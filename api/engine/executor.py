"""Many calls that have nothing to do with each other, on the processes of this machine or on a dask cluster."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from contextlib import contextmanager
from itertools import islice
from typing import TypeVar

from api.engine.calls import CallExecutor
from api.engine.cluster_calls import ClusterCalls
from api.engine.engine_error import EngineError, WorkerKilledError
from api.engine.local_calls import LocalCalls

T = TypeVar("T")
R = TypeVar("R")


@contextmanager
def task_executor(engine: str | None, workers: int) -> Iterator[CallExecutor]:
    """On the cluster whose scheduler is at `engine`; without one on `workers` processes, which end with this thread.

    Raises EngineUnreachableError if there is no such cluster, or no worker on it.
    """
    executor = LocalCalls(workers) if engine is None else ClusterCalls(engine)
    try:
        yield executor
    except BaseException:
        executor.shutdown(wait=False, cancel_futures=True)
        raise
    executor.shutdown()


def run_all(executor: CallExecutor, fn: Callable[[T], R], items: Iterable[T]) -> Iterator[tuple[int, R | Exception]]:
    """`fn` of each item as they come: the item's number, and its result or the error it ended in.

    Items that were under way when a worker died are done once more at the end, each alone, so that a
    WorkerKilledError blames only the one that kills. An engine that is lost ends the whole: what was given out before
    is done, the rest may be asked for anew.
    """
    suspects = yield from _each(executor, fn, enumerate(items))
    for number, item in suspects:
        if (yield from _each(executor, fn, [(number, item)])):
            yield number, WorkerKilledError("the process that did this ended over it, also when it did nothing else")


def _each(
    executor: CallExecutor, fn: Callable[[T], R], numbered: Iterable[tuple[int, T]]
) -> Generator[tuple[int, R | Exception], None, list[tuple[int, T]]]:
    """Returns the items that were under way when a worker died."""
    rest, under_way, lost = iter(numbered), dict[Future[R], tuple[int, T]](), list[tuple[int, T]]()
    while True:
        for number, item in islice(rest, max(0, executor.at_once - len(under_way))):
            under_way[executor.submit(fn, item)] = (number, item)
        if not under_way:
            return sorted(lost, key=lambda one: one[0])
        for done in wait(under_way, return_when=FIRST_COMPLETED).done:
            number, item = under_way.pop(done)
            if isinstance(error := done.exception(), WorkerKilledError):
                lost.append((number, item))
            elif isinstance(error, EngineError) or not isinstance(error, Exception | None):
                raise error
            else:
                yield number, error or done.result()
