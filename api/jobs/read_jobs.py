"""Jobs as their readers see them, each with the plan it led to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, bindparam, func, select

from api.jobs.states import JobState
from api.store.cases import asked_from, shown_origin
from api.store.pages import Page, read_page
from api.store.tables import attempts, job_events, jobs, plans, revalidations, withdrawals

_FEW = 500


@dataclass(frozen=True, kw_only=True)
class JobFilter:
    """Which jobs; a field that is None leaves them all."""

    state: str | None = None
    kind: str | None = None
    layout_id: str | None = None
    updated_since: datetime | None = None


def find_job(connection: Connection, job_id: str) -> Row[Any] | None:
    return connection.execute(_ONE_JOB, {"job_id": job_id}).one_or_none()


def list_jobs(connection: Connection, chosen: JobFilter, *, limit: int, cursor: str | None) -> Page:
    """Newest first; with a layout in the filter, shown as asked from that one."""
    query = _jobs_with_answers(chosen.layout_id)
    if chosen.state is not None:
        query = query.where(jobs.c.state == chosen.state)
    if chosen.kind is not None:
        query = query.where(jobs.c.kind == chosen.kind)
    if chosen.layout_id is not None:
        query = query.where(jobs.c.case_digest.in_(asked_from(chosen.layout_id)))
    if chosen.updated_since is not None:
        query = _changed_since(connection, query, chosen.updated_since)
    return read_page(connection, query, of="job", limit=limit, cursor=cursor)


def are_waiting(connection: Connection, number: int) -> bool:
    """Do at least so many jobs wait?"""
    waiting = select(jobs.c.id).where(jobs.c.state == JobState.QUEUED).limit(number).subquery()
    return bool(connection.execute(select(func.count()).select_from(waiting)).scalar_one() >= number)


def events_of_job(connection: Connection, job_id: str, *, after: int = 0) -> list[Row[Any]]:
    """Changes of state later than event `after`, in order."""
    query = select(job_events).where(job_events.c.job_id == job_id, job_events.c.id > after)
    return list(connection.execute(query.order_by(job_events.c.id)).all())


def _changed_since(connection: Connection, query: Select[Any], since: datetime) -> Select[Any]:
    """Few are looked up by their ids; of many the newest are soon found among the newest of all."""
    changed = jobs.c.updated_at >= since
    ids = connection.execute(select(jobs.c.id).where(changed).limit(_FEW + 1)).scalars().all()
    return query.where(jobs.c.id.in_(ids) if len(ids) <= _FEW else changed)


def _jobs_with_answers(layout_id: str | None = None) -> Select[Any]:
    origin = shown_origin(layout_id)
    tries = select(func.count()).select_from(attempts).where(attempts.c.job_id == jobs.c.id).scalar_subquery()
    answers = (
        jobs.outerjoin(plans, plans.c.job_id == jobs.c.id)
        .outerjoin(withdrawals, withdrawals.c.plan_id == plans.c.id)
        .outerjoin(revalidations, revalidations.c.job_id == jobs.c.id)
    )
    return select(
        jobs,
        plans.c.id.label("plan_id"),
        plans.c.verdict,
        plans.c.wet_out_s,
        withdrawals.c.reason.label("withdrawn_because"),
        revalidations.c.id.label("revalidation_id"),
        origin.c.layout_id,
        origin.c.layout_revision,
        tries.label("attempts"),
    ).select_from(answers.outerjoin(origin, origin.c.case_digest == jobs.c.case_digest))


_ONE_JOB = _jobs_with_answers().where(jobs.c.id == bindparam("job_id"))
"""Put together once, as it is asked more often than all else."""
