"""Webhooks: told of the end of jobs, so that nobody has to ask."""

from __future__ import annotations

from datetime import timedelta

from fastapi import APIRouter
from sqlalchemy import Connection
from starlette.responses import Response

from api.http.answers import LOCATION, Answers, answer
from api.http.caller import Operates
from api.http.identifiers import WebhookId
from api.http.json_body import JsonRoute
from api.http.not_found import found
from api.http.once import Reply, Writing
from api.http.paging import Paging
from api.http.problem import Problem
from api.http.problem_answers import ALREADY_SHOWN
from api.http.problem_kinds import NOT_FOUND
from api.http.state import Configured, Store
from api.http.webhook_document import (
    DeliveryDocument,
    DeliveryPage,
    RotateRequest,
    WebhookDocument,
    WebhookPage,
    WebhookRequest,
    WebhookWithSecret,
)
from api.webhooks.outbox import announce_test, deliveries_of, find_delivery
from api.webhooks.receiver_url import checked_url
from api.webhooks.webhooks import add, end, find_webhook, list_webhooks, rotate

router = APIRouter(prefix="/v1/webhooks", tags=["webhooks"], route_class=JsonRoute)

_MADE: Answers = {201: answer("The webhook with its secret", LOCATION), **ALREADY_SHOWN}
_ROTATED: Answers = {200: answer("The webhook with its new secret"), **ALREADY_SHOWN}
_TOLD: Answers = {202: answer("The delivery, not yet made", LOCATION)}


@router.post("", status_code=201, response_model=WebhookWithSecret, responses=_MADE)
def post_webhook(asked: WebhookRequest, settings: Configured, once: Writing, _: Operates) -> Response:
    """Have an address told. The secret that checks the signatures is in this answer and nowhere else."""
    url = checked_url(asked.url, to_private=settings.webhooks_to_private)

    def write(connection: Connection) -> Reply:
        made = add(connection, url=url, events=asked.events, by=once.by)
        shown = WebhookWithSecret.from_secret(found(find_webhook(connection, made.webhook_id)), made)
        location = {"Location": shown.links["self"]}
        return Reply(status=201, document=shown, subject=shown.id, has_secret=True, headers=location)

    return once("webhook.add", write)


@router.get("", response_model_exclude_none=True)
def get_webhooks(paging: Paging, store: Store, _: Operates) -> WebhookPage:
    """All webhooks, newest first, ended ones too."""
    with store.read() as connection:
        page = list_webhooks(connection, limit=paging.limit, cursor=paging.cursor)
    items = [WebhookDocument.from_row(row) for row in page.rows]
    link = paging.next_link("/v1/webhooks", page.next_cursor)
    return WebhookPage(items=items, next_cursor=page.next_cursor, next=link)


@router.get("/{webhook_id}", response_model_exclude_none=True)
def get_webhook(webhook_id: WebhookId, store: Store, _: Operates) -> WebhookDocument:
    """One webhook, without its secret."""
    with store.read() as connection:
        return WebhookDocument.from_row(found(find_webhook(connection, webhook_id)))


@router.delete("/{webhook_id}", status_code=204, responses={204: answer("The webhook has ended")})
def delete_webhook(webhook_id: WebhookId, once: Writing, _: Operates) -> Response:
    """Tell this address nothing more, not even what waits. The webhook and its deliveries can still be read."""

    def write(connection: Connection) -> Reply:
        found(find_webhook(connection, webhook_id))
        end(connection, webhook_id, because="it was deleted")
        return Reply(status=204, document=None, subject=webhook_id)

    return once("webhook.end", write)


@router.post("/{webhook_id}/rotate", response_model=WebhookWithSecret, responses=_ROTATED)
def rotate_webhook(webhook_id: WebhookId, once: Writing, _: Operates, asked: RotateRequest | None = None) -> Response:
    """A new secret. For a day, or `overlap_s`, the one before signs as well."""
    overlap = timedelta(seconds=(asked or RotateRequest()).overlap_s)

    def write(connection: Connection) -> Reply:
        made = rotate(connection, webhook_id, overlap=overlap)
        if made is None:
            raise _ended()
        shown = WebhookWithSecret.from_secret(found(find_webhook(connection, webhook_id)), made)
        return Reply(status=200, document=shown, subject=webhook_id, has_secret=True)

    return once("webhook.rotate", write)


@router.post("/{webhook_id}/test", status_code=202, response_model=DeliveryDocument, responses=_TOLD)
def send_test_delivery(webhook_id: WebhookId, once: Writing, _: Operates) -> Response:
    """Send this webhook a delivery of type webhook.test; what came of it stands among its deliveries."""

    def write(connection: Connection) -> Reply:
        delivery_id = announce_test(connection, webhook_id)
        if delivery_id is None:
            raise _ended()
        shown = DeliveryDocument.from_row(found(find_delivery(connection, delivery_id)))
        location = f"/v1/webhooks/{webhook_id}/deliveries"
        return Reply(status=202, document=shown, subject=webhook_id, headers={"Location": location})

    return once("webhook.test", write)


@router.get("/{webhook_id}/deliveries", response_model_exclude_none=True)
def get_webhook_deliveries(webhook_id: WebhookId, paging: Paging, store: Store, _: Operates) -> DeliveryPage:
    """What was sent there or waits, newest first, with the last answer to each."""
    with store.read() as connection:
        found(find_webhook(connection, webhook_id))
        page = deliveries_of(connection, webhook_id, limit=paging.limit, cursor=paging.cursor)
    items = [DeliveryDocument.from_row(row) for row in page.rows]
    link = paging.next_link(f"/v1/webhooks/{webhook_id}/deliveries", page.next_cursor)
    return DeliveryPage(items=items, next_cursor=page.next_cursor, next=link)


def _ended() -> Problem:
    return Problem(NOT_FOUND, "There is no such webhook, or it has ended.")
