"""Calls carried elsewhere: the standard executor, with two promises more."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable
from concurrent.futures import Executor, Future
from typing import Any, Protocol, TypeVar

R = TypeVar("R")


class _Ends(Protocol):
    """A future of the standard library or of an engine."""

    def add_done_callback(self, fn: Callable[[Any], object], /) -> None: ...


E = TypeVar("E", bound=_Ends)


class CallExecutor(Executor):
    """A call that ends its process gets a WorkerKilledError, and the executor stays of use.

    What is called must be found by name where it runs; it must start no processes of its own.
    """

    @property
    @abstractmethod
    def at_once(self) -> int:
        """Calls to keep handed in: no worker waits, and few others are lost with one that dies."""


def follow(inner: E, read: Callable[[E], R]) -> Future[R]:
    """A future that ends as `inner` does, with what `read` makes of it: a result or an error."""
    outer: Future[R] = Future()

    def settle(_: object) -> None:
        if not outer.set_running_or_notify_cancel():
            return
        try:
            result = read(inner)
        except BaseException as error:
            outer.set_exception(error)
        else:
            outer.set_result(result)

    inner.add_done_callback(settle)
    return outer
