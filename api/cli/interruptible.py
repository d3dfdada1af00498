"""Long work that Ctrl-C ends at once.

A signal is only noticed between two steps of Python, and one step may be a minute of the solver. So the work
runs in a thread of its own, and the main thread does nothing but wait for it.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from threading import Thread
from typing import TypeVar

from api.killed_workers import expect_killed_workers

ResultT = TypeVar("ResultT")


def interruptible(work: Callable[[], ResultT], *, first: Callable[[], None] | None = None) -> ResultT:
    """What `work` returns or raises; on KeyboardInterrupt its thread is left to end with the process.

    first: called on the first one instead, and the work is waited for until there is a second.
    """
    expect_killed_workers()
    outcome: Future[ResultT] = Future()

    def run() -> None:
        try:
            outcome.set_result(work())
        except BaseException as error:
            outcome.set_exception(error)

    Thread(target=run, name="planning", daemon=True).start()
    if first is not None:
        try:
            return outcome.result()
        except KeyboardInterrupt:
            first()
    return outcome.result()
