"""Webhooks and their deliveries, as they are asked for and shown."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Any

from pydantic import Field
from sqlalchemy import Row

from api.http.document import Document, Page, Request
from api.webhooks.events import WebhookEvent
from api.webhooks.webhooks import Secret

_LONGEST_OVERLAP_S = 7 * 86_400


class WebhookRequest(Request):
    url: str = Field(max_length=2000)
    """https://host/path; what is told is posted there."""
    events: list[WebhookEvent] = Field(default_factory=list, max_length=20)
    """None named: all."""


class RotateRequest(Request):
    overlap_s: int = Field(default=86_400, ge=0, le=_LONGEST_OVERLAP_S)
    """So long the secret before signs as well; 0 where it has become known."""


class WebhookDocument(Document):
    id: str
    url: str
    events: list[str]
    """Empty: all."""
    created_at: datetime
    earlier_secret_until: datetime | None = None
    """Until then each delivery carries two signatures."""
    ended_at: datetime | None = None
    ended_because: str | None = None
    links: dict[str, str]

    @classmethod
    def from_row(cls, row: Row[Any]) -> WebhookDocument:
        return cls(**_facts(row))


class WebhookWithSecret(WebhookDocument):
    secret: str
    """Checks the signatures. It is shown this once."""

    @classmethod
    def from_secret(cls, row: Row[Any], made: Secret) -> WebhookWithSecret:
        return cls(**_facts(row), secret=made.secret)


class WebhookPage(Page):
    items: list[WebhookDocument]


class DeliveryState(StrEnum):
    WAITING = "waiting"
    DELIVERED = "delivered"
    GIVEN_UP = "given_up"


class DeliveryDocument(Document):
    id: str
    """The header webhook-id, the same at every try."""
    event: str
    state: DeliveryState
    created_at: datetime
    tries: int
    next_try_at: datetime | None = None
    delivered_at: datetime | None = None
    given_up_at: datetime | None = None
    last_answer: str | None = None
    payload: str
    """The body as it is sent, byte for byte."""

    @classmethod
    def from_row(cls, row: Row[Any]) -> DeliveryDocument:
        return cls(
            id=row.id,
            event=row.event,
            state=_state(row),
            created_at=row.created_at,
            tries=row.tries,
            next_try_at=row.due_at,
            delivered_at=row.delivered_at,
            given_up_at=row.given_up_at,
            last_answer=row.last_answer,
            payload=row.payload,
        )


class DeliveryPage(Page):
    items: list[DeliveryDocument]


def _facts(row: Row[Any]) -> dict[str, Any]:
    address = f"/v1/webhooks/{row.id}"
    return {
        "id": row.id,
        "url": row.url,
        "events": row.events.split(",") if row.events else [],
        "created_at": row.created_at,
        "earlier_secret_until": row.earlier_secret_until,
        "ended_at": row.ended_at,
        "ended_because": row.ended_because,
        "links": {"self": address, "deliveries": f"{address}/deliveries"},
    }


def _state(row: Row[Any]) -> DeliveryState:
    if row.delivered_at is not None:
        return DeliveryState.DELIVERED
    return DeliveryState.WAITING if row.due_at is not None else DeliveryState.GIVEN_UP
