"""Writes that wait at the same moment share one commit, and so one wait for the disk.

Whoever's turn it is does the work of all that have come meanwhile, each within a savepoint.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from contextlib import AbstractContextManager
from contextvars import Context, copy_context
from threading import Lock
from typing import Any, Generic, TypeVar

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

T = TypeVar("T")

_MOST = 50
"""In one transaction, so that other writers get their turn."""


class SharedCommits:
    """Safe to share between threads."""

    def __init__(self, write: Callable[[], AbstractContextManager[Connection]]) -> None:
        self._write = write
        self._waiting: deque[_Asked[Any]] = deque()
        self._turn = Lock()

    def do(self, work: Callable[[Connection], T]) -> T:
        """What `work` returns or raises. It is kept whole or not at all, whatever becomes of the others.

        It may be done again where the store has failed over another's; then nothing of its first time is kept.
        """
        asked = _Asked(work)
        self._waiting.append(asked)
        while not asked.is_done:
            with self._turn:
                if not asked.is_done:
                    self._do_waiting()
        return asked.answer()

    def _do_waiting(self) -> None:
        some = self._taken(_MOST)
        if len(some) > 1 and self._do_together(some):
            return
        for asked in some:
            self._do_together([asked])

    def _taken(self, most: int) -> list[_Asked[Any]]:
        return [self._waiting.popleft() for _ in range(min(len(self._waiting), most))]

    def _do_together(self, some: list[_Asked[Any]]) -> bool:
        """False where the store has failed over the work of one, and each is to be done by itself."""
        has_begun = at_work = False
        try:
            with self._write() as connection:
                has_begun = at_work = True
                for asked in some:
                    asked.work_within(connection)
                at_work = False
        except BaseException as error:
            if at_work and len(some) > 1:
                return False
            if not has_begun:  # whoever came meanwhile could not have the store either
                some = [*some, *self._taken(len(self._waiting))]
            for asked in some:
                asked.fail(error)
        for asked in some:
            asked.is_done = True
        return True


class _Asked(Generic[T]):
    """One write and what came of it."""

    def __init__(self, work: Callable[[Connection], T]) -> None:
        self.is_done = False
        self._work = work
        self._context: Context = copy_context()
        self._result: T | None = None
        self._error: BaseException | None = None

    def work_within(self, connection: Connection) -> None:
        """As if by the thread that asked; an error that is not the store's undoes this work alone."""
        try:
            with connection.begin_nested():
                self._result = self._context.run(self._work, connection)
                self._error = None
        except DBAPIError:
            raise
        except Exception as error:
            self._error = error

    def fail(self, error: BaseException) -> None:
        self._error = error

    def answer(self) -> T:
        if self._error is not None:
            raise self._error
        result: T = self._result  # type: ignore[assignment]
        return result
