"""Webhooks and their deliveries, as they are asked for and shown."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Annotated, Any

from pydantic import ConfigDict, Field, Strict
from sqlalchemy import Row

from api.http.document import Document, Page, Request
from api.webhooks.events import WebhookEvent
from api.webhooks.webhooks import Secret

_LONGEST_OVERLAP_S = 7 * 86_400


class WebhookRequest(Request):
    """Who is to be told of what."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"url": "https://planning.example/told", "events": ["job.failed"]}]}
    )

    url: str = Field(max_length=2000)
    """https://host/path; what is told is posted there. http:// only where receivers may be in a private network."""
    events: list[WebhookEvent] = Field(default_factory=list, max_length=20)
    """What it is told of. None named: all."""


class RotateRequest(Request):
    """How a secret is replaced."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"overlap_s": 3600}]})

    overlap_s: Annotated[int, Strict()] = Field(default=86_400, ge=0, le=_LONGEST_OVERLAP_S)
    """So many seconds the secret before signs as well; 0 where it has become known."""


_WEBHOOK = f"webhook_{'0123456789ab' * 2}"
_EXAMPLE: dict[str, Any] = {
    "id": _WEBHOOK,
    "url": "https://planning.example/told",
    "events": ["job.failed"],
    "created_at": "2026-03-02T07:30:00Z",
    "links": {"self": f"/v1/webhooks/{_WEBHOOK}", "deliveries": f"/v1/webhooks/{_WEBHOOK}/deliveries"},
}


class WebhookDocument(Document):
    """A webhook without its secret."""

    model_config = ConfigDict(json_schema_extra={"examples": [_EXAMPLE]})

    id: str
    """Id of the webhook."""
    url: str
    """Where deliveries are posted."""
    events: list[str]
    """What it is told of; empty: all."""
    created_at: datetime
    """When it was made, UTC."""
    earlier_secret_until: datetime | None = None
    """Until then each delivery carries two signatures, UTC."""
    ended_at: datetime | None = None
    """When it ended, UTC; absent: it goes on."""
    ended_because: str | None = None
    """Why it ended."""
    links: dict[str, str]
    """Addresses: self, deliveries."""

    @classmethod
    def from_row(cls, row: Row[Any]) -> WebhookDocument:
        return cls(**_facts(row))


class WebhookWithSecret(WebhookDocument):
    """A webhook with its secret."""

    model_config = ConfigDict(json_schema_extra={"examples": [_EXAMPLE | {"secret": "whsec_..."}]})

    secret: str
    """Checks the signatures. It is shown this once."""

    @classmethod
    def from_secret(cls, row: Row[Any], made: Secret) -> WebhookWithSecret:
        return cls(**_facts(row), secret=made.secret)


class WebhookPage(Page):
    """Webhooks without their secrets."""

    items: list[WebhookDocument]
    """Webhooks, newest first."""


class DeliveryState(StrEnum):
    WAITING = "waiting"
    DELIVERED = "delivered"
    GIVEN_UP = "given_up"


class DeliveryDocument(Document):
    """One thing that is told to one webhook."""

    id: str
    """The header webhook-id, the same at every try."""
    event: str
    """What it tells of."""
    state: DeliveryState
    """Where it stands."""
    created_at: datetime
    """When there was something to tell, UTC."""
    tries: int
    """How often it was posted."""
    next_try_at: datetime | None = None
    """When it is posted next, UTC; absent: never again."""
    delivered_at: datetime | None = None
    """When it was taken, UTC."""
    given_up_at: datetime | None = None
    """When it was given up, UTC."""
    last_answer: str | None = None
    """What came of the last try."""
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
    """Deliveries of one webhook."""

    items: list[DeliveryDocument]
    """Deliveries, newest first."""


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
