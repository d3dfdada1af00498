"""The states of a job and every change between them; `move` is the only code that changes one."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from sqlalchemy import Connection, insert, select, update

from api.store.instants import now
from api.store.tables import job_events, jobs


class JobState(StrEnum):
    QUEUED = "queued"
    RUNNING = "running"
    SUCCEEDED = "succeeded"
    """There is a plan; 'no admissible sequence' is a plan too."""
    FAILED = "failed"
    """There is no plan and there will be none from this job; `error` says why."""


class AttemptOutcome(StrEnum):
    SUCCEEDED = "succeeded"
    FAILED = "failed"
    """The computation itself ended in an error that another try would meet again."""
    LOST = "lost"
    """Its process died, hung or was cut off."""
    RELEASED = "released"
    """The service was stopped in good order; does not count against the job."""


DONE = frozenset({JobState.SUCCEEDED, JobState.FAILED})

TRANSITIONS: dict[JobState, frozenset[JobState]] = {
    JobState.QUEUED: frozenset({JobState.RUNNING}),
    JobState.RUNNING: frozenset({JobState.SUCCEEDED, JobState.FAILED, JobState.QUEUED}),
    JobState.SUCCEEDED: frozenset(),
    JobState.FAILED: frozenset(),
}


class ForbiddenTransitionError(Exception):
    """The program tried a change of state that is not in TRANSITIONS."""


def move(connection: Connection, job_id: str, to: JobState, *, reason: str, **values: Any) -> None:
    """Change a job's state within the caller's write transaction and record the change."""
    at = now()
    before = JobState(connection.execute(select(jobs.c.state).where(jobs.c.id == job_id)).scalar_one())
    if to not in TRANSITIONS[before]:
        raise ForbiddenTransitionError(f"job {job_id} cannot go from {before} to {to}")
    connection.execute(update(jobs).where(jobs.c.id == job_id).values(state=to, updated_at=at, **values))
    record(connection, job_id, before=before, to=to, reason=reason)


def record(
    connection: Connection, job_id: str, *, before: JobState | None, to: JobState, reason: str
) -> None:
    connection.execute(
        insert(job_events).values(job_id=job_id, at=now(), from_state=before, to_state=to, reason=reason)
    )
