"""Webhooks: is everybody told who asked to be?"""

from __future__ import annotations

from datetime import timedelta
from urllib.parse import urlsplit

from sqlalchemy import Connection, func, select

from api.doctor.amounts import span
from api.doctor.finding import Finding, ok, warning
from api.doctor.jobs_in_store import RECENT
from api.store.instants import now
from api.store.tables import deliveries, webhooks

_BY_ITS_OWNER = "it was deleted"
_LATE = timedelta(minutes=5)
_MOST_NAMED = 5


def ended_webhooks(connection: Connection) -> Finding:
    what = "webhooks ended"
    query = select(webhooks.c.id, webhooks.c.url, webhooks.c.ended_because).where(
        webhooks.c.ended_at >= now() - RECENT, webhooks.c.ended_because != _BY_ITS_OWNER
    )
    rows = connection.execute(query.order_by(webhooks.c.ended_at.desc())).all()
    if not rows:
        return ok(what, f"none by its receiver within {RECENT.days} days")
    said = [f"{row.id} to {_host(row.url)}: {row.ended_because}" for row in rows[:_MOST_NAMED]]
    return warning(
        what,
        f"{len(rows)} within {RECENT.days} days: {'; '.join(said)}",
        "ask its owner; POST /v1/webhooks makes another",
    )


def deliveries_given_up(connection: Connection) -> Finding:
    what = "deliveries given up"
    query = (
        select(webhooks.c.id, webhooks.c.url, func.count().label("number"), func.max(deliveries.c.last_answer))
        .join(deliveries, deliveries.c.webhook_id == webhooks.c.id)
        .where(deliveries.c.given_up_at >= now() - RECENT, webhooks.c.ended_at.is_(None))
        .group_by(webhooks.c.id, webhooks.c.url)
        .order_by(func.count().desc(), webhooks.c.id)
    )
    rows = connection.execute(query.limit(_MOST_NAMED)).all()
    if not rows:
        return ok(what, f"none within {RECENT.days} days")
    said = [f"{number} to {_host(url)} ({webhook_id}), which said {answer}" for webhook_id, url, number, answer in rows]
    return warning(what, "; ".join(said), "see to the receiver; what it missed it can read from /v1/jobs")


def overdue_deliveries(connection: Connection) -> Finding:
    what, at = "deliveries overdue", now()
    late = select(func.count(), func.min(deliveries.c.due_at)).where(deliveries.c.due_at < at - _LATE)
    number, oldest = connection.execute(late).one()
    if number:
        todo = "start tapcall serve, which sends them; where it runs, see to a receiver that does not answer"
        return warning(what, f"{number}, the oldest by {span(at - oldest)}", todo)
    return ok(what, "none")


def _host(url: str) -> str:
    """The rest of an address may hold a secret."""
    return urlsplit(url).hostname or "an address without a host"
