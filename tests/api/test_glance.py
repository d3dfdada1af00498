"""A single statement without a transaction around it, as the reading of one job uses it."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing

import pytest
from sqlalchemy import Connection, Row, text

from api.jobs.attempt import cancel
from api.jobs.read_jobs import find_job
from api.store import kept_glances
from api.store.database import Database

Ask = Callable[..., str]


def state_of(store: Database, job_id: str) -> str:
    row: Row[tuple[str]] | None = store.glance(lambda connection: find_job(connection, job_id))
    assert row is not None
    return str(row.state)


def test_a_glance_sees_what_was_written_just_before(
    store: Database, store_url: str, open_store: Callable[..., Database], ask: Ask
) -> None:
    """By this process and by another, though the connection is kept."""
    job_id, other = ask(store), open_store(store_url)
    assert state_of(store, job_id) == "queued"
    with other.write() as connection:
        cancel(connection, job_id)
    assert state_of(store, job_id) == "cancelled"


def test_what_is_kept_is_given_until_anybody_commits(
    store: Database, store_url: str, open_store: Callable[..., Database], ask: Ask
) -> None:
    """Looked up once where the store can tell, and again after a commit of this process or another, on whatever."""
    job_id, other, looked = ask(store), open_store(store_url), []

    def look(connection: Connection) -> str:
        looked.append(connection)
        row = find_job(connection, job_id)
        return "none" if row is None else str(row.state)

    def kept() -> str:
        return store.glance(look, keep_as=job_id)

    assert [kept(), kept(), kept()] == ["queued"] * 3
    assert len(looked) == (1 if store.answers_at_once else 3)
    ask(other, 2)
    before = len(looked)
    assert kept() == "queued"
    assert len(looked) == before + 1
    for writer, state in ((other, "cancelled"), (store, "queued")):
        with writer.write() as connection:
            connection.execute(text("UPDATE jobs SET state = :state WHERE id = :id"), {"state": state, "id": job_id})
        assert kept() == state


def test_what_is_kept_does_not_grow_without_end(
    sqlite_url: str, open_store: Callable[..., Database], monkeypatch: pytest.MonkeyPatch
) -> None:
    """All is forgotten after so many keys, and looked up again."""
    monkeypatch.setattr(kept_glances, "_MOST", 3)
    store, looked = open_store(sqlite_url), []
    for key in (1, 2, 3, 4, 4, 1):
        store.glance(lambda _, key=key: looked.append(key), keep_as=key)
    assert looked == [1, 2, 3, 4, 1]


def test_a_glance_does_not_wait_for_a_writer(store: Database, ask: Ask) -> None:
    """What is being written meanwhile is not seen before it is kept."""
    job_id = ask(store)
    with store.write() as connection:
        cancel(connection, job_id)
        assert state_of(store, job_id) == "queued"


def test_a_glance_leaves_nothing_open(sqlite_url: str, open_store: Callable[..., Database], ask: Ask) -> None:
    """The log of the embedded store can be written back and emptied, which no reader under way would allow."""
    store = open_store(sqlite_url)
    state_of(store, ask(store))
    with closing(sqlite3.connect(sqlite_url.removeprefix("sqlite:///"))) as other:
        is_hindered, _, _ = other.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    assert not is_hindered


def test_after_an_error_the_next_glance_goes_well(store: Database, ask: Ask) -> None:
    """Its connection is not kept."""

    def wrong(connection: Connection) -> None:
        connection.execute(text("SELECT nothing FROM nowhere"))

    job_id = ask(store)
    with pytest.raises(Exception, match="nowhere"):
        store.glance(wrong)
    assert state_of(store, job_id) == "queued"


def test_glances_of_many_threads_do_not_disturb_each_other(store: Database, ask: Ask) -> None:
    """Each finds its own job."""
    ids = [ask(store, number) for number in range(1, 5)]
    found: list[bool] = []

    def look(job_id: str) -> None:
        rows = [store.glance(lambda connection: find_job(connection, job_id)) for _ in range(50)]
        found.append(all(row is not None and row.id == job_id for row in rows))

    threads = [threading.Thread(target=look, args=(job_id,)) for job_id in ids]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [True] * len(ids)


def test_a_store_that_is_closed_can_be_closed_again(sqlite_url: str, open_store: Callable[..., Database]) -> None:
    """With or without a glance before."""
    store = open_store(sqlite_url)
    store.glance(lambda connection: connection.execute(text("SELECT 1")).scalar_one())
    store.close()
    store.close()
