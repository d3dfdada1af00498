"""Where deliveries go, and the secrets that sign them (Standard Webhooks 1.0, from memory)."""

from __future__ import annotations

import base64
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from secrets import token_bytes
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, Row, insert, select, update

from api.store.instants import now
from api.store.pages import Page, read_page
from api.store.tables import deliveries, webhooks
from api.webhooks.events import WebhookEvent

_SECRET_BYTES = 32


@dataclass(frozen=True, kw_only=True)
class Secret:
    """A secret on its way to its owner; it is shown this once."""

    webhook_id: str
    secret: str
    earlier_until: datetime | None = None
    """So long the secret before it signs as well."""


def add(connection: Connection, *, url: str, events: Iterable[WebhookEvent], by: str | None) -> Secret:
    """A new webhook; no events: all of them. The caller has checked the address."""
    made = Secret(webhook_id=f"webhook_{uuid4().hex[:24]}", secret=_new_secret())
    connection.execute(
        insert(webhooks).values(
            id=made.webhook_id,
            url=url,
            events=",".join(sorted(set(events))),
            secret=made.secret,
            created_at=now(),
            created_by=by,
        )
    )
    return made


def find_webhook(connection: Connection, webhook_id: str) -> Row[Any] | None:
    return connection.execute(select(webhooks).where(webhooks.c.id == webhook_id)).one_or_none()


def list_webhooks(connection: Connection, *, limit: int, cursor: str | None) -> Page:
    """Newest first, ended ones too."""
    return read_page(connection, select(webhooks), of="webhook", limit=limit, cursor=cursor)


def end(connection: Connection, webhook_id: str, *, because: str) -> None:
    """Send nothing more there, not even what waits, and forget its secrets. Ended again it keeps its first reason."""
    at = now()
    ended = connection.execute(
        update(webhooks)
        .where(webhooks.c.id == webhook_id, webhooks.c.ended_at.is_(None))
        .values(ended_at=at, ended_because=because, secret="", earlier_secret=None)
    )
    if ended.rowcount == 1:
        connection.execute(
            update(deliveries)
            .where(deliveries.c.webhook_id == webhook_id, deliveries.c.due_at.is_not(None))
            .values(due_at=None, given_up_at=at)
        )


def rotate(connection: Connection, webhook_id: str, *, overlap: timedelta) -> Secret | None:
    """A new secret; the one before signs as well until the overlap is over. None: no such webhook, or it has ended."""
    query = select(webhooks.c.secret).where(webhooks.c.id == webhook_id, webhooks.c.ended_at.is_(None))
    earlier = connection.execute(query.with_for_update()).scalar_one_or_none()
    if earlier is None:
        return None
    made = Secret(webhook_id=webhook_id, secret=_new_secret(), earlier_until=now() + overlap)
    connection.execute(
        update(webhooks)
        .where(webhooks.c.id == webhook_id)
        .values(secret=made.secret, earlier_secret=earlier, earlier_secret_until=made.earlier_until)
    )
    return made


def live_secrets(webhook: Row[Any]) -> tuple[str, ...]:
    """The secrets that sign now, the newest first."""
    until = webhook.earlier_secret_until
    if webhook.earlier_secret is None or until is None or until <= now():
        return (webhook.secret,)
    return webhook.secret, webhook.earlier_secret


def _new_secret() -> str:
    return "whsec_" + base64.b64encode(token_bytes(_SECRET_BYTES)).decode()
