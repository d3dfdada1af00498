"""What a revalidation last said of a plan."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Row, Select, select

from api.store.tables import revalidation_items, revalidations


def last_judgement(connection: Connection, plan_id: str) -> Row[Any] | None:
    """The newest answer of any run, with the run's change in sentences; None: never judged."""
    query: Select[Any] = (
        select(
            revalidation_items.c.answer,
            revalidation_items.c.decided_at,
            revalidations.c.said,
        )
        .join(revalidations, revalidations.c.id == revalidation_items.c.run_id)
        .where(revalidation_items.c.plan_id == plan_id, revalidation_items.c.state == "answered")
        .order_by(revalidation_items.c.decided_at.desc(), revalidation_items.c.run_id.desc())
    )
    return connection.execute(query.limit(1)).one_or_none()
