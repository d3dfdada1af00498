"""Deliveries whose time has come: each taken by one service for a while, then recorded.

Taking one moves its `due_at` ahead, so that no other service sends it meanwhile; if its taker dies, it is due again.
The number of the try is the fence: what a slow taker records about an earlier try is not wanted any more.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, Select, select, update

from api.store.database import Database
from api.store.instants import now
from api.store.tables import deliveries, webhooks
from api.webhooks.webhooks import end, live_secrets

LEASE = timedelta(seconds=30)
"""Longer than a try may take."""

RETRIES = (
    timedelta(seconds=5),
    timedelta(minutes=5),
    timedelta(minutes=30),
    timedelta(hours=2),
    timedelta(hours=5),
    timedelta(hours=10),
    timedelta(hours=10),
)
"""Pauses after a try that failed, as Standard Webhooks suggests them (from memory)."""

_GONE = 410


@dataclass(frozen=True, kw_only=True)
class Due:
    """A delivery to be tried now."""

    id: str
    webhook_id: str
    url: str
    payload: str
    secrets: tuple[str, ...]
    number: int
    """1 for the first try."""


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What came of a try."""

    status: int | None
    """None: no answer."""
    text: str

    @property
    def is_accepted(self) -> bool:
        return self.status is not None and 200 <= self.status < 300

    @property
    def is_gone(self) -> bool:
        """The receiver asks for nothing more, ever (RFC 9110, 15.5.11)."""
        return self.status == _GONE


def take(database: Database, besides: Collection[str]) -> Due | None:
    """The delivery that has been due longest, but for those to the webhooks `besides`; None: nothing is due."""
    with database.read() as connection:
        if connection.execute(_longest_due(besides).limit(1)).first() is None:
            return None
    with database.write() as connection:
        query = _longest_due(besides).limit(1).with_for_update(skip_locked=True, of=deliveries)
        delivery_id = connection.execute(query).scalar_one_or_none()
        if delivery_id is None:
            return None
        connection.execute(
            update(deliveries)
            .where(deliveries.c.id == delivery_id)
            .values(tries=deliveries.c.tries + 1, due_at=now() + LEASE)
        )
        return _taken(connection, delivery_id)


def record(database: Database, due: Due, answer: Answer) -> None:
    """Keep what came of the try, and when the next one is due."""
    with database.write() as connection:
        if answer.is_accepted:
            _delivered(connection, due, answer)
            return
        if answer.is_gone:
            end(connection, due.webhook_id, because="its receiver answered 410 Gone")
        _not_delivered(connection, due, answer)


def _delivered(connection: Connection, due: Due, answer: Answer) -> None:
    """Whichever try it was, and even if the delivery was given up meanwhile."""
    connection.execute(
        update(deliveries)
        .where(deliveries.c.id == due.id, deliveries.c.delivered_at.is_(None))
        .values(delivered_at=now(), given_up_at=None, due_at=None, last_answer=answer.text)
    )


def _not_delivered(connection: Connection, due: Due, answer: Answer) -> None:
    this_try = (deliveries.c.id == due.id, deliveries.c.tries == due.number, deliveries.c.delivered_at.is_(None))
    connection.execute(update(deliveries).where(*this_try).values(last_answer=answer.text))
    still_wanted = (*this_try, deliveries.c.due_at.is_not(None))
    connection.execute(update(deliveries).where(*still_wanted).values(_after_failure(due.number, now())))


def _after_failure(number: int, at: datetime) -> dict[str, datetime | None]:
    if number > len(RETRIES):
        return {"due_at": None, "given_up_at": at}
    return {"due_at": at + RETRIES[number - 1]}


def _longest_due(besides: Collection[str]) -> Select[Any]:
    query = select(deliveries.c.id).where(deliveries.c.due_at <= now(), deliveries.c.webhook_id.not_in(list(besides)))
    return query.order_by(deliveries.c.due_at)


def _taken(connection: Connection, delivery_id: str) -> Due:
    delivery = connection.execute(select(deliveries).where(deliveries.c.id == delivery_id)).one()
    webhook = connection.execute(select(webhooks).where(webhooks.c.id == delivery.webhook_id)).one()
    return Due(
        id=delivery_id,
        webhook_id=webhook.id,
        url=webhook.url,
        payload=delivery.payload,
        secrets=live_secrets(webhook),
        number=delivery.tries,
    )
