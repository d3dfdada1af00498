"""Writers of one process take turns, and none of them waits for the store longer than the busy timeout."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import OperationalError

_HOPELESS_S = 1.0
"""After somebody has waited in vain; then the store is tried again."""


class OneWriter:
    """Safe to share between threads.

    Where one could not have the store, those who stand behind it could not either: all who came meanwhile are told so
    with it, and do not wait in vain one after another.
    """

    def __init__(self, engine: Engine, *, busy_timeout_s: float) -> None:
        self._engine, self._busy_timeout_s = engine, busy_timeout_s
        self._turn = threading.Lock()
        self._in_vain, self._hopeless_until_s = 0, 0.0

    @property
    def is_hopeless(self) -> bool:
        """Somebody has just waited in vain, and nobody has got through since."""
        return time.monotonic() < self._hopeless_until_s

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """A transaction; OperationalError where the store could not be had."""
        came = self._in_vain
        if not self._turn.acquire(timeout=self._busy_timeout_s):
            raise self._kept_by_another()
        try:
            if self._in_vain != came:
                raise self._kept_by_another()
            with ExitStack() as transaction:
                yield self._begun(transaction)
        finally:
            self._turn.release()

    def _begun(self, transaction: ExitStack) -> Connection:
        try:
            connection = transaction.enter_context(self._engine.begin())
        except OperationalError:
            self._in_vain, self._hopeless_until_s = self._in_vain + 1, time.monotonic() + _HOPELESS_S
            raise
        self._hopeless_until_s = 0.0
        return connection

    def _kept_by_another(self) -> OperationalError:
        cause = TimeoutError(f"the store is locked: another writer keeps it for longer than {self._busy_timeout_s:g} s")
        return OperationalError("BEGIN", None, cause)
