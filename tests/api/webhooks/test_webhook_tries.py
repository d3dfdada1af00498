"""What becomes of a delivery that does not arrive, or whose sender dies."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from itertools import chain
from typing import Any

import anyio
import pytest

from api.store.database import Database
from api.store.instants import now
from api.webhooks import post
from api.webhooks.due import LEASE, RETRIES, Answer, record, take

WaitFor = Callable[..., Any]

FAILED = Answer(status=500, text="HTTP 500")


def test_tries_follow_the_published_schedule_and_then_end(office: Any, receiver: Any) -> None:
    """5 s, 5 min, 30 min, 2 h, 5 h, 10 h, 10 h (Standard Webhooks, 'Retries', from memory), then it is given up."""
    office.listening(receiver.url)
    office.told()
    pauses_s = []
    for number in range(1, len(RETRIES) + 1):
        due = office.taken()
        assert due.number == number
        before = now()
        record(office.store, due, FAILED)
        pauses_s.append((office.kept()[0].due_at - before).total_seconds())
        office.make_due()
    # The clock goes on by the time that a write takes.
    assert pauses_s == pytest.approx([5, 300, 1800, 7200, 18_000, 36_000, 36_000], abs=3)
    record(office.store, office.taken(), FAILED)
    (row,) = office.kept()
    assert (row.tries, row.due_at, row.last_answer) == (8, None, "HTTP 500")
    assert row.given_up_at is not None


def test_a_delivery_whose_taker_died_is_made_again_under_the_same_id(
    office: Any, receiver: Any, wait_for: WaitFor
) -> None:
    """Killed between post and record: nobody else sends it while the lease runs, then it is sent once more."""
    office.listening(receiver.url)
    office.told()
    due = office.taken()

    async def posted() -> Answer:
        async with post.new_client() as client:
            return await post.post(client, due, to_private=True)

    assert anyio.run(posted).is_accepted
    assert office.kept()[0].due_at > now() + LEASE / 2
    assert take(office.store, besides=frozenset()) is None
    office.make_due()
    with office.couriered():
        wait_for(office.is_delivered, "the delivery")
    assert receiver.ids() == [due.id, due.id]


def test_what_a_slow_taker_records_too_late_does_not_count(office: Any, receiver: Any) -> None:
    """Its failure must not bring a third try forward; that the receiver took it is believed at any time."""
    office.listening(receiver.url)
    office.told()
    slow = office.taken()
    office.make_due()
    later = office.taken()
    due_at = office.kept()[0].due_at
    record(office.store, slow, FAILED)
    assert office.kept()[0].due_at == due_at
    record(office.store, slow, Answer(status=200, text="HTTP 200"))
    record(office.store, later, FAILED)
    (row,) = office.kept()
    assert (row.due_at, row.last_answer) == (None, "HTTP 200")
    assert row.delivered_at is not None


def test_two_services_never_take_the_same_delivery(
    office: Any, store_url: str, open_store: Callable[..., Database], receiver: Any
) -> None:
    """Four takers on two connections to one store: each delivery is taken once."""
    stores = [office.store, open_store(store_url)]
    office.listening(receiver.url)
    office.told(times=24)

    def take_all(number: int) -> list[str]:
        found = []
        while (due := take(stores[number % 2], besides=frozenset())) is not None:
            found.append(due.id)
        return found

    with ThreadPoolExecutor(4) as pool:
        ids = list(chain.from_iterable(pool.map(take_all, range(4))))
    assert len(ids) == len(set(ids))
    # On PostgreSQL a taker may find all that is left locked and stop; whoever holds it goes on.
    assert set(ids) == {row.id for row in office.kept()}


def test_a_slow_receiver_does_not_hold_up_the_others(
    office: Any, new_receiver: Callable[[], Any], wait_for: WaitFor
) -> None:
    """It gets one delivery at a time; meanwhile another receiver gets all of its own."""
    slow, quick = new_receiver(), new_receiver()
    go_on = threading.Event()
    slow.answer = slow.answering(204, after=go_on)
    office.listening(slow.url)
    office.listening(quick.url)
    office.told(times=10)
    with office.couriered():
        wait_for(lambda: len(set(quick.ids())) == 10 or None, "the quick receiver")
        assert len(slow.got) == 1
        go_on.set()
        wait_for(office.is_delivered, "the slow receiver")
    assert (slow.most_at_once, len(slow.got)) == (1, 10)


def test_stopping_does_not_wait_for_a_receiver_that_hangs(office: Any, receiver: Any, wait_for: WaitFor) -> None:
    """The post is cut off after a second; the delivery is due again once its lease has run out."""
    go_on = threading.Event()
    receiver.answer = receiver.answering(204, after=go_on)
    office.listening(receiver.url)
    office.told()
    with office.couriered():
        wait_for(lambda: receiver.got or None, "the post")
        began_s = time.monotonic()
    # A second, and what a machine under load takes to notice.
    assert time.monotonic() - began_s < 3.0
    go_on.set()
    (row,) = office.kept()
    assert (row.tries, row.delivered_at, row.given_up_at) == (1, None, None)
    assert row.due_at is not None
