"""One try at a job: claimed with a lease, vouched for, ended exactly once.

The random token is the fence: every later write names it, and finds no row once the attempt has ended.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from secrets import token_hex
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select, update

from api.jobs.job_error import JobError, JobErrorKind
from api.jobs.states import AttemptOutcome, JobState, move
from api.store.database import Database
from api.store.instants import now
from api.store.plans import NewPlan, insert_plan
from api.store.tables import attempts, jobs, layouts


class StaleAttemptError(Exception):
    """The attempt has ended meanwhile; whatever its holder has computed is not wanted any more."""


@dataclass(frozen=True, kw_only=True)
class Claim:
    token: str
    job_id: str
    number: int
    """1 for the first attempt."""


def claim(database: Database, *, lease_s: float) -> Claim | None:
    """Take the job that has waited longest, or None."""
    with database.read() as connection:
        if _longest_waiting(connection) is None:
            return None
    with database.write() as connection:
        job_id = _longest_waiting(connection)
        if job_id is None:
            return None
        earlier = connection.execute(
            select(func.count()).select_from(attempts).where(attempts.c.job_id == job_id)
        ).scalar_one()
        taken = Claim(token=token_hex(16), job_id=job_id, number=earlier + 1)
        at = now()
        connection.execute(
            insert(attempts).values(
                token=taken.token,
                job_id=job_id,
                number=taken.number,
                started_at=at,
                lease_until=at + timedelta(seconds=lease_s),
            )
        )
        move(
            connection,
            job_id,
            JobState.RUNNING,
            reason=f"attempt {taken.number}",
            phase="starting",
            fraction=0.0,
        )
        return taken


def source_of(database: Database, token: str) -> bytes:
    """The case that the attempt is to plan."""
    query = select(layouts.c.source).select_from(layouts.join(jobs).join(attempts))
    with database.read() as connection:
        return bytes(connection.execute(query.where(attempts.c.token == token)).scalar_one())


def renew(database: Database, token: str, *, lease_s: float) -> bool:
    """Vouch for a running attempt; False when it has ended meanwhile."""
    with database.write() as connection:
        renewed = connection.execute(
            update(attempts)
            .where(attempts.c.token == token, attempts.c.outcome.is_(None))
            .values(lease_until=now() + timedelta(seconds=lease_s))
        )
        return renewed.rowcount == 1


def note_progress(
    database: Database, token: str, *, phase: str, fraction: float, best_wet_out_s: float | None
) -> None:
    with database.write() as connection:
        attempt = _running(connection, token)
        connection.execute(
            update(jobs)
            .where(jobs.c.id == attempt.job_id)
            .values(phase=phase, fraction=fraction, best_wet_out_s=best_wet_out_s, updated_at=now())
        )


def finish_with_plan(database: Database, token: str, plan: NewPlan) -> str:
    """Keep the plan and end the job, in one transaction; returns the plan's id."""
    with database.write() as connection:
        attempt = _running(connection, token)
        digest = connection.execute(
            select(jobs.c.layout_digest).where(jobs.c.id == attempt.job_id)
        ).scalar_one()
        plan_id = insert_plan(connection, plan, job_id=attempt.job_id, layout_digest=digest)
        _end(connection, token, AttemptOutcome.SUCCEEDED, "planned")
        move(connection, attempt.job_id, JobState.SUCCEEDED, reason="planned", phase="done", fraction=1.0)
        return plan_id


def finish_with_error(database: Database, token: str, error: JobError) -> None:
    """End the job for good: another attempt would meet the same error."""
    with database.write() as connection:
        attempt = _running(connection, token)
        _end(connection, token, AttemptOutcome.FAILED, error.detail)
        move(connection, attempt.job_id, JobState.FAILED, reason=error.kind, error=error.to_json())


def release(database: Database, token: str) -> None:
    """Hand a running job back unharmed because the service stops."""
    with database.write() as connection:
        attempt = _running(connection, token)
        _end(connection, token, AttemptOutcome.RELEASED, "the service was stopped")
        move(connection, attempt.job_id, JobState.QUEUED, reason="the service was stopped", phase="waiting")


def give_up(database: Database, token: str, *, reason: str, most_attempts: int) -> JobState:
    """Record that the attempt was lost; queue the job again, or fail it once it has been lost too often."""
    with database.write() as connection:
        return lose(connection, _running(connection, token), reason=reason, most_attempts=most_attempts)


def lose(connection: Connection, attempt: Row[Any], *, reason: str, most_attempts: int) -> JobState:
    _end(connection, attempt.token, AttemptOutcome.LOST, reason)
    lost = connection.execute(
        select(func.count())
        .select_from(attempts)
        .where(attempts.c.job_id == attempt.job_id, attempts.c.outcome == AttemptOutcome.LOST)
    ).scalar_one()
    if lost < most_attempts:
        move(connection, attempt.job_id, JobState.QUEUED, reason=reason, phase="waiting", fraction=0.0)
        return JobState.QUEUED
    error = JobError(
        kind=JobErrorKind.PROCESS_DIED,
        detail=f"planning broke off {lost} times, the last time because {reason}",
    )
    move(connection, attempt.job_id, JobState.FAILED, reason=reason, error=error.to_json())
    return JobState.FAILED


def _longest_waiting(connection: Connection) -> str | None:
    waiting = select(jobs.c.id).where(jobs.c.state == JobState.QUEUED)
    return connection.execute(waiting.order_by(jobs.c.created_at, jobs.c.id).limit(1)).scalar_one_or_none()


def _running(connection: Connection, token: str) -> Row[Any]:
    query = select(attempts).where(attempts.c.token == token, attempts.c.outcome.is_(None))
    attempt = connection.execute(query).one_or_none()
    if attempt is None:
        raise StaleAttemptError(token)
    return attempt


def _end(connection: Connection, token: str, outcome: AttemptOutcome, reason: str) -> None:
    connection.execute(
        update(attempts)
        .where(attempts.c.token == token)
        .values(ended_at=now(), outcome=outcome, reason=reason)
    )
