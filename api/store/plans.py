"""Plans: written once by the job that made them, never changed."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from sqlalchemy import Connection, Row, insert, select

from api.store.instants import now
from api.store.pages import Page, read_page
from api.store.tables import plans


@dataclass(frozen=True, kw_only=True)
class NewPlan:
    document: str
    """plan.json, kept byte for byte."""
    verdict: str
    wet_out_s: float | None


def insert_plan(connection: Connection, plan: NewPlan, *, job_id: str, layout_digest: str) -> str:
    """Keep the plan and return its id, which is drawn from its content."""
    digest = sha256(plan.document.encode()).hexdigest()
    plan_id = f"plan_{digest[:24]}"
    connection.execute(
        insert(plans).values(
            id=plan_id,
            job_id=job_id,
            layout_digest=layout_digest,
            verdict=plan.verdict,
            wet_out_s=plan.wet_out_s,
            sha256=digest,
            document=plan.document,
            created_at=now(),
        )
    )
    return plan_id


def find_plan(connection: Connection, plan_id: str) -> Row[Any] | None:
    return connection.execute(select(plans).where(plans.c.id == plan_id)).one_or_none()


def list_plans(connection: Connection, *, limit: int, cursor: str | None) -> Page:
    listed = [column for column in plans.c if column.name != "document"]
    return read_page(connection, select(*listed), limit=limit, cursor=cursor)
