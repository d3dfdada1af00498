"""The store itself: durable, migrated, held by one service, and read in pages."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import select, text
from sqlalchemy.exc import IntegrityError, OperationalError

from api.jobs.read_jobs import list_jobs
from api.jobs.submit import submit
from api.store.database import Database
from api.store.folder import FolderError, held
from api.store.layouts import NewLayout
from api.store.migrate import StoreTooNewError, migrate
from api.store.pages import CursorError
from api.store.tables import layouts, metadata


def submitted(store: Database, number: int) -> str:
    return submit(store, NewLayout(digest=f"{number:064x}", name="panel", source=b"-"), software_version="1")


def test_commits_survive_a_power_cut(store: Database) -> None:
    """WAL with synchronous=FULL (2), as sqlite.org asks for durability; foreign keys are enforced."""
    with store.read() as connection:
        found = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        }
    assert found == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 10_000}


def test_the_migrations_build_what_the_program_expects(store: Database) -> None:
    """Alembic finds no difference between the migrated store and the tables of the program.

    Indexes and checks live in the migrations only, and are left out of the comparison.
    """
    with store.read() as connection:
        context = MigrationContext.configure(
            connection, opts={"include_object": lambda _object, _name, kind, *_: kind not in {"index"}}
        )
        differences = compare_metadata(context, metadata)
    assert differences == []


def test_migrating_again_changes_nothing(store: Database) -> None:
    """Every start migrates; what is there stays."""
    submitted(store, 1)
    migrate(store)
    with store.read() as connection:
        assert len(connection.execute(select(layouts)).all()) == 1


def test_a_store_of_a_later_version_is_refused(store: Database) -> None:
    """A revision that this program does not know is said plainly, and nothing is touched."""
    with store.write() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(StoreTooNewError, match="later version"):
        migrate(store)


def test_a_writer_holds_the_right_to_write_from_the_start(tmp_path: Path) -> None:
    """BEGIN IMMEDIATE: a second writer waits at its begin and gives up after the busy timeout, not midway."""
    url = f"sqlite:///{tmp_path / 'store.sqlite3'}"
    first, second = Database(url, busy_timeout_s=10.0), Database(url, busy_timeout_s=0.05)
    with first.write(), pytest.raises(OperationalError, match="locked"), second.write():
        raise AssertionError("two writers at once")
    with second.write():
        pass
    first.close()
    second.close()


def test_the_store_itself_refuses_a_state_that_does_not_exist(store: Database) -> None:
    """The check in the database holds even where the program is by-passed."""
    submitted(store, 1)
    with pytest.raises(IntegrityError, match="known_state"), store.write() as connection:
        connection.execute(text("UPDATE jobs SET state = 'lost'"))


def test_times_come_back_aware_and_in_utc(store: Database) -> None:
    """A time of another zone is kept as the same instant."""
    noon = datetime(2026, 3, 29, 12, 0, tzinfo=timezone(timedelta(hours=2)))
    with store.write() as connection:
        connection.execute(layouts.insert().values(digest="d", name="n", source=b"-", created_at=noon))
        kept = connection.execute(select(layouts.c.created_at)).scalar_one()
    assert kept == noon
    assert kept.tzinfo is UTC


def test_a_time_without_a_zone_never_reaches_the_store(store: Database) -> None:
    """A naive time is a mistake of the program and is refused."""
    naive = datetime(2026, 3, 29, 12, 0)
    with pytest.raises(Exception, match="without a zone"), store.write() as connection:
        connection.execute(layouts.insert().values(digest="d", name="n", source=b"-", created_at=naive))


def test_a_data_folder_is_held_by_one_service(tmp_path: Path) -> None:
    """The second is told so; once the first is gone the folder is free again."""
    with held(tmp_path), pytest.raises(FolderError, match="another tapcall serve"), held(tmp_path):
        raise AssertionError("held twice")
    with held(tmp_path):
        pass


def test_a_file_in_place_of_the_data_folder_is_said_plainly(tmp_path: Path) -> None:
    """Neither a trace nor an empty message."""
    (tmp_path / "data").write_text("not a folder")
    with pytest.raises(FolderError, match="cannot be written"), held(tmp_path / "data"):
        raise AssertionError("a file was held as a folder")


def test_pages_give_every_row_once_newest_first(store: Database) -> None:
    """Seven jobs in pages of three, while two more arrive after the first page."""
    ids = [submitted(store, number) for number in range(7)]
    seen, cursor = [], None
    for _ in range(3):
        with store.read() as connection:
            page = list_jobs(connection, limit=3, cursor=cursor)
        seen += [row.id for row in page.rows]
        cursor = page.next_cursor
        if len(seen) == 3:
            submitted(store, 100), submitted(store, 101)
    assert seen == ids[::-1]
    assert cursor is None


def test_rows_of_the_same_instant_are_neither_repeated_nor_skipped(store: Database) -> None:
    """The id decides where the time does not."""
    ids = {submitted(store, number) for number in range(5)}
    with store.write() as connection:
        connection.execute(text("UPDATE jobs SET created_at = '2026-03-29 12:00:00.000000'"))
    seen, cursor = [], None
    for _ in range(5):
        with store.read() as connection:
            page = list_jobs(connection, limit=1, cursor=cursor)
        seen += [row.id for row in page.rows]
        cursor = page.next_cursor
    assert len(seen) == 5
    assert set(seen) == ids


@pytest.mark.parametrize(
    "cursor", ["", "x", "é", "bnVsbA", "W10", "WzEsMl0", "WyIyMDI2LTAxLTAxIiwiYSJd", "[" * 300, "\0"]
)
def test_a_text_that_is_no_cursor_is_refused(store: Database, cursor: str) -> None:
    """Nothing but the error of cursors, whatever the text."""
    with store.read() as connection, pytest.raises(CursorError):
        list_jobs(connection, limit=1, cursor=cursor)
