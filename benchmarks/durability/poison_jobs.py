"""Jobs that end their process, fill its memory or never end: set aside with a reason, and the others go on."""

from __future__ import annotations

import time
from random import Random
from typing import Any

from sqlalchemy import Row, func, select

from api.jobs.job_error import JobError
from api.settings import Settings
from api.store.database import Database
from api.store.tables import attempts, jobs
from benchmarks.durability.finding import Finding
from benchmarks.durability.holder import is_empty
from benchmarks.durability.place import Place
from benchmarks.durability.poison import POISONS, poisoned_attempt
from benchmarks.durability.quick_jobs import MADE_UP, ask_plan
from benchmarks.durability.sound import wrong_in
from benchmarks.durability.supervised import supervised
from benchmarks.durability.waiting import wait_until

_MOST_ATTEMPTS = 3
_MEMORY_MB = 1_000
_STARTS = 3.0
"""An attempt is given so many times what a sound one takes, and a little more."""
_REASONS = {
    "crash": "exit code -11",
    "leave": "exit code 7",
    "kill itself": "exit code -9",
    "fill memory": f"more than {_MEMORY_MB} MB of memory",
    "never end": "it took longer than",
}


def poison_jobs(place: Place, times: int, lots: Random) -> Finding:
    """Of each poison so many, and as many that are sound, in any order."""
    return poison_with(tuple(POISONS), place, times, lots)


def poison_with(poisons: tuple[str, ...], place: Place, times: int, lots: Random) -> Finding:
    settings = place.settings(most_attempts=_MOST_ATTEMPTS, attempt_memory_mb=_MEMORY_MB, job_processes=2, lease_s=30.0)
    sources = [name.encode() for name in poisons for _ in range(times)] + [MADE_UP] * (len(poisons) * times)
    lots.shuffle(sources)
    accepted, database = dict[str, bytes](), place.open()
    if "never end" in poisons:
        limit_s = 1.0 + _STARTS * _do_all(database, settings, accepted, [MADE_UP])
        settings = settings.model_copy(update={"attempt_limit_s": limit_s})
    _do_all(database, settings, accepted, sources)
    wrong = [*wrong_in(database, accepted.keys())]
    for job_id, source in accepted.items():
        wrong += _wrong_end(_job(database, job_id), source.decode())
    database.close()
    seen = f"{len(sources)} jobs, half of them poisoned; each of those was tried {_MOST_ATTEMPTS} times and says why"
    return Finding(times=times * len(poisons), seen=seen, wrong=tuple(wrong))


def _do_all(database: Database, settings: Settings, accepted: dict[str, bytes], sources: list[bytes]) -> float:
    """Ask for them, and wait until all are done; the time that it took."""
    with database.write() as connection:
        for number, source in enumerate(sources, len(accepted)):
            accepted[ask_plan(connection, number, source)] = source
    began_s = time.monotonic()
    with supervised(database, settings, poisoned_attempt):
        wait_until(lambda: is_empty(database), "all jobs to be done", longest_s=1800.0, every_s=0.1)
        return time.monotonic() - began_s


def _wrong_end(job: Row[Any], source: str) -> list[str]:
    if source not in POISONS:
        return [] if (job.state, job.tries) == ("succeeded", 1) else [f"a sound job: {job.state} after {job.tries}"]
    if (job.state, job.tries) != ("failed", _MOST_ATTEMPTS):
        return [f"{source}: {job.state} after {job.tries} tries"]
    detail = JobError.from_json(job.error).detail
    return [] if _REASONS[source] in detail else [f"{source}: {detail}"]


def _job(database: Database, job_id: str) -> Row[Any]:
    tries = select(func.count()).select_from(attempts).where(attempts.c.job_id == jobs.c.id).scalar_subquery()
    with database.read() as connection:
        return connection.execute(select(jobs, tries.label("tries")).where(jobs.c.id == job_id)).one()
