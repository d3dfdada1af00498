"""Jobs that have changed since a moment, for whoever keeps a copy of the list."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import update

from api.jobs.read_jobs import JobFilter, list_jobs
from api.store.database import Database
from api.store.tables import jobs

Ask = Callable[..., str]

FIRST = datetime(2026, 3, 1, 6, tzinfo=UTC)
JOBS = 7


@pytest.fixture
def changed(store: Database, ask: Ask) -> list[str]:
    """Jobs asked for minute by minute; the oldest has changed last, the others as they came."""
    ids = [ask(store, number) for number in range(1, JOBS + 1)]
    with store.write() as connection:
        for minute, job_id in enumerate(ids):
            at = FIRST + timedelta(minutes=minute)
            later = FIRST + timedelta(minutes=JOBS) if minute == 0 else at
            connection.execute(update(jobs).where(jobs.c.id == job_id).values(created_at=at, updated_at=later))
    return ids


@pytest.mark.parametrize("few", [0, 2, 100], ids=["many", "some", "few"])
@pytest.mark.parametrize("minute", range(JOBS + 2))
def test_all_that_have_changed_are_listed_newest_first_however_many(
    store: Database, changed: list[str], monkeypatch: pytest.MonkeyPatch, few: int, minute: int
) -> None:
    """Page by page, whether they are found by the change or among all jobs; one that is old but changed is last."""
    monkeypatch.setattr("api.jobs.read_jobs._FEW", few)
    chosen = JobFilter(updated_since=FIRST + timedelta(minutes=minute))
    found: list[str] = []
    cursor = None
    with store.read() as connection:
        while True:
            page = list_jobs(connection, chosen, limit=2, cursor=cursor)
            found += [row.id for row in page.rows]
            if (cursor := page.next_cursor) is None:
                break
    old = [changed[0]] if minute <= JOBS else []
    assert found == [*reversed(changed[max(1, minute) :]), *old]
