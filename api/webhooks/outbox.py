"""What is to be told, kept in the transaction of the change itself: neither is ever without the other."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, Row, insert, select

from api.store.instants import now
from api.store.pages import Page, read_page
from api.store.tables import deliveries, revalidations, webhooks
from api.webhooks.events import TEST_EVENT, WebhookEvent


def announce(connection: Connection, *, event: WebhookEvent, subject_id: str, data: Mapping[str, object]) -> None:
    """Queue one delivery for each webhook that listens, within the caller's write transaction."""
    # Locked, so that a webhook that is being ended at this moment gets nothing that would be left over.
    listening = select(webhooks.c.id, webhooks.c.events).where(webhooks.c.ended_at.is_(None))
    for webhook in connection.execute(listening.with_for_update(read=True)).all():
        if not webhook.events or event in webhook.events.split(","):
            _queue(connection, webhook.id, event, {"id": subject_id, **data})


def announce_end_of_job(connection: Connection, *, job_id: str, kind: str, state: str) -> None:
    """Tell that a job is done, and of a revalidation that it has its answers."""
    links = {"self": f"/v1/jobs/{job_id}"}
    announce(connection, event=WebhookEvent(f"job.{state}"), subject_id=job_id, data={"state": state, "links": links})
    if (kind, state) != ("revalidation", "succeeded"):
        return
    query = select(revalidations.c.id).where(revalidations.c.job_id == job_id)
    for run_id in connection.execute(query).scalars().all():
        links = {"self": f"/v1/revalidations/{run_id}", "job": f"/v1/jobs/{job_id}"}
        announce(
            connection,
            event=WebhookEvent.REVALIDATION_DONE,
            subject_id=run_id,
            data={"state": state, "links": links},
        )


def announce_test(connection: Connection, webhook_id: str) -> str | None:
    """Queue a delivery to this webhook alone; returns its id, or None where there is no such webhook any more."""
    query = select(webhooks.c.id).where(webhooks.c.id == webhook_id, webhooks.c.ended_at.is_(None))
    if connection.execute(query.with_for_update(read=True)).one_or_none() is None:
        return None
    links = {"self": f"/v1/webhooks/{webhook_id}"}
    return _queue(connection, webhook_id, TEST_EVENT, {"id": webhook_id, "state": "live", "links": links})


def find_delivery(connection: Connection, delivery_id: str) -> Row[Any] | None:
    return connection.execute(select(deliveries).where(deliveries.c.id == delivery_id)).one_or_none()


def deliveries_of(connection: Connection, webhook_id: str, *, limit: int, cursor: str | None) -> Page:
    """Newest first."""
    query = select(deliveries).where(deliveries.c.webhook_id == webhook_id)
    return read_page(connection, query, of="delivery", limit=limit, cursor=cursor)


def _queue(connection: Connection, webhook_id: str, event: str, data: Mapping[str, object]) -> str:
    at, delivery_id = now(), f"delivery_{uuid4().hex[:24]}"
    connection.execute(
        insert(deliveries).values(
            id=delivery_id,
            webhook_id=webhook_id,
            event=event,
            payload=json.dumps({"type": event, "timestamp": _rfc_3339(at), "data": data}),
            created_at=at,
            tries=0,
            due_at=at,
        )
    )
    return delivery_id


def _rfc_3339(at: datetime) -> str:
    return at.isoformat().replace("+00:00", "Z")
