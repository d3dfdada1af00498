"""What revalidations have said of a plan."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Row, Select, select

from api.store.tables import revalidation_items, revalidations


def judgements_of(connection: Connection, plan_id: str) -> list[Row[Any]]:
    """All that any run has decided, newest first: its state and answer, and the run's change, as data and in words."""
    query: Select[Any] = (
        select(
            revalidation_items.c.state,
            revalidation_items.c.answer,
            revalidation_items.c.decided_at,
            revalidations.c.change,
            revalidations.c.said,
        )
        .join(revalidations, revalidations.c.id == revalidation_items.c.run_id)
        .where(revalidation_items.c.plan_id == plan_id, revalidation_items.c.decided_at.is_not(None))
        .order_by(revalidation_items.c.decided_at.desc(), revalidation_items.c.run_id.desc())
    )
    return list(connection.execute(query).all())
