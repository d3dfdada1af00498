"""A run worked on by one forked process alone: no process for the attempt, none for the items."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from datetime import timedelta
from typing import Any, TypeVar
from unittest.mock import patch

from sqlalchemy import update

from api.engine.calls import CallExecutor
from api.settings import Settings
from api.store.database import Database
from api.store.instants import now
from api.store.tables import attempts
from benchmarks.durability.holder import hold
from benchmarks.durability.made_up_plays import MadeUpPlays

R = TypeVar("R")

_LEASE_S = 600.0
"""Nobody here vouches for it at heartbeats."""


def run_here(settings: Settings, plays: MadeUpPlays) -> None:
    """Until it is killed."""
    with patch("api.revalidation.answer_run._play", plays), patch("api.revalidation.answer_run.task_executor", _here):
        hold(settings.model_copy(update={"lease_s": _LEASE_S}), seed=0)


def let_leases_run_out(database: Database) -> None:
    """As time would, if somebody waited."""
    with database.write() as connection:
        past = now() - timedelta(seconds=1)
        connection.execute(update(attempts).where(attempts.c.outcome.is_(None)).values(lease_until=past))


@contextmanager
def _here(*_: object) -> Iterator[CallExecutor]:
    yield _CallsHere()


class _CallsHere(CallExecutor):
    @property
    def at_once(self) -> int:
        return 1

    def submit(self, fn: Callable[..., R], /, *args: Any, **kwargs: Any) -> Future[R]:
        done: Future[R] = Future()
        done.set_result(fn(*args, **kwargs))
        return done
