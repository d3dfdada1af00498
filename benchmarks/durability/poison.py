"""Work that harms the process which does it. It takes the place of the real one for a while, in this program only."""

from __future__ import annotations

import ctypes
import os
import signal
import time
from collections.abc import Callable
from unittest.mock import patch

import api.jobs.child
from api.jobs.attempt import finish_with_plan, work_of
from api.settings import Settings
from api.store.database import Database
from benchmarks.durability.quick_jobs import made_up_plan


def crash() -> None:
    """A segmentation fault."""
    ctypes.string_at(0)


def leave() -> None:
    """An end without a word."""
    os._exit(7)


def kill_itself() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def fill_memory() -> None:
    kept = []
    while True:
        kept.append(bytearray(10_000_000))


def never_end() -> None:
    while True:
        time.sleep(0.01)


POISONS: dict[str, Callable[[], None]] = {
    "crash": crash,
    "leave": leave,
    "kill itself": kill_itself,
    "fill memory": fill_memory,
    "never end": never_end,
}
"""By name, which is the source of a case that does it."""


def poisoned_attempt(settings: Settings, token: str, parent_pid: int) -> None:
    """In place of `run_attempt`: what a case does is its source, all others are made up."""
    with patch("api.jobs.child.work_on", _work_on):
        api.jobs.child.run_attempt(settings, token, parent_pid)


def _work_on(database: Database, _settings: Settings, token: str) -> None:
    source = (work_of(database, token).case or b"").decode()
    POISONS.get(source, lambda: None)()
    finish_with_plan(database, token, made_up_plan(token))
