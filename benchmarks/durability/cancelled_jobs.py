"""Jobs cancelled at any moment of their attempt: its process is gone soon, and no result comes of it."""

from __future__ import annotations

import os
import time
from collections import Counter
from random import Random

from sqlalchemy import select

from api.jobs.attempt import cancel
from api.store.database import Database
from api.store.tables import jobs
from benchmarks.durability.finding import Finding
from benchmarks.durability.holder import is_empty
from benchmarks.durability.place import Place
from benchmarks.durability.poison import poisoned_attempt
from benchmarks.durability.process_tree import forked_for
from benchmarks.durability.quick_jobs import MADE_UP, ask_plan
from benchmarks.durability.sound import wrong_in
from benchmarks.durability.supervised import supervised
from benchmarks.durability.waiting import wait_for, wait_until

_LONGEST_S = 2.0
"""From the start of the attempt to the cancelling: about until it works."""


def cancel_jobs(place: Place, times: int, lots: Random) -> Finding:
    """Half of them never end by themselves, half are done in a moment, so that some are cancelled as they end."""
    settings, database = place.settings(lease_s=30.0), place.open()
    accepted, gone_s, states = list[str](), list[float](), Counter[str]()

    def attempt() -> int | None:
        return next((pid for pid in forked_for(os.getpid()) if pid not in others), None)

    with supervised(database, settings, poisoned_attempt) as supervisor:
        with database.write() as connection:
            accepted.append(ask_plan(connection, times, MADE_UP))
        wait_until(lambda: is_empty(database), "the first job to be done")
        others = set(forked_for(os.getpid()))
        for number in range(times):
            with database.write() as connection:
                job_id = ask_plan(connection, number, b"never end" if number % 2 else MADE_UP)
            accepted.append(job_id)
            supervisor.wake()
            wait_for(attempt, "the attempt to start")
            time.sleep(lots.uniform(0.0, _LONGEST_S))
            with database.write() as connection:
                cancel(connection, job_id)
            cancelled_s = time.monotonic()
            wait_until(lambda: attempt() is None, "the process of a cancelled job to be gone")
            gone_s.append(time.monotonic() - cancelled_s)
            states[_state(database, job_id)] += 1
    wrong = wrong_in(database, accepted)
    database.close()
    seen = (
        f"{states['cancelled']} cancelled, {states['succeeded']} were done before; "
        f"processes gone after {max(gone_s):.2f} s at most"
    )
    return Finding(times=times, seen=seen, wrong=wrong)


def _state(database: Database, job_id: str) -> str:
    with database.read() as connection:
        return str(connection.execute(select(jobs.c.state).where(jobs.c.id == job_id)).scalar_one())
