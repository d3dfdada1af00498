"""The store itself: migrated, strict, and read in pages."""

from __future__ import annotations

import base64
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import fields
from datetime import UTC, datetime, timedelta, timezone
from functools import partial
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import Connection, select, text
from sqlalchemy.exc import IntegrityError

from api.jobs.read_jobs import JobFilter, find_job, list_jobs
from api.keys.keys import list_keys
from api.revalidation.report import report_of
from api.revalidation.runs import list_runs
from api.store.cases import NewCase, find_case, keep_case, origins_of
from api.store.database import Database
from api.store.documents import DocumentKind, find_revision, list_documents
from api.store.folder import FolderError, ready_folder
from api.store.migrate import StoreTooNewError, migrate
from api.store.pages import CursorError, Page
from api.store.plans import PlanFilter, list_plans
from api.store.tables import audit, case_origins, cases, jobs, metadata

Ask = Callable[..., str]

UNUSABLE = [
    base64.urlsafe_b64encode(position.encode()).decode()
    for position in (
        '["2026-01-01T00:00:00+00:00", "a\\u0000"]',
        '["2026-01-01T00:00:00+00:00", "\\ud800"]',
        '["0001-01-01T00:00:00+23:00", "a"]',
    )
]
"""Positions that can be written down and no store can look up: NUL, half a surrogate pair, a time before all times."""


def test_the_migrations_build_what_the_program_expects(store: Database) -> None:
    """Alembic finds no difference between the migrated store and the tables of the program.

    Indexes and checks live in the migrations only, comments in the tables of the program only: both are left out.
    """
    with store.read() as connection:
        context = MigrationContext.configure(
            connection, opts={"include_object": lambda _object, _name, kind, *_: kind not in {"index"}}
        )
        differences = compare_metadata(context, metadata)
    assert [each for each in differences if "modify_comment" not in str(each)] == []


def test_migrating_again_changes_nothing(store: Database, ask: Ask) -> None:
    """Every start migrates; what is there stays."""
    ask(store, 1)
    migrate(store)
    with store.read() as connection:
        assert len(connection.execute(select(cases)).all()) == 1


def test_a_store_of_schema_0001_is_carried_over_whole(tmp_path: Path) -> None:
    """A store as version 0.1.0 left it: a plan made, a job in the making.

    What was a layout is now a layout with one revision and the case of its job; the plan is there byte for byte.
    """
    path = tmp_path / "store.sqlite3"
    with closing(sqlite3.connect(path)) as old:
        old.executescript((Path(__file__).parent / "stores" / "0001.sql").read_text())
        (plan,) = old.execute("SELECT document FROM plans").fetchone()
        sources = {source for (source,) in old.execute("SELECT source FROM layouts")}
    store = Database(f"sqlite:///{path}", busy_timeout_s=10.0)
    migrate(store)
    with store.read() as connection:
        kept = list_plans(connection, PlanFilter(), limit=10, cursor=None).rows
        (made, waiting) = (find_job(connection, job_id) for job_id in _oldest_first(connection))
        assert made is not None
        assert waiting is not None
        revisions = [
            find_revision(connection, DocumentKind.LAYOUT, job.layout_id, job.layout_revision)
            for job in (made, waiting)
        ]
        assert connection.exec_driver_sql("SELECT document FROM plans").scalar_one() == plan
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar_one() == 1
    assert [(row.id, row.name, row.software_version) for row in kept] == [(made.plan_id, "tiny panel", "0.0.0")]
    assert (made.state, waiting.state, waiting.kind) == ("succeeded", "queued", "plan")
    assert {bytes(revision.source) for revision in revisions if revision is not None} == sources
    store.close()


@pytest.mark.parametrize("schema", ["0002", "0003"])
def test_an_earlier_store_knows_what_its_cases_were_asked_from(tmp_path: Path, schema: str) -> None:
    """A store with two plans of one layout, one for a batch of a resin of the store, and a revalidation of both.

    Plans and run are as they were; what each case was first asked from is an origin now, and asked again the same one.
    """
    path = tmp_path / "store.sqlite3"
    with closing(sqlite3.connect(path)) as old:
        old.executescript((Path(__file__).parent / "stores" / f"{schema}.sql").read_text())
        before = set(old.execute("SELECT digest, layout_id, layout_revision, resin_id, batch FROM cases"))
        documents = set(old.execute("SELECT document FROM plans"))
    store = Database(f"sqlite:///{path}", busy_timeout_s=10.0)
    migrate(store)
    with store.write() as connection:
        kept = list(connection.execute(select(case_origins)))
        for row in kept:
            (origin,) = origins_of(connection, row.case_digest)
            found = find_case(connection, row.case_digest)
            assert found is not None
            keep_case(connection, NewCase(**{each.name: getattr(found, each.name) for each in fields(NewCase)}), origin)
        assert list(connection.execute(select(case_origins))) == kept
        (layout_id,) = {row.layout_id for row in kept}
        plans = list_plans(connection, PlanFilter(layout_id=layout_id), limit=10, cursor=None).rows
        assert set(connection.execute(text("SELECT document FROM plans"))) == documents
        (run,) = list_runs(connection, limit=10, cursor=None).rows
        report = report_of(connection, run)
    assert {(row.case_digest, row.layout_id, row.layout_revision, row.resin_id, row.batch) for row in kept} == before
    assert sorted(str(row.batch) for row in kept) == ["A-117", "None"]
    assert {item.plan_id for item in report.items} == {row.id for row in plans}
    assert {item.layout_id for item in report.items} == {layout_id}
    store.close()


def _oldest_first(connection: Connection) -> list[str]:
    return list(connection.execute(select(jobs.c.id).order_by(jobs.c.created_at)).scalars())


def test_a_store_of_a_later_version_is_refused(store: Database) -> None:
    """A revision that this program does not know is said plainly, and nothing is touched."""
    with store.write() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(StoreTooNewError, match="later version"):
        migrate(store)


def test_the_store_itself_refuses_a_state_that_does_not_exist(store: Database, ask: Ask) -> None:
    """The check in the database holds even where the program is by-passed."""
    ask(store, 1)
    with pytest.raises(IntegrityError, match="known_state"), store.write() as connection:
        connection.execute(text("UPDATE jobs SET state = 'lost'"))


def test_times_come_back_aware_and_in_utc(store: Database) -> None:
    """A time of another zone is kept as the same instant."""
    noon = datetime(2026, 3, 29, 12, 0, tzinfo=timezone(timedelta(hours=2)))
    with store.write() as connection:
        connection.execute(audit.insert().values(at=noon, action="test", subject="-"))
        kept = connection.execute(select(audit.c.at)).scalar_one()
    assert kept == noon
    assert kept.tzinfo is UTC


def test_a_time_without_a_zone_never_reaches_the_store(store: Database) -> None:
    """A naive time is a mistake of the program and is refused."""
    naive = datetime(2026, 3, 29, 12, 0)
    with pytest.raises(Exception, match="without a zone"), store.write() as connection:
        connection.execute(audit.insert().values(at=naive, action="test", subject="-"))


def test_a_file_in_place_of_the_data_folder_is_said_plainly(tmp_path: Path) -> None:
    """Neither a trace nor an empty message."""
    (tmp_path / "data").write_text("not a folder")
    with pytest.raises(FolderError, match="cannot be written"):
        ready_folder(tmp_path / "data")


def test_a_data_folder_is_for_its_owner_alone(tmp_path: Path) -> None:
    """What lies in it signs webhooks."""
    ready_folder(tmp_path / "data")
    assert (tmp_path / "data").stat().st_mode & 0o777 == 0o700


def test_pages_give_every_row_once_newest_first(store: Database, ask: Ask) -> None:
    """Seven jobs in pages of three, while two more arrive after the first page."""
    ids = [ask(store, number) for number in range(7)]
    seen, cursor = [], None
    for _ in range(3):
        with store.read() as connection:
            page = list_jobs(connection, JobFilter(), limit=3, cursor=cursor)
        seen += [row.id for row in page.rows]
        cursor = page.next_cursor
        if len(seen) == 3:
            ask(store, 100), ask(store, 101)
    assert seen == ids[::-1]
    assert cursor is None


def test_a_cursor_of_another_list_leads_nowhere(store: Database, ask: Ask) -> None:
    """From the jobs to plans, layouts or keys: it would begin somewhere in the middle, and nobody would see that."""
    ask(store, 1), ask(store, 2)
    others: list[Callable[..., Page]] = [
        list_runs,
        list_keys,
        partial(list_plans, chosen=PlanFilter()),
        partial(list_documents, kind=DocumentKind.LAYOUT),
    ]
    with store.read() as connection:
        cursor = list_jobs(connection, JobFilter(), limit=1, cursor=None).next_cursor
        assert cursor is not None
        for other in others:
            with pytest.raises(CursorError, match="another list"):
                other(connection, limit=1, cursor=cursor)


def test_rows_of_the_same_instant_are_neither_repeated_nor_skipped(store: Database, ask: Ask) -> None:
    """The id decides where the time does not."""
    ids = {ask(store, number) for number in range(5)}
    with store.write() as connection:
        connection.execute(text("UPDATE jobs SET created_at = '2026-03-29 12:00:00.000000'"))
    seen, cursor = [], None
    for _ in range(5):
        with store.read() as connection:
            page = list_jobs(connection, JobFilter(), limit=1, cursor=cursor)
        seen += [row.id for row in page.rows]
        cursor = page.next_cursor
    assert len(seen) == 5
    assert set(seen) == ids


@pytest.mark.parametrize(
    "cursor", ["", "x", "é", "bnVsbA", "W10", "WzEsMl0", "WyIyMDI2LTAxLTAxIiwiYSJd", "[" * 300, "\0", *UNUSABLE]
)
def test_a_text_that_is_no_cursor_is_refused(store: Database, cursor: str) -> None:
    """Nothing but the error of cursors, whatever the text."""
    with store.read() as connection, pytest.raises(CursorError):
        list_jobs(connection, JobFilter(), limit=1, cursor=cursor)
