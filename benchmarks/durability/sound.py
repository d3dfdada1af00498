"""What must be true of a store once everything has come to rest, whatever was done to those who wrote it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator
from hashlib import sha256
from itertools import pairwise

from sqlalchemy import Connection, func, select

from api.jobs.states import DONE, AttemptOutcome, JobState
from api.store.database import Database
from api.store.proof import prove
from api.store.tables import attempts, job_events, jobs, plans, revalidation_items, revalidations

_MOST_TOLD = 5


def wrong_in(database: Database, accepted: Collection[str]) -> tuple[str, ...]:
    """Each thing that must not be, in a sentence. `accepted` are the ids of the jobs that somebody was promised."""
    with database.read() as connection:
        return tuple(_all_wrong(connection, accepted))


def count_outcomes(database: Database) -> Counter[str]:
    """How attempts ended."""
    with database.read() as connection:
        rows = connection.execute(select(attempts.c.outcome, func.count()).group_by(attempts.c.outcome))
        return Counter({str(outcome): int(count) for outcome, count in rows})


def _all_wrong(connection: Connection, accepted: Collection[str]) -> Iterator[str]:
    states = {row.id: row.state for row in connection.execute(select(jobs.c.id, jobs.c.state))}
    yield from _some("a job that was accepted is lost", set(accepted) - states.keys())
    yield from _some("a job is stuck", {job_id for job_id, state in states.items() if state not in DONE})
    yield from _of_events(connection, states)
    yield from _of_attempts(connection, states)
    yield from _of_plans(connection, states)
    yield from _some("a run is done and has open items", _done_with_open_items(connection))
    yield from _of_the_file(connection)


def _of_events(connection: Connection, states: dict[str, str]) -> Iterator[str]:
    """The changes of state of each job form one chain, from nothing to the state it is in, with one end."""
    told: dict[str, list[tuple[str | None, str]]] = defaultdict(list)
    for row in connection.execute(select(job_events).order_by(job_events.c.id)):
        told[row.job_id].append((row.from_state, row.to_state))
    broken = set()
    for job_id, state in states.items():
        chain = told[job_id]
        whole = chain and chain[0][0] is None and chain[-1][1] == state
        joined = all(earlier[1] == later[0] for earlier, later in pairwise(chain))
        if not (whole and joined and sum(to in DONE for _, to in chain) == (state in DONE)):
            broken.add(job_id)
    yield from _some("the story of a job has a hole, or two ends", broken)


def _of_attempts(connection: Connection, states: dict[str, str]) -> Iterator[str]:
    running, ended_it = set(), Counter[str]()
    for row in connection.execute(select(attempts.c.job_id, attempts.c.outcome)):
        if row.outcome is None:
            running.add(row.job_id)
        elif row.outcome == AttemptOutcome.SUCCEEDED:
            ended_it[row.job_id] += 1
    yield from _some("an attempt was never ended", running)
    succeeded = {job_id for job_id, state in states.items() if state == JobState.SUCCEEDED}
    yield from _some("a job has not exactly one result", {each for each, count in ended_it.items() if count != 1})
    yield from _some("a result and a job do not belong together", succeeded ^ ended_it.keys())


def _of_plans(connection: Connection, states: dict[str, str]) -> Iterator[str]:
    kinds = {row.id: row.kind for row in connection.execute(select(jobs.c.id, jobs.c.kind))}
    kept = Counter[str]()
    for row in connection.execute(select(plans.c.id, plans.c.job_id, plans.c.sha256, plans.c.document)):
        kept[row.job_id] += 1
        if sha256(row.document.encode()).hexdigest() != row.sha256:
            yield f"a plan is not what was handed in: {row.id}"
    planned = {each for each, state in states.items() if state == JobState.SUCCEEDED and kinds[each] != "revalidation"}
    yield from _some("there is not one plan for each job that was planned", planned ^ kept.keys())
    yield from _some("a plan is there twice", {each for each, count in kept.items() if count > 1})


def _done_with_open_items(connection: Connection) -> set[str]:
    items = revalidation_items.join(revalidations, revalidations.c.id == revalidation_items.c.run_id)
    query = select(revalidations.c.id).select_from(items.join(jobs, jobs.c.id == revalidations.c.job_id))
    found = query.where(revalidation_items.c.state == "open", jobs.c.state == JobState.SUCCEEDED)
    return set(connection.execute(found).scalars())


def _of_the_file(connection: Connection) -> Iterator[str]:
    """SQLite looks at every page and every reference; of a server at least every row is read."""
    if connection.dialect.name == "sqlite":
        told = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
        if told != ["ok"]:
            yield f"integrity_check: {told[:_MOST_TOLD]}"
        if torn := connection.exec_driver_sql("PRAGMA foreign_key_check").all():
            yield f"{len(torn)} references point to nothing"
    else:
        prove(connection)


def _some(what: str, ids: Collection[str]) -> Iterator[str]:
    if ids:
        yield f"{what}: {len(ids)}, such as {', '.join(sorted(ids)[:_MOST_TOLD])}"
