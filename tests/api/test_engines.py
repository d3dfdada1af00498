"""What the store promises on each engine: who writes, who waits, what is seen and what is kept."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from sqlalchemy import func, insert, inspect, select, text, update
from sqlalchemy.exc import OperationalError

from api.store.database import Database
from api.store.instants import now
from api.store.migrate import migrate
from api.store.tables import audit

Open = Callable[..., Database]


def note(connection: Any, subject: str) -> None:
    connection.execute(insert(audit).values(at=now(), action="test", subject=subject))


def subjects(store: Database) -> list[str]:
    with store.read() as connection:
        return list(connection.execute(select(audit.c.subject).order_by(audit.c.id)).scalars())


def test_commits_survive_a_power_cut_in_the_embedded_store(sqlite_url: str, open_store: Open) -> None:
    """WAL with synchronous=FULL (2), as sqlite.org/pragma.html asks for durability; foreign keys are enforced."""
    with open_store(sqlite_url).read() as connection:
        found = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        }
    assert found == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 10_000}


def test_a_writer_holds_the_right_to_write_from_the_start(store: Database, store_url: str, open_store: Open) -> None:
    """A second writer waits before its first statement and gives up after the busy timeout, not midway."""
    hasty = open_store(store_url, busy_timeout_s=0.05)
    with store.write() as connection:
        note(connection, "first")
        with pytest.raises(OperationalError, match="lock"), hasty.write():
            raise AssertionError("two writers at once")
    with hasty.write() as connection:
        note(connection, "second")
    assert subjects(store) == ["first", "second"]


def test_what_a_writer_has_read_stays_true_until_it_commits(store_url: str, open_store: Open) -> None:
    """Four at once read a number and write it plus one, fifty times each: none of them is lost."""
    first = open_store(store_url)
    with first.write() as connection:
        note(connection, "0")

    def count_on(database: Database) -> None:
        for _ in range(50):
            with database.write() as connection:
                stands = int(connection.execute(select(audit.c.subject)).scalar_one())
                connection.execute(update(audit).values(subject=str(stands + 1)))

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(count_on, [open_store(store_url) for _ in range(4)]))
    assert subjects(first) == ["200"]


def test_a_reader_sees_one_state_throughout(store: Database) -> None:
    """What is committed between two of its statements is not there for the second, and readers do not wait."""
    count = select(func.count()).select_from(audit)
    with store.read() as reader:
        before = reader.execute(count).scalar_one()
        with store.write() as writer:
            note(writer, "meanwhile")
        assert reader.execute(count).scalar_one() == before == 0
    assert subjects(store) == ["meanwhile"]


def test_an_error_within_a_write_leaves_nothing(store: Database) -> None:
    """Neither of two rows is kept when the block ends with an error after both."""

    def write_two() -> None:
        with store.write() as connection:
            note(connection, "one")
            note(connection, "two")
            raise RuntimeError("power cut")

    with pytest.raises(RuntimeError, match="power cut"):
        write_two()
    assert subjects(store) == []


def test_services_that_start_at_once_migrate_once(new_url: Callable[[], str], open_store: Open) -> None:
    """Four migrate the same empty store at the same time; all succeed and the tables are there."""
    url = new_url()
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(migrate, [open_store(url) for _ in range(4)]))
    with open_store(url).read() as connection:
        assert {"jobs", "alembic_version"} <= set(inspect(connection).get_table_names())
        assert len(connection.execute(text("SELECT version_num FROM alembic_version")).all()) == 1
