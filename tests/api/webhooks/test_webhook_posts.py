"""What a receiver gets. Signatures are checked with the library of the published scheme, as a receiver would."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import timedelta
from http.server import BaseHTTPRequestHandler
from typing import Any

import pytest
from sqlalchemy import update
from standardwebhooks import Webhook, WebhookVerificationError

from api.store.instants import now
from api.store.tables import webhooks
from api.webhooks import post
from api.webhooks.webhooks import rotate

WaitFor = Callable[..., Any]


def test_a_delivery_is_signed_and_says_no_more_than_where_to_look(
    office: Any, receiver: Any, wait_for: WaitFor
) -> None:
    """The library of the scheme accepts it; the payload has type, timestamp and id, state, links."""
    made = office.listening(receiver.url)
    office.told()
    with office.couriered():
        wait_for(office.is_delivered, "the delivery")
    ((headers, body),) = receiver.got
    payload = Webhook(made.secret).verify(body, headers)
    assert payload["type"] == "job.succeeded"
    assert payload["data"] == {"id": "job_1", "state": "succeeded", "links": {"self": "/v1/jobs/job_1"}}
    assert payload["timestamp"].endswith("Z")
    assert headers["Content-Type"] == "application/json"
    assert (office.kept()[0].tries, office.answer()) == (1, "HTTP 204")


def test_a_delivery_that_was_changed_on_its_way_is_not_accepted(office: Any, receiver: Any, wait_for: WaitFor) -> None:
    """Neither with another body nor under another id."""
    made = office.listening(receiver.url)
    office.told()
    with office.couriered():
        wait_for(office.is_delivered, "the delivery")
    ((headers, body),) = receiver.got
    with pytest.raises(WebhookVerificationError):
        Webhook(made.secret).verify(body.replace("succeeded", "failed"), headers)
    with pytest.raises(WebhookVerificationError):
        Webhook(made.secret).verify(body, headers | {"webhook-id": "another"})


def test_a_try_that_failed_is_made_again_under_the_same_id(office: Any, receiver: Any, wait_for: WaitFor) -> None:
    """500, then 204: one id, one body, both signed."""
    made = office.listening(receiver.url)
    office.told()
    receiver.answer = receiver.answering(500)
    with office.couriered():
        wait_for(office.answer, "the first answer")
        assert office.answer() == "HTTP 500"
        receiver.answer = receiver.answering(204)
        office.make_due()
        wait_for(office.is_delivered, "the delivery")
    assert len(set(receiver.ids())) == 1
    assert [Webhook(made.secret).verify(body, headers)["type"] for headers, body in receiver.got] == [
        "job.succeeded"
    ] * 2
    assert office.kept()[0].tries == 2


def test_while_secrets_change_both_sign(office: Any, receiver: Any, wait_for: WaitFor) -> None:
    """During the overlap a receiver may check with either secret; after it only with the new one."""
    first = office.listening(receiver.url)
    with office.store.write() as connection:
        second = rotate(connection, first.webhook_id, overlap=timedelta(hours=1))
    assert second is not None
    office.told()
    with office.couriered():
        wait_for(office.is_delivered, "the delivery")
        with office.store.write() as connection:
            connection.execute(update(webhooks).values(earlier_secret_until=now()))
        office.told()
        wait_for(office.is_delivered, "the second delivery")
    (early_headers, early_body), (late_headers, late_body) = receiver.got
    Webhook(first.secret).verify(early_body, early_headers)
    Webhook(second.secret).verify(early_body, early_headers)
    Webhook(second.secret).verify(late_body, late_headers)
    with pytest.raises(WebhookVerificationError):
        Webhook(first.secret).verify(late_body, late_headers)


def test_the_payload_is_the_same_text_at_every_try(office: Any, receiver: Any) -> None:
    """It is written once; a receiver may compare."""
    office.listening(receiver.url)
    office.told()
    first = office.taken()
    office.make_due()
    assert office.taken().payload == first.payload


def test_a_redirect_is_not_followed(
    office: Any, receiver: Any, new_receiver: Callable[[], Any], wait_for: WaitFor
) -> None:
    """It would lead to an address that nobody has judged."""
    elsewhere = new_receiver()
    office.listening(receiver.url)
    receiver.answer = receiver.answering(307, Location=elsewhere.url)
    office.told()
    with office.couriered():
        wait_for(office.answer, "the answer")
    assert office.answer() == "HTTP 307"
    assert elsewhere.got == []


def test_of_a_body_without_end_only_the_beginning_is_read(office: Any, receiver: Any, wait_for: WaitFor) -> None:
    """The answer counts all the same, and long before the time-out."""
    sent = 0

    def endless(handler: BaseHTTPRequestHandler) -> None:
        nonlocal sent
        handler.send_response(200)
        handler.end_headers()
        for _ in range(10_000):
            sent += handler.wfile.write(bytes(8192))

    office.listening(receiver.url)
    receiver.answer = endless
    office.told()
    with office.couriered():
        wait_for(office.is_delivered, "the delivery")
    assert sent < 10_000 * 8192


def test_an_answer_that_comes_drop_by_drop_is_cut_off(
    office: Any, receiver: Any, wait_for: WaitFor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The limit is on the whole try: each drop alone would come in time."""
    monkeypatch.setattr(post, "LONGEST_S", 0.3)

    def dripping(handler: BaseHTTPRequestHandler) -> None:
        handler.wfile.write(b"HTTP/1.1 200 OK\r\n")
        for number in range(100):
            handler.wfile.write(f"drop-{number}: x\r\n".encode())
            time.sleep(0.02)

    office.listening(receiver.url)
    receiver.answer = dripping
    office.told()
    with office.couriered():
        wait_for(office.answer, "the cut")
    assert office.answer() == "no answer within 0.3 s"
