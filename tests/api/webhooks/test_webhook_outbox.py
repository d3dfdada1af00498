"""Which webhooks are told of what, and until when."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from sqlalchemy import insert, select

from api.store.instants import now
from api.store.tables import revalidations, webhooks
from api.webhooks.due import take
from api.webhooks.events import WebhookEvent
from api.webhooks.outbox import announce_end_of_job, announce_test
from api.webhooks.webhooks import end

WaitFor = Callable[..., Any]


def test_what_is_told_stands_and_falls_with_the_change_itself(office: Any, receiver: Any) -> None:
    """A transaction that is undone leaves no delivery."""
    office.listening(receiver.url)
    for undone in (True, False):
        with office.store.write() as connection:
            announce_end_of_job(connection, job_id="job_1", kind="plan", state="failed")
            if undone:
                connection.get_transaction().rollback()
        assert [row.event for row in office.kept()] == ([] if undone else ["job.failed"])


def test_a_webhook_hears_only_what_it_listens_to(office: Any, receiver: Any) -> None:
    """One that names no events hears all; a test goes to the one it is asked of, whatever that listens to."""
    everything = office.listening(receiver.url)
    failures = office.listening(receiver.url, WebhookEvent.JOB_FAILED)
    office.told(WebhookEvent.JOB_SUCCEEDED)
    office.told(WebhookEvent.JOB_FAILED)
    with office.store.write() as connection:
        announce_test(connection, failures.webhook_id)
    heard = {(row.webhook_id, row.event) for row in office.kept()}
    assert heard == {
        (everything.webhook_id, "job.succeeded"),
        (everything.webhook_id, "job.failed"),
        (failures.webhook_id, "job.failed"),
        (failures.webhook_id, "webhook.test"),
    }


def test_gone_ends_a_webhook(office: Any, receiver: Any, wait_for: WaitFor) -> None:
    """After 410 neither what waits nor what comes later is sent there, and the webhook says why."""
    office.listening(receiver.url)
    office.told(times=3)
    receiver.answer = receiver.answering(410)
    with office.couriered():
        wait_for(lambda: all(row.given_up_at for row in office.kept()) or None, "the end")
        office.told()
    assert len(receiver.got) == 1
    assert len(office.kept()) == 3
    assert sorted(row.last_answer or "" for row in office.kept()) == ["", "", "HTTP 410"]
    with office.store.read() as connection:
        assert "410" in connection.execute(select(webhooks.c.ended_because)).scalar_one()


def test_a_revalidation_tells_of_its_job_and_of_its_report(office: Any, receiver: Any, ask: Callable[..., str]) -> None:
    """A second delivery leads to the run; only where there is a report, that is after success."""
    job_id, run_id = ask(office.store), "revalidation_1"
    row = {
        "id": run_id,
        "job_id": job_id,
        "change": "{}",
        "said": "[]",
        "chosen": "{}",
        "plan_again": "never",
        "asked": 0,
    }
    office.listening(receiver.url)
    for state in ("failed", "succeeded"):
        with office.store.write() as connection:
            if state == "failed":
                connection.execute(insert(revalidations).values(**row, created_at=now()))
            announce_end_of_job(connection, job_id=job_id, kind="revalidation", state=state)
    payloads = {row.event: json.loads(row.payload)["data"] for row in office.kept()}
    assert set(payloads) == {"job.failed", "job.succeeded", "revalidation.done"}
    assert payloads["revalidation.done"] == {
        "id": run_id,
        "state": "succeeded",
        "links": {"self": f"/v1/revalidations/{run_id}", "job": f"/v1/jobs/{job_id}"},
    }


def test_an_ended_webhook_is_sent_nothing_more(office: Any, receiver: Any) -> None:
    """What waits is given up with it; ending it again keeps the first reason."""
    made = office.listening(receiver.url)
    office.told(times=2)
    for because in ("first", "second"):
        with office.store.write() as connection:
            end(connection, made.webhook_id, because=because)
    assert take(office.store, besides=frozenset()) is None
    assert all(row.given_up_at is not None for row in office.kept())
    with office.store.read() as connection:
        assert connection.execute(select(webhooks.c.ended_because)).scalar_one() == "first"
        assert connection.execute(select(webhooks.c.secret)).scalar_one() == ""
