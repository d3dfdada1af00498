"""What stands in the store: keys, jobs, plans set aside, webhooks, and times that have not come."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from sqlalchemy import insert, select, update

from api.doctor.clock import rows_from_the_future
from api.doctor.finding import Finding, State
from api.doctor.jobs_in_store import items_set_aside, jobs_given_up, waiting_jobs
from api.doctor.keys_in_store import good_keys, keys_that_end
from api.doctor.webhooks_in_store import deliveries_given_up, ended_webhooks, overdue_deliveries
from api.jobs.attempt import Patience, claim, give_up
from api.keys.keys import make as make_key
from api.keys.scopes import Scope
from api.settings import Settings
from api.store.database import Database
from api.store.instants import now
from api.store.tables import attempts, deliveries, jobs, plans, revalidation_items, revalidations
from api.webhooks.webhooks import add, end

Ask = Callable[..., str]
OK, WARNING, TROUBLE = State.OK, State.WARNING, State.TROUBLE


def found(store: Database, check: Callable[..., Finding], *more: Any) -> Finding:
    with store.read() as connection:
        return check(connection, *more)


def change(store: Database, *statements: Any) -> None:
    with store.write() as connection:
        for statement in statements:
            connection.execute(statement)


def test_keys_that_are_missing_or_about_to_end_are_told(store: Database) -> None:
    """Revoked and ended ones open nothing; one that ends within a fortnight is named, by its id."""
    assert found(store, good_keys, Settings()).state is TROUBLE
    assert found(store, good_keys, Settings(keys=False)).state is OK
    with store.write() as connection:
        ending = make_key(connection, name="a", scopes=[Scope.READ], expires_at=now() + timedelta(days=13))
        make_key(connection, name="b", scopes=[Scope.READ], expires_at=now() + timedelta(days=15))
        make_key(connection, name="c", scopes=[Scope.READ], expires_at=now() - timedelta(days=1))
    assert found(store, good_keys, Settings()).found == "good: 2"
    finding = found(store, keys_that_end)
    assert finding.state is WARNING
    assert finding.found.count("(") == 1
    assert ending.id in finding.found
    assert ending.secret not in finding.found


def test_jobs_that_nobody_works_on_are_trouble(store: Database, ask: Ask) -> None:
    """A job that waits is no trouble at first, then it is, unless a worker vouches for another."""
    first = ask(store, 1)
    assert found(store, waiting_jobs).state is OK
    change(store, update(jobs).values(created_at=now() - timedelta(hours=2)))
    finding = found(store, waiting_jobs)
    assert (finding.state, finding.found) == (
        TROUBLE,
        "waiting: 1, running: 0; the oldest has waited 2 h, and no worker is at work",
    )
    assert claim(store, lease_s=30.0) is not None
    second = ask(store, 2)
    change(store, update(jobs).where(jobs.c.id == second).values(created_at=now() - timedelta(hours=2)))
    assert found(store, waiting_jobs).state is OK
    change(store, update(jobs).where(jobs.c.id == second).values(created_at=now() - timedelta(hours=7)))
    assert found(store, waiting_jobs).state is WARNING
    change(store, update(attempts).values(lease_until=now() - timedelta(minutes=1)))
    finding = found(store, waiting_jobs)
    assert finding.state is TROUBLE
    assert "of which nobody vouches for 1" in finding.found
    assert first != second


def test_jobs_given_up_are_told_with_their_reason(store: Database, ask: Ask) -> None:
    """For a week."""
    assert found(store, jobs_given_up).state is OK
    job_id = ask(store, 1)
    taken = claim(store, lease_s=30.0)
    assert taken is not None
    give_up(store, taken.token, reason="it needed more than 8000 MB of memory", patience=Patience(lost=1, abandoned=1))
    finding = found(store, jobs_given_up)
    assert finding.state is WARNING
    assert job_id in finding.found
    assert "more than 8000 MB" in finding.found
    change(store, update(jobs).values(updated_at=now() - timedelta(days=8)))
    assert found(store, jobs_given_up).state is OK


def test_plans_set_aside_by_a_revalidation_are_told(store: Database, ask: Ask) -> None:
    """With the reason of the newest; once judged after all, no more."""
    assert found(store, items_set_aside).state is OK
    job_id = ask(store, 1)
    with store.write() as connection:
        digest = connection.execute(select(jobs.c.case_digest)).scalar_one()
        connection.execute(
            insert(plans).values(
                id="plan_1",
                job_id=job_id,
                case_digest=digest,
                software_version="1",
                verdict="verified",
                sha256="0" * 64,
                document="{}",
                created_at=now(),
            )
        )
        connection.execute(
            insert(revalidations).values(
                id="run_1",
                job_id=job_id,
                change="{}",
                said="[]",
                chosen="{}",
                plan_again="never",
                asked=1,
                created_at=now(),
            )
        )
        connection.execute(
            insert(revalidation_items).values(
                run_id="run_1",
                number=1,
                plan_id="plan_1",
                state="set_aside",
                tries=3,
                reason="ended its process",
                decided_at=now(),
            )
        )
    finding = found(store, items_set_aside)
    assert finding.state is WARNING
    assert "plan_1: ended its process" in finding.found
    judged = {"state": "answered", "answer": "still_valid", "tries": 1, "decided_at": now() + timedelta(seconds=1)}
    change(store, update(revalidations).values(change='{"mould_temperature_c": 60}'))
    other = {"job_id": ask(store, 2), "said": "[]", "chosen": "{}", "plan_again": "never", "created_at": now()}
    change(store, insert(revalidations).values(id="run_2", change='{"vacuum_mbar_abs": 5}', asked=1, **other))
    change(store, insert(revalidation_items).values(run_id="run_2", number=1, plan_id="plan_1", **judged))
    assert found(store, items_set_aside).state is WARNING, "a run over something else answers nothing"
    change(store, insert(revalidation_items).values(run_id="run_1", number=2, plan_id="plan_1", **judged))
    assert found(store, items_set_aside).state is OK


def test_webhooks_that_reach_nobody_are_told_without_their_path(store: Database) -> None:
    """Ended by their receiver, given up, or late; one that its owner deleted is nobody's trouble."""
    for check in (ended_webhooks, deliveries_given_up, overdue_deliveries):
        assert found(store, check).state is OK
    with store.write() as connection:
        ids = [
            add(connection, url=f"https://{host}.example/hush", events=[], by=None).webhook_id
            for host in ("gone", "deleted", "deaf")
        ]
        end(connection, ids[0], because="its receiver answered 410 Gone")
        end(connection, ids[1], because="it was deleted")
        late = now() - timedelta(hours=3)
        for number, times in enumerate([{"given_up_at": now()}, {"due_at": late}, {"due_at": now()}]):
            connection.execute(
                insert(deliveries).values(
                    id=f"delivery_{number}",
                    webhook_id=ids[2],
                    event="job.failed",
                    payload="{}",
                    created_at=late,
                    tries=8,
                    last_answer="status 500",
                    **times,
                )
            )
    ended, given_up, overdue = (
        found(store, check) for check in (ended_webhooks, deliveries_given_up, overdue_deliveries)
    )
    assert ended.found == f"1 within 7 days: {ids[0]} to gone.example: its receiver answered 410 Gone"
    assert given_up.found == f"1 to deaf.example ({ids[2]}), which said status 500"
    assert overdue.found == "1, the oldest by 3 h"
    assert {ended.state, given_up.state, overdue.state} == {WARNING}


@pytest.mark.parametrize(
    "written",
    [
        lambda ahead: update(jobs).values(updated_at=ahead),
        lambda ahead: update(attempts).values(lease_until=ahead + timedelta(seconds=30)),
    ],
)
def test_a_clock_that_was_ahead_is_found_by_what_it_wrote(
    store: Database, ask: Ask, written: Callable[[datetime], Any]
) -> None:
    """Rows and leases from an hour that has not come."""
    ask(store, 1)
    assert claim(store, lease_s=30.0) is not None
    assert found(store, rows_from_the_future, Settings()).state is OK
    change(store, written(now() + timedelta(minutes=61)))
    finding = found(store, rows_from_the_future, Settings())
    assert finding.state is TROUBLE
    assert "61 min later" in finding.found
