"""The supervisor with real child processes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Row

from api.jobs.job_error import JobError
from api.jobs.read_jobs import find_job
from api.jobs.submit import submit
from api.jobs.supervisor import Supervisor
from api.settings import Settings
from api.store.database import Database
from api.store.layouts import NewLayout
from api.store.migrate import migrate


@pytest.fixture
def data(tmp_path: Path) -> Iterator[Database]:
    settings = Settings(data=tmp_path)
    database = Database(settings.store_url, busy_timeout_s=10.0)
    migrate(database)
    yield database
    database.close()


def _run_to_the_end(
    data: Database, settings: Settings, source: bytes, wait_for: Callable[..., Any]
) -> Row[Any]:
    """The job's row when the supervisor is done with it."""

    def look() -> Row[Any] | None:
        with data.read() as connection:
            row = find_job(connection, job_id)
        return row if row is not None and row.state in {"succeeded", "failed"} else None

    job_id = submit(data, NewLayout(digest="d", name="panel", source=source), software_version="1")
    supervisor = Supervisor(data, settings)
    supervisor.start()
    try:
        return wait_for(look, "the job to be done")
    finally:
        supervisor.stop()


def test_an_attempt_that_hangs_is_ended(
    data: Database, tmp_path: Path, tiny_source: bytes, wait_for: Callable[..., Any]
) -> None:
    """A limit too short for any plan: the child is ended, and the job says that it took too long."""
    settings = Settings(data=tmp_path, attempt_limit_s=0.2, most_attempts=1, poll_s=0.05)
    job = _run_to_the_end(data, settings, tiny_source, wait_for)
    assert job.state == "failed"
    assert "longer than 0.2 s" in JobError.from_json(job.error).detail


def test_a_case_that_cannot_be_planned_fails_at_once_with_its_faults(
    data: Database, tmp_path: Path, wait_for: Callable[..., Any]
) -> None:
    """Another attempt would find the same faults, so there is none."""
    job = _run_to_the_end(data, Settings(data=tmp_path, poll_s=0.05), b"name: 7", wait_for)
    assert job.state == "failed"
    assert job.attempts == 1
    assert "/name" in {fault.path for fault in JobError.from_json(job.error).faults}
