"""A few holders at work, one of which may be killed at any moment and is replaced; leases that run out are swept."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from multiprocessing.context import ForkServerProcess
from random import Random

from sqlalchemy.exc import OperationalError

from api.jobs.sweep import shorten, sweep
from api.settings import Settings
from api.store.database import Database
from benchmarks.durability.forks import fork, kill
from benchmarks.durability.holder import hold, hold_until_empty, is_empty
from benchmarks.durability.waiting import wait_until

_SWEEP_EVERY_S = 0.05
_LEASE_OF_A_DRAIN_S = 600.0


class Holders:
    """Use as a context; all are killed at its end."""

    def __init__(self, settings: Settings, number: int, lots: Random) -> None:
        self._settings, self._lots = settings, lots
        self._held = [self._new() for _ in range(number)]

    def __enter__(self) -> Holders:
        return self

    def __exit__(self, *_: object) -> None:
        for process in self._held:
            kill(process)

    def kill_one(self) -> None:
        """Any of them, at whatever it does; another takes its place."""
        place = self._lots.randrange(len(self._held))
        kill(self._held[place])
        self._held[place] = self._new()

    def _new(self) -> ForkServerProcess:
        return fork(hold, self._settings, self._lots.getrandbits(32))


@contextmanager
def sweeping(database: Database, settings: Settings) -> Iterator[None]:
    """What the supervisors do at every heartbeat, all the time."""
    enough = threading.Event()

    def go() -> None:
        while not enough.wait(_SWEEP_EVERY_S):
            with suppress(OperationalError):
                shorten(database, lease_s=settings.lease_s)
                sweep(database, most_abandoned=settings.most_abandoned)

    thread = threading.Thread(target=go)
    thread.start()
    try:
        yield
    finally:
        enough.set()
        thread.join()


def drain(settings: Settings, *, holders: int = 2) -> None:
    """Have all jobs worked on until none is queued or running."""
    vouched_for = settings.model_copy(update={"lease_s": _LEASE_OF_A_DRAIN_S})  # as nobody does here at heartbeats
    database = settings.open_store()
    with sweeping(database, vouched_for):
        working = [fork(hold_until_empty, vouched_for, number) for number in range(holders)]
        try:
            wait_until(
                lambda: is_empty(database) or not any(process.is_alive() for process in working),
                "the store to be drained",
                longest_s=1800.0,
                every_s=0.1,
            )
        finally:
            for process in working:
                kill(process)
    database.close()
