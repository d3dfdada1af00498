"""One try at a job: claimed with a lease, vouched for, ended exactly once.

The random token is the fence: every later write names it, and finds no row once the attempt has ended.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from secrets import token_hex
from typing import Any

from sqlalchemy import Connection, Row, Select, func, insert, select, update

from api.jobs.job_error import JobError, JobErrorKind
from api.jobs.states import AttemptOutcome, JobKind, JobState, move
from api.store.database import Database
from api.store.instants import now
from api.store.plans import NewPlan, insert_plan
from api.store.tables import attempts, cases, jobs, revalidation_items, revalidations


class StaleAttemptError(Exception):
    """The attempt has ended meanwhile; whatever its holder has computed is not wanted any more."""


@dataclass(frozen=True, kw_only=True)
class Claim:
    token: str
    job_id: str
    number: int
    """1 for the first attempt."""


@dataclass(frozen=True, kw_only=True)
class Work:
    """What an attempt is to do."""

    job_id: str
    kind: JobKind
    case: bytes | None
    """None for a revalidation."""
    sequence: str | None


@dataclass(frozen=True, kw_only=True)
class Patience:
    """How often a job may be broken off before it has failed."""

    lost: int
    """Times that its own process died."""
    abandoned: int
    """Times that whoever held it died; much more, as that is seldom the job's doing."""


def is_one_waiting(database: Database) -> bool:
    """Is there a job that nobody works on?"""
    with database.read() as connection:
        return connection.execute(_longest_waiting()).scalar_one_or_none() is not None


def claim(database: Database, *, lease_s: float) -> Claim | None:
    """Take the job that has waited longest, or None."""
    if not is_one_waiting(database):
        return None
    with database.write() as connection:
        job_id = connection.execute(_longest_waiting().with_for_update(skip_locked=True)).scalar_one_or_none()
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
        move(connection, job_id, JobState.RUNNING, reason=f"attempt {taken.number}", phase="starting", fraction=0.0)
        return taken


def work_of(database: Database, token: str) -> Work:
    """What the attempt is to do."""
    query = (
        select(jobs.c.id, jobs.c.kind, jobs.c.sequence, cases.c.source)
        .select_from(attempts.join(jobs).outerjoin(cases))
        .where(attempts.c.token == token, attempts.c.outcome.is_(None))
    )
    with database.read() as connection:
        row = connection.execute(query).one_or_none()
    if row is None:
        raise StaleAttemptError(token)
    source = None if row.source is None else bytes(row.source)
    return Work(job_id=row.id, kind=JobKind(row.kind), case=source, sequence=row.sequence)


def renew(database: Database, tokens: Iterable[str], *, lease_s: float) -> None:
    """Vouch for running attempts; those that have ended meanwhile stay ended."""
    with database.write() as connection:
        connection.execute(
            update(attempts)
            .where(attempts.c.token.in_(list(tokens)), attempts.c.outcome.is_(None))
            .values(lease_until=now() + timedelta(seconds=lease_s))
        )


def still_running(database: Database, tokens: Iterable[str]) -> set[str]:
    """Those of the attempts that have not ended."""
    query = select(attempts.c.token).where(attempts.c.token.in_(list(tokens)), attempts.c.outcome.is_(None))
    with database.read() as connection:
        return set(connection.execute(query).scalars())


def note_progress(
    database: Database, token: str, *, phase: str, fraction: float, best_wet_out_s: float | None
) -> None:
    with database.write() as connection:
        attempt = running_attempt(connection, token)
        connection.execute(
            update(jobs)
            .where(jobs.c.id == attempt.job_id)
            .values(phase=phase, fraction=fraction, best_wet_out_s=best_wet_out_s, updated_at=now())
        )


def finish_with_plan(database: Database, token: str, plan: NewPlan) -> str:
    """Keep the plan and end the job, in one transaction; returns the plan's id."""
    with database.write() as connection:
        attempt = running_attempt(connection, token)
        digest = connection.execute(select(jobs.c.case_digest).where(jobs.c.id == attempt.job_id)).scalar_one()
        plan_id = insert_plan(connection, plan, job_id=attempt.job_id, case_digest=digest)
        _succeed(connection, attempt, "planned")
        return plan_id


def finish(database: Database, token: str, *, reason: str) -> None:
    """End a job whose answers stand in the store already."""
    with database.write() as connection:
        _succeed(connection, running_attempt(connection, token), reason)


def finish_with_error(database: Database, token: str, error: JobError) -> None:
    """End the job for good: another attempt would meet the same error."""
    with database.write() as connection:
        attempt = running_attempt(connection, token)
        _end(connection, token, AttemptOutcome.FAILED, error.detail)
        move(connection, attempt.job_id, JobState.FAILED, reason=error.kind, error=error.to_json())


def release(database: Database, token: str) -> None:
    """Hand a running job back unharmed because its holder stops."""
    with database.write() as connection:
        attempt = running_attempt(connection, token)
        _end(connection, token, AttemptOutcome.RELEASED, "the worker was stopped")
        move(connection, attempt.job_id, JobState.QUEUED, reason="the worker was stopped", phase="waiting")


def give_up(database: Database, token: str, *, reason: str, patience: Patience) -> JobState:
    """Record that the attempt was lost; queue the job again, or fail it once it has been lost too often."""
    with database.write() as connection:
        attempt = running_attempt(connection, token)
        return break_off(connection, attempt, AttemptOutcome.LOST, reason=reason, most=patience.lost)


def hand_back(database: Database, token: str, *, reason: str, patience: Patience) -> JobState:
    """Record that the attempt was cut off through no fault of the job, which is queued again."""
    with database.write() as connection:
        attempt = running_attempt(connection, token)
        return break_off(connection, attempt, AttemptOutcome.ABANDONED, reason=reason, most=patience.abandoned)


def break_off(
    connection: Connection, attempt: Row[Any], outcome: AttemptOutcome, *, reason: str, most: int
) -> JobState:
    """End the attempt; the job is queued again, or has failed once it ended like this `most` times.

    Of a run over many plans only those count that ended since it last decided one, as it may be long, and it bears one
    more, in which it sets aside the plan that it met so often.
    """
    _end(connection, attempt.token, outcome, reason)
    alike = [attempts.c.job_id == attempt.job_id, attempts.c.outcome == outcome]
    if (run_id := _run_of(connection, attempt.job_id)) is not None:
        most += 1
        if (decided_at := _last_decided_at(connection, run_id)) is not None:
            alike.append(attempts.c.ended_at > decided_at)
    times = connection.execute(select(func.count()).select_from(attempts).where(*alike)).scalar_one()
    if times < most:
        move(connection, attempt.job_id, JobState.QUEUED, reason=reason, phase="waiting", fraction=0.0)
        return JobState.QUEUED
    error = JobError(
        kind=JobErrorKind.PROCESS_DIED, detail=f"it broke off {times} times, the last time because {reason}"
    )
    move(connection, attempt.job_id, JobState.FAILED, reason=reason, error=error.to_json())
    return JobState.FAILED


def cancel(connection: Connection, job_id: str) -> None:
    """Give a job up, running or not; what it still computes finds its attempt ended. A job that is done stays so."""
    state = connection.execute(select(jobs.c.state).where(jobs.c.id == job_id).with_for_update()).scalar_one()
    if state not in {JobState.QUEUED, JobState.RUNNING}:
        return
    running = select(attempts.c.token).where(attempts.c.job_id == job_id, attempts.c.outcome.is_(None))
    for token in connection.execute(running).scalars().all():
        _end(connection, token, AttemptOutcome.CANCELLED, "the job was cancelled")
    move(connection, job_id, JobState.CANCELLED, reason="cancelled", phase="cancelled")


def running_attempt(connection: Connection, token: str) -> Row[Any]:
    """The row of the attempt, held until the transaction ends; StaleAttemptError once it has ended."""
    query = select(attempts).where(attempts.c.token == token, attempts.c.outcome.is_(None)).with_for_update()
    attempt = connection.execute(query).one_or_none()
    if attempt is None:
        raise StaleAttemptError(token)
    return attempt


def _longest_waiting() -> Select[Any]:
    waiting = select(jobs.c.id).where(jobs.c.state == JobState.QUEUED)
    return waiting.order_by(jobs.c.created_at, jobs.c.id).limit(1)


def _run_of(connection: Connection, job_id: str) -> str | None:
    return connection.execute(select(revalidations.c.id).where(revalidations.c.job_id == job_id)).scalar_one_or_none()


def _last_decided_at(connection: Connection, run_id: str) -> datetime | None:
    query = select(func.max(revalidation_items.c.decided_at)).where(revalidation_items.c.run_id == run_id)
    at: datetime | None = connection.execute(query).scalar_one()
    return at


def _succeed(connection: Connection, attempt: Row[Any], reason: str) -> None:
    _end(connection, attempt.token, AttemptOutcome.SUCCEEDED, reason)
    move(connection, attempt.job_id, JobState.SUCCEEDED, reason=reason, phase="done", fraction=1.0)


def _end(connection: Connection, token: str, outcome: AttemptOutcome, reason: str) -> None:
    connection.execute(
        update(attempts).where(attempts.c.token == token).values(ended_at=now(), outcome=outcome, reason=reason)
    )
