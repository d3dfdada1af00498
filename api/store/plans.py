"""Plans: written once by the job that made them, never changed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from sqlalchemy import Connection, Row, Select, insert, select

from api.store.cases import asked_from, shown_origin
from api.store.instants import now
from api.store.pages import Page, read_page
from api.store.tables import cases, plans, withdrawals
from api.store.withdrawals import is_withdrawn

_PREFIX = "plan_"
_ID_OR_SHEET = re.compile(r"(?:plan_)?([0-9a-f]{8,24})", re.ASCII)


@dataclass(frozen=True, kw_only=True)
class NewPlan:
    document: str
    """plan.json, kept byte for byte."""
    verdict: str
    wet_out_s: float | None
    gel_margin_s: float | None
    name: str
    """Of the case."""
    resin: str
    batch: str
    software_version: str
    facts: str
    """JSON: what a revalidation needs of the plan without reading all of it."""


@dataclass(frozen=True, kw_only=True)
class PlanFilter:
    """Which plans; a field that is None leaves them all."""

    layout_id: str | None = None
    resin: str | None = None
    batch: str | None = None
    verdict: str | None = None
    name: str | None = None
    withdrawn: bool | None = None


def insert_plan(connection: Connection, plan: NewPlan, *, job_id: str, case_digest: str) -> str:
    """Keep the plan and return its id, which is drawn from its content."""
    digest = sha256(plan.document.encode()).hexdigest()
    plan_id = f"{_PREFIX}{digest[:24]}"
    connection.execute(
        insert(plans).values(
            id=plan_id,
            job_id=job_id,
            case_digest=case_digest,
            name=plan.name,
            resin=plan.resin,
            batch=plan.batch,
            software_version=plan.software_version,
            verdict=plan.verdict,
            wet_out_s=plan.wet_out_s,
            gel_margin_s=plan.gel_margin_s,
            sha256=digest,
            document=plan.document,
            facts=plan.facts,
            created_at=now(),
        )
    )
    return plan_id


def find_plan(connection: Connection, plan_id: str) -> Row[Any] | None:
    return connection.execute(select(plans).where(plans.c.id == plan_id)).one_or_none()


def plans_named(connection: Connection, name: str) -> list[str]:
    """Ids of plans with this id, or with this number on their sheets: the first digits of the id, in capitals."""
    if (digits := _ID_OR_SHEET.fullmatch(name.lower())) is None:
        return []
    begun = plans.c.id.startswith(f"{_PREFIX}{digits[1]}", autoescape=True)
    query = select(plans.c.id).where(begun).order_by(plans.c.id)
    return [str(plan_id) for plan_id in connection.execute(query.limit(5)).scalars()]


def find_listed_plan(connection: Connection, plan_id: str) -> Row[Any] | None:
    """The plan without its content, with the digests and revisions that it points to."""
    return connection.execute(_listed().where(plans.c.id == plan_id)).one_or_none()


def list_plans(connection: Connection, chosen: PlanFilter, *, limit: int, cursor: str | None) -> Page:
    """Newest first, without their content; with a layout in the filter, shown as asked from that one."""
    return read_page(connection, chosen_plans(_listed(chosen.layout_id), chosen), of="plan", limit=limit, cursor=cursor)


def chosen_plans(query: Select[Any], chosen: PlanFilter) -> Select[Any]:
    """The query over plans, narrowed. A plan is one of every layout that its case was asked from."""
    if chosen.layout_id is not None:
        query = query.where(plans.c.case_digest.in_(asked_from(chosen.layout_id)))
    for column, value in (
        (plans.c.resin, chosen.resin),
        (plans.c.batch, chosen.batch),
        (plans.c.verdict, chosen.verdict),
        (plans.c.name, chosen.name),
    ):
        if value is not None:
            query = query.where(column == value)
    if chosen.withdrawn is not None:
        query = query.where(is_withdrawn() if chosen.withdrawn else ~is_withdrawn())
    return query


def _listed(layout_id: str | None = None) -> Select[Any]:
    origin = shown_origin(layout_id)
    listed = [column for column in plans.c if column.name not in {"document", "facts"}]
    pointed_to = (
        cases.c.part_digest,
        cases.c.resin_digest,
        cases.c.settings_digest,
        origin.c.layout_id,
        origin.c.layout_revision,
        origin.c.resin_id,
        origin.c.resin_revision,
        withdrawals.c.at.label("withdrawn_at"),
        withdrawals.c.reason.label("withdrawn_because"),
    )
    query = select(*listed, *pointed_to).join(cases, cases.c.digest == plans.c.case_digest)
    query = query.outerjoin(withdrawals, withdrawals.c.plan_id == plans.c.id)
    return query.join(origin, origin.c.case_digest == plans.c.case_digest)
