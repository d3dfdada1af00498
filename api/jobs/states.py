"""The states of a job and every change between them; `move` is the only code that changes one."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from sqlalchemy import Connection, insert, select, update

from api.store.instants import now
from api.store.tables import job_events, jobs
from api.webhooks.outbox import announce_end_of_job


class JobState(StrEnum):
    QUEUED = "queued"
    RUNNING = "running"
    SUCCEEDED = "succeeded"
    """There is an answer; 'no admissible sequence' is one too."""
    FAILED = "failed"
    """There is no answer and there will be none from this job; `error` says why."""
    CANCELLED = "cancelled"
    """Somebody asked for it to be given up."""


class JobKind(StrEnum):
    PLAN = "plan"
    CHECK = "check"
    """A sequence that somebody else wrote, played as it stands."""
    REVALIDATION = "revalidation"
    """Stored sequences, judged again after a change."""


class AttemptOutcome(StrEnum):
    SUCCEEDED = "succeeded"
    FAILED = "failed"
    """The computation itself ended in an error that another try would meet again."""
    LOST = "lost"
    """Its process died, or was ended for going beyond a limit: may be the job's own doing."""
    ABANDONED = "abandoned"
    """Nobody vouched for it in time: whoever held it died or stood still."""
    RELEASED = "released"
    """Whoever held it was stopped in good order; does not count against the job."""
    CANCELLED = "cancelled"


DONE = frozenset({JobState.SUCCEEDED, JobState.FAILED, JobState.CANCELLED})
MAY_SUCCEED = "jobs.state NOT IN ('failed', 'cancelled')"
"""In the very words of the index `one_job_for_a_question`: said otherwise, a store goes through all jobs instead."""

TRANSITIONS: dict[JobState, frozenset[JobState]] = {
    JobState.QUEUED: frozenset({JobState.RUNNING, JobState.CANCELLED}),
    JobState.RUNNING: frozenset({JobState.SUCCEEDED, JobState.FAILED, JobState.QUEUED, JobState.CANCELLED}),
    JobState.SUCCEEDED: frozenset(),
    JobState.FAILED: frozenset(),
    JobState.CANCELLED: frozenset(),
}


class ForbiddenTransitionError(Exception):
    """The program tried a change of state that is not in TRANSITIONS."""


def move(connection: Connection, job_id: str, to: JobState, *, reason: str, **values: Any) -> None:
    """Change a job's state within the caller's write transaction and record the change."""
    at = now()
    job = connection.execute(select(jobs.c.state, jobs.c.kind).where(jobs.c.id == job_id)).one()
    before = JobState(job.state)
    if to not in TRANSITIONS[before]:
        raise ForbiddenTransitionError(f"job {job_id} cannot go from {before} to {to}")
    connection.execute(update(jobs).where(jobs.c.id == job_id).values(state=to, updated_at=at, **values))
    record(connection, job_id, before=before, to=to, reason=reason)
    if to in DONE:
        announce_end_of_job(connection, job_id=job_id, kind=job.kind, state=to)


def record(
    connection: Connection, job_id: str, *, before: JobState | None, to: JobState, reason: str
) -> None:
    connection.execute(
        insert(job_events).values(job_id=job_id, at=now(), from_state=before, to_state=to, reason=reason)
    )
