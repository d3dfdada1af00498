"""An attempt from the inside, and one that hangs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Row

from api.jobs.attempt import claim
from api.jobs.child import work_on
from api.jobs.job_error import JobError, JobErrorKind
from api.jobs.read_jobs import find_job
from api.jobs.supervisor import Supervisor
from api.settings import Settings
from api.store.database import Database
from api.store.migrate import migrate
from optimiser.errors import NotConvergedError

Ask = Callable[..., str]


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """A limit too short for any plan."""
    return Settings(data=tmp_path, attempt_limit_s=0.2, most_attempts=1, poll_s=0.05)


@pytest.fixture
def data(settings: Settings) -> Iterator[Database]:
    database = Database(settings.store_url, busy_timeout_s=10.0)
    migrate(database)
    yield database
    database.close()


def _job(data: Database, job_id: str) -> Row[Any]:
    with data.read() as connection:
        row = find_job(connection, job_id)
    assert row is not None
    return row


def _worked_on(data: Database, settings: Settings, ask: Ask, source: bytes) -> Row[Any]:
    """The job after one attempt in this process."""
    job_id = ask(data, source=source)
    claimed = claim(data, lease_s=30.0)
    assert claimed is not None
    work_on(data, settings, claimed.token)
    return _job(data, job_id)


def test_an_attempt_that_hangs_is_ended(
    data: Database, settings: Settings, ask: Ask, tiny_source: bytes, wait_for: Callable[..., Any]
) -> None:
    """The child is ended, and the job says that it took too long."""
    job_id = ask(data, source=tiny_source)
    supervisor = Supervisor(data, settings)
    supervisor.start()
    wait_for(lambda: _job(data, job_id).state == "failed" or None, "the job to fail")
    supervisor.stop()
    assert "longer than 0.2 s" in JobError.from_json(_job(data, job_id).error).detail


def test_a_case_that_cannot_be_planned_fails_at_once_with_its_faults(
    data: Database, settings: Settings, ask: Ask
) -> None:
    """Another attempt would find the same faults, so there is none."""
    job = _worked_on(data, settings, ask, b"name: 7")
    error = JobError.from_json(job.error)
    assert (job.state, job.attempts, error.kind) == ("failed", 1, JobErrorKind.INPUT)
    assert "/name" in {fault.path for fault in error.faults}


def test_a_run_that_does_not_converge_fails_at_once_and_says_where(
    data: Database, settings: Settings, ask: Ask, tiny_source: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same case would stop at the same place again."""

    def stops(*_arguments: object, **_named: object) -> None:
        raise NotConvergedError(step=7, time_s=12.0, where="node 3", residual=0.1, remedy="a finer step")

    monkeypatch.setattr("api.jobs.answer_case.plan_case", stops)
    job = _worked_on(data, settings, ask, tiny_source)
    error = JobError.from_json(job.error)
    assert (job.state, error.kind) == ("failed", JobErrorKind.NOT_CONVERGED)
    assert "step 7" in error.detail
    assert "a finer step" in error.detail


def test_progress_is_kept_while_the_work_goes_on(
    data: Database, settings: Settings, ask: Ask, tiny_source: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each new phase reaches the store at once."""
    from optimiser.case.planning import Progress, plan_case

    seen: list[tuple[str, float]] = []

    def watched(case: Any, *, progress: Callable[[Progress], None], **_named: object) -> Any:
        progress(Progress(phase="first", fraction=0.25, best_wet_out_s=None))
        seen.append((_job(data, job_id).phase, _job(data, job_id).fraction))
        progress(Progress(phase="second", fraction=0.5, best_wet_out_s=60.0))
        seen.append((_job(data, job_id).phase, _job(data, job_id).best_wet_out_s))
        return plan_case(case)

    monkeypatch.setattr("api.jobs.answer_case.plan_case", watched)
    job_id = ask(data, source=tiny_source)
    claimed = claim(data, lease_s=30.0)
    assert claimed is not None
    work_on(data, settings, claimed.token)
    assert seen == [("first", 0.25), ("second", 60.0)]
    assert _job(data, job_id).state == "succeeded"
