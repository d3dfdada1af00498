"""Jobs as their readers see them, each with the plan it led to."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Row, Select, func, select

from api.store.pages import Page, read_page
from api.store.tables import attempts, jobs, plans


def find_job(connection: Connection, job_id: str) -> Row[Any] | None:
    return connection.execute(_jobs_with_plans().where(jobs.c.id == job_id)).one_or_none()


def list_jobs(connection: Connection, *, limit: int, cursor: str | None) -> Page:
    return read_page(connection, _jobs_with_plans(), limit=limit, cursor=cursor)


def jobs_of_layout(connection: Connection, digest: str) -> list[str]:
    query = select(jobs.c.id).where(jobs.c.layout_digest == digest).order_by(jobs.c.created_at.desc())
    return list(connection.execute(query).scalars())


def _jobs_with_plans() -> Select[Any]:
    tries = select(func.count()).select_from(attempts).where(attempts.c.job_id == jobs.c.id).scalar_subquery()
    return select(
        jobs, plans.c.id.label("plan_id"), plans.c.verdict, plans.c.wet_out_s, tries.label("attempts")
    ).outerjoin(plans)
