"""Who may work on a job, and what becomes of it when its process dies."""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import select, update

from api.jobs.attempt import (
    Claim,
    Patience,
    StaleAttemptError,
    cancel,
    claim,
    finish_with_error,
    finish_with_plan,
    give_up,
    note_progress,
    release,
    renew,
    still_running,
    work_of,
)
from api.jobs.job_error import JobError, JobErrorKind
from api.jobs.read_jobs import find_job
from api.jobs.states import TRANSITIONS, ForbiddenTransitionError, JobKind, JobState, move
from api.jobs.sweep import shorten, sweep
from api.revalidation.items import Judged, open_items, settle
from api.revalidation.runs import NewRun, PlanAgain, begin_run, find_run
from api.store.cases import find_case
from api.store.database import Database
from api.store.instants import now
from api.store.plans import NewPlan, PlanFilter
from api.store.tables import attempts, documents, job_events, jobs, plans
from optimiser.errors import Fault

Ask = Callable[..., str]

PLAN = NewPlan(
    document='{"is": "a plan"}',
    verdict="verified",
    wet_out_s=1200.0,
    gel_margin_s=60.0,
    name="panel",
    resin="demo resin",
    batch="A",
    software_version="1",
    facts="{}",
)
PATIENCE = Patience(lost=3, abandoned=2)


def claimed(store: Database, lease_s: float = 30.0) -> Claim:
    taken = claim(store, lease_s=lease_s)
    assert taken is not None
    return taken


def state_of(store: Database, job_id: str) -> str:
    with store.read() as connection:
        return str(connection.execute(select(jobs.c.state).where(jobs.c.id == job_id)).scalar_one())


def test_the_same_content_meets_the_job_already_there(store: Database, ask: Ask) -> None:
    """One job for one digest and version; another version of the program makes another job."""
    first = ask(store)
    assert ask(store) == first
    assert ask(store, version="2") != first


def test_content_whose_job_failed_gets_a_new_job(store: Database, ask: Ask) -> None:
    """A failed job stays failed, and sending the case again tries afresh."""
    first = ask(store)
    finish_with_error(store, claimed(store).token, JobError(kind=JobErrorKind.INPUT, detail="no"))
    second = ask(store)
    assert second != first
    assert (state_of(store, first), state_of(store, second)) == ("failed", "queued")


def test_layout_and_job_are_kept_together_or_not_at_all(
    store: Database, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error after layout and case were inserted leaves neither behind."""

    def broken(*_arguments: object, **_named: object) -> None:
        raise RuntimeError("power cut")

    monkeypatch.setattr("api.jobs.submit.record", broken)
    with pytest.raises(RuntimeError, match="power cut"):
        ask(store)
    with store.read() as connection:
        assert find_case(connection, f"{1:064x}") is None
        assert connection.execute(select(documents)).all() == []
        assert connection.execute(select(jobs)).all() == []


def test_claims_are_in_order_of_submission_and_exhaust_the_queue(store: Database, ask: Ask) -> None:
    """First come, first served; None when nothing waits."""
    waiting = [ask(store, digit) for digit in range(3)]
    assert [claimed(store).job_id for _ in waiting] == waiting
    assert claim(store, lease_s=30.0) is None


def test_eight_claimants_never_take_the_same_job(store: Database, ask: Ask) -> None:
    """Forty jobs, eight threads: forty claims, forty different jobs, no 'database is locked'."""
    waiting = {ask(store, digit) for digit in range(40)}
    with ThreadPoolExecutor(8) as pool:
        taken = list(pool.map(lambda _: claimed(store).job_id, range(40)))
    assert len(taken) == 40
    assert set(taken) == waiting


def test_the_attempt_reads_the_case_as_it_was_sent(store: Database, ask: Ask) -> None:
    """Byte for byte, so that reading it again gives the same digest."""
    ask(store, 1, source=b"\xef\xbb\xbfname: other")
    work = work_of(store, claimed(store).token)
    assert (work.kind, work.case, work.sequence) == (JobKind.PLAN, b"\xef\xbb\xbfname: other", None)


def test_a_finished_attempt_leaves_its_plan(store: Database, ask: Ask) -> None:
    """Plan, attempt and job change together; the job points to the plan."""
    job_id = ask(store)
    plan_id = finish_with_plan(store, claimed(store).token, PLAN)
    with store.read() as connection:
        job = find_job(connection, job_id)
        kept = connection.execute(select(plans)).one()
    assert job is not None
    assert (job.state, job.plan_id, job.fraction, job.attempts) == ("succeeded", plan_id, 1.0, 1)
    assert (kept.id, kept.document, kept.job_id) == (plan_id, PLAN.document, job_id)


def test_a_stale_attempt_can_write_nothing(store: Database, ask: Ask) -> None:
    """Who was declared dead and comes back finds every door shut; the second attempt's plan stands."""
    job_id = ask(store)
    late = claimed(store)
    give_up(store, late.token, reason="it looked dead", patience=PATIENCE)
    second = claimed(store)
    for write in (
        lambda: finish_with_plan(
            store, late.token, replace(PLAN, document="late")
        ),
        lambda: finish_with_error(store, late.token, JobError(kind=JobErrorKind.INPUT, detail="late")),
        lambda: note_progress(store, late.token, phase="late", fraction=0.5, best_wet_out_s=None),
        lambda: release(store, late.token),
        lambda: give_up(store, late.token, reason="late", patience=PATIENCE),
    ):
        with pytest.raises(StaleAttemptError):
            write()
    renew(store, [late.token], lease_s=30.0)
    assert still_running(store, [late.token, second.token]) == {second.token}
    finish_with_plan(store, second.token, PLAN)
    with store.read() as connection:
        assert connection.execute(select(plans.c.document)).scalars().all() == [PLAN.document]
    assert state_of(store, job_id) == "succeeded"


def test_the_third_lost_attempt_fails_the_job_and_says_why(store: Database, ask: Ask) -> None:
    """Twice it is queued again; the third time it has failed, with the reason of the last loss."""
    job_id = ask(store)
    ends = [give_up(store, claimed(store).token, reason=f"loss {n}", patience=PATIENCE) for n in (1, 2, 3)]
    assert ends == [JobState.QUEUED, JobState.QUEUED, JobState.FAILED]
    with store.read() as connection:
        job = find_job(connection, job_id)
    assert job is not None
    error = JobError.from_json(job.error)
    assert error.kind is JobErrorKind.PROCESS_DIED
    assert "3 times" in error.detail
    assert "loss 3" in error.detail


def test_a_stop_in_good_order_does_not_count_as_a_loss(store: Database, ask: Ask) -> None:
    """Ten orderly stops later the job still waits for its turn."""
    job_id = ask(store)
    for _ in range(10):
        release(store, claimed(store).token)
    assert state_of(store, job_id) == "queued"
    assert give_up(store, claimed(store).token, reason="died", patience=PATIENCE) is JobState.QUEUED


def test_the_sweep_takes_only_attempts_that_nobody_vouched_for(store: Database, ask: Ask) -> None:
    """An expired lease is swept, a renewed one is not."""
    expired, vouched = ask(store, 1), ask(store, 2)
    claimed(store, lease_s=-1.0)
    kept = claimed(store, lease_s=-1.0)
    renew(store, [kept.token], lease_s=30.0)
    assert sweep(store, most_abandoned=2) == [expired]
    assert (state_of(store, expired), state_of(store, vouched)) == ("queued", "running")
    assert sweep(store, most_abandoned=2) == []


def test_deaths_of_the_worker_are_counted_apart_from_those_of_the_job(store: Database, ask: Ask) -> None:
    """A worker that dies says little about the job, so it has a patience of its own; but it too has an end."""
    job_id = ask(store)
    give_up(store, claimed(store).token, reason="died", patience=PATIENCE)
    claimed(store, lease_s=-1.0)
    sweep(store, most_abandoned=2)
    give_up(store, claimed(store).token, reason="died", patience=PATIENCE)
    assert state_of(store, job_id) == "queued"
    claimed(store, lease_s=-1.0)
    sweep(store, most_abandoned=2)
    assert state_of(store, job_id) == "failed"


def test_a_lease_of_a_clock_that_was_put_back_runs_out_all_the_same(store: Database, ask: Ask) -> None:
    """One that reaches an hour ahead is cut to the usual; whoever still vouches for its job makes it longer again."""
    died, alive = ask(store, 1), ask(store, 2)
    of_the_dead, of_the_living = claimed(store, lease_s=3600.0), claimed(store, lease_s=3600.0)
    shorten(store, lease_s=0.01)
    renew(store, [of_the_living.token], lease_s=30.0)
    time.sleep(0.02)
    assert sweep(store, most_abandoned=2) == [died]
    assert (state_of(store, died), state_of(store, alive)) == ("queued", "running")
    assert still_running(store, [of_the_dead.token, of_the_living.token]) == {of_the_living.token}


def test_a_lease_that_anybody_may_have_given_is_left_alone(store: Database, ask: Ask) -> None:
    """Workers may differ in their settings, and their clocks by a little."""
    ask(store)
    claimed(store, lease_s=3600.0)
    shorten(store, lease_s=600.0)
    with store.read() as connection:
        until = connection.execute(select(attempts.c.lease_until)).scalar_one()
    assert until > now() + timedelta(minutes=30)


def test_a_run_that_decides_plans_is_not_given_up(store: Database, ask: Ask) -> None:
    """It may be long, and be broken off as often as it decides one; in vain it may be so once more than other jobs."""
    job_id, run_id, numbers = a_run(store, ask, plans=4)
    for number in numbers:
        lost = claimed(store)
        settle(store, lost.token, run_id, {number: Judged(answer="still_valid", decided_by="full_run", reason="")})
        assert give_up(store, lost.token, reason="too long", patience=PATIENCE) is JobState.QUEUED
    ends = [give_up(store, claimed(store).token, reason="too long", patience=PATIENCE) for _ in range(3)]
    assert ends == [JobState.QUEUED, JobState.QUEUED, JobState.FAILED]
    assert state_of(store, job_id) == "failed"


def a_run(store: Database, ask: Ask, *, plans: int) -> tuple[str, str, list[int]]:
    """A revalidation over so many plans: its job, its id, the numbers of its items."""
    for digit in range(plans):
        ask(store, digit)
        finish_with_plan(store, claimed(store).token, replace(PLAN, document=f"plan {digit}"))
    new = NewRun(change="{}", said=(), chosen=PlanFilter(), plan_again=PlanAgain.NEVER)
    with store.write() as connection:
        run_id = begin_run(connection, new, by=None)
        run = find_run(connection, run_id)
        assert run is not None
        return run.job_id, run_id, [item.number for item in open_items(connection, run_id)]


@pytest.mark.parametrize("runs", [False, True])
def test_a_cancelled_job_is_given_up_for_good(store: Database, ask: Ask, runs: bool) -> None:
    """Waiting or running: cancelled at once, its attempt ended, its late result refused; asked again, a new job."""
    job_id = ask(store)
    token = claimed(store).token if runs else None
    with store.write() as connection:
        cancel(connection, job_id)
        cancel(connection, job_id)
    assert state_of(store, job_id) == "cancelled"
    assert claim(store, lease_s=30.0) is None
    if token is not None:
        with pytest.raises(StaleAttemptError):
            finish_with_plan(store, token, PLAN)
    assert ask(store) != job_id


def test_a_job_that_is_done_cannot_be_cancelled(store: Database, ask: Ask) -> None:
    """Its answer stands."""
    job_id = ask(store)
    finish_with_plan(store, claimed(store).token, PLAN)
    with store.write() as connection:
        cancel(connection, job_id)
    assert state_of(store, job_id) == "succeeded"


def test_every_change_of_state_leaves_an_event(store: Database, ask: Ask) -> None:
    """The events of a job tell its whole life, in order, with a reason for each change."""
    job_id = ask(store)
    give_up(store, claimed(store).token, reason="died", patience=PATIENCE)
    finish_with_plan(store, claimed(store).token, PLAN)
    with store.read() as connection:
        rows = connection.execute(select(job_events).order_by(job_events.c.id)).all()
    assert [(row.from_state, row.to_state, row.reason) for row in rows] == [
        (None, "queued", "submitted"),
        ("queued", "running", "attempt 1"),
        ("running", "queued", "died"),
        ("queued", "running", "attempt 2"),
        ("running", "succeeded", "planned"),
    ]
    assert {row.job_id for row in rows} == {job_id}


@pytest.mark.parametrize("before", JobState)
@pytest.mark.parametrize("after", JobState)
def test_only_listed_transitions_are_possible(
    store: Database, ask: Ask, before: JobState, after: JobState
) -> None:
    """`move` refuses every change that the table beside the states does not list."""
    job_id = ask(store)
    error = JobError(kind=JobErrorKind.INPUT, detail="no").to_json()
    with store.write() as connection:
        why = error if before is JobState.FAILED else None
        connection.execute(update(jobs).values(state=before, error=why))
        why = error if after is JobState.FAILED else None
        if after in TRANSITIONS[before]:
            move(connection, job_id, after, reason="test", error=why)
        else:
            with pytest.raises(ForbiddenTransitionError):
                move(connection, job_id, after, reason="test", error=why)


def test_a_job_error_survives_the_store(store: Database, ask: Ask) -> None:
    """Kind, detail and faults come back as they were."""
    fault = Fault(path="/resin/name", found="''", expected="a name", remedy="write one")
    error = JobError(kind=JobErrorKind.INPUT, detail="The case cannot be planned.", faults=(fault,))
    job_id = ask(store)
    finish_with_error(store, claimed(store).token, error)
    with store.read() as connection:
        job = find_job(connection, job_id)
        outcomes = connection.execute(select(attempts.c.outcome)).scalars().all()
    assert job is not None
    assert JobError.from_json(job.error) == error
    assert outcomes == ["failed"]
