"""The store as an attempt sees it: one that is away or busy is waited for, since what was computed would be lost."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from typing import TypeVar

from sqlalchemy import Connection
from sqlalchemy.exc import OperationalError

from api.store.database import Database

T = TypeVar("T")

log = logging.getLogger(__name__)

_PAUSE_S = 1.0


class PatientStore(Database):
    """Waits for a transaction to begin; one that is cut off midway is the caller's to do again.

    The waiting has its end where the process has: whoever started it ends it when its time is over.
    """

    @contextmanager
    def read(self) -> Iterator[Connection]:
        with _begun(super().read) as connection:
            yield connection

    @contextmanager
    def write(self) -> Iterator[Connection]:
        with _begun(super().write) as connection:
            yield connection


def until_it_answers(do: Callable[[], T]) -> T:
    """Does it again whenever the store is away or cuts it off. A write must be one that the fence lets through once."""
    while True:
        try:
            return do()
        except OperationalError as error:
            _pause(error)


@contextmanager
def _begun(begin: Callable[[], AbstractContextManager[Connection]]) -> Iterator[Connection]:
    with ExitStack() as transaction:
        yield until_it_answers(lambda: transaction.enter_context(begin()))


def _pause(error: OperationalError) -> None:
    log.warning("the store does not answer, trying again", extra={"cause": str(error.orig)})
    time.sleep(_PAUSE_S)
