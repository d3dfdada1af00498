"""What revalidations have said of a plan."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Row, Select, or_, select

from api.store.tables import plans, revalidation_items, revalidations


def judgements_of(connection: Connection, plan_id: str) -> list[Row[Any]]:
    """All that any run has decided, newest first: its state and answer, and the run's change, as data and in words."""
    return list(connection.execute(_judged().where(revalidation_items.c.plan_id == plan_id)).all())


def judgements_against(connection: Connection, run_id: str) -> dict[str, list[Row[Any]]]:
    """The same, by its id, of every plan that this run was asked about, or has led to, and any run found wanting."""
    asked, barring = revalidation_items.alias("asked"), revalidation_items.alias("barring")
    made = select(plans.c.id).join(asked, asked.c.plan_job_id == plans.c.job_id).where(asked.c.run_id == run_id)
    in_run = select(asked.c.plan_id).where(asked.c.run_id == run_id).union_all(made)
    wanting = or_(barring.c.state == "set_aside", barring.c.answer.in_(("no_longer_valid", "new_clock")))
    barred = select(barring.c.plan_id).where(barring.c.plan_id.in_(in_run), wanting)
    found: dict[str, list[Row[Any]]] = {}
    for row in connection.execute(_judged().where(revalidation_items.c.plan_id.in_(barred))):
        found.setdefault(row.plan_id, []).append(row)
    return found


def _judged() -> Select[Any]:
    return (
        select(
            revalidation_items.c.plan_id,
            revalidation_items.c.state,
            revalidation_items.c.answer,
            revalidation_items.c.decided_at,
            revalidations.c.change,
            revalidations.c.said,
        )
        .join(revalidations, revalidations.c.id == revalidation_items.c.run_id)
        .where(revalidation_items.c.decided_at.is_not(None))
        .order_by(revalidation_items.c.decided_at.desc(), revalidation_items.c.run_id.desc())
    )
