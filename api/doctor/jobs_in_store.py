"""Jobs: does anybody work on them, and which were given up?"""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import Connection, func, select

from api.doctor.amounts import span
from api.doctor.finding import Finding, ok, trouble, warning
from api.jobs.job_error import JobError, JobErrorKind
from api.jobs.states import JobState
from api.store.instants import now
from api.store.judgements import judgements_of
from api.store.standing import condemned_by
from api.store.tables import attempts, jobs, revalidation_items, withdrawals
from optimiser.run_sheet.standing import Finding as Unfit

_SOON_TAKEN = timedelta(minutes=1)
"""A worker that has a hand free takes a job at its next look, within a second."""
_LONG = timedelta(hours=6)
RECENT = timedelta(days=7)
_MOST_NAMED = 5


def waiting_jobs(connection: Connection) -> Finding:
    what, at = "jobs that wait", now()
    queued = jobs.c.state == JobState.QUEUED
    number = connection.execute(select(func.count()).select_from(jobs).where(queued)).scalar_one()
    running, vouched_for = _running(connection, at)
    said = f"waiting: {number}, running: {running}"
    if running > vouched_for:
        said += f", of which nobody vouches for {running - vouched_for}"
    if number:
        oldest: datetime = connection.execute(select(func.min(jobs.c.created_at)).where(queued)).scalar_one()
        waited = at - oldest
        said += f"; the oldest has waited {span(waited)}"
        if waited > _SOON_TAKEN and not vouched_for:
            return trouble(what, f"{said}, and no worker is at work", "start tapcall serve or tapcall work")
        if waited > _LONG:
            return warning(what, said, "run tapcall work on more machines, or raise TAPCALL_JOB_PROCESSES")
    if running > vouched_for:
        if vouched_for:
            return warning(what, said, "nothing: the workers that run take them over")
        return trouble(what, said, "start tapcall serve or tapcall work: it takes them over")
    return ok(what, said)


def jobs_given_up(connection: Connection) -> Finding:
    """Jobs that failed because their process died too often; a fault of the case is an answer and is not counted."""
    what = "jobs given up"
    query = select(jobs.c.id, jobs.c.error).where(
        jobs.c.state == JobState.FAILED,
        jobs.c.updated_at >= now() - RECENT,
        jobs.c.error.contains(f'"{JobErrorKind.PROCESS_DIED}"'),
    )
    rows = connection.execute(query.order_by(jobs.c.updated_at.desc())).all()
    if not rows:
        return ok(what, f"none within {RECENT.days} days")
    said = [f"{row.id}: {JobError.from_json(row.error).detail}" for row in rows[:_MOST_NAMED]]
    return warning(
        what,
        f"{len(rows)} within {RECENT.days} days: {'; '.join(said)}",
        "look for the job's id in the log; for want of memory or time raise TAPCALL_ATTEMPT_MEMORY_MB or "
        "TAPCALL_ATTEMPT_LIMIT_S, then submit it again",
    )


def items_set_aside(connection: Connection) -> Finding:
    """Stored plans in use of which a revalidation could say nothing, and no later one over the same could."""
    what, items = "plans set aside", revalidation_items
    used_no_more = items.c.plan_id.in_(select(withdrawals.c.plan_id))
    recent = (items.c.state == "set_aside", items.c.decided_at >= now() - RECENT, ~used_no_more)
    newest = select(items.c.plan_id, items.c.reason).where(*recent).order_by(items.c.decided_at.desc(), items.c.number)
    reasons: dict[str, str] = {}
    for plan_id, reason in connection.execute(newest):
        reasons.setdefault(plan_id, reason)
    standing = [plan_id for plan_id in reasons if _nothing_said(connection, plan_id)]
    if not standing:
        return ok(what, f"none within {RECENT.days} days")
    said = [f"{plan_id}: {reasons[plan_id]}" for plan_id in standing[:_MOST_NAMED]]
    return warning(
        what,
        f"{len(standing)} by revalidations within {RECENT.days} days, not judged: {'; '.join(said)}",
        "plan them again before they are used",
    )


def _nothing_said(connection: Connection, plan_id: str) -> bool:
    return any(one.found is Unfit.NOTHING for one in condemned_by(judgements_of(connection, plan_id)))


def _running(connection: Connection, at: datetime) -> tuple[int, int]:
    """Number of running attempts, and of those that somebody vouches for."""
    runs = attempts.c.outcome.is_(None)
    count = select(func.count()).select_from(attempts)
    all_of_them = connection.execute(count.where(runs)).scalar_one()
    return all_of_them, connection.execute(count.where(runs, attempts.c.lease_until > at)).scalar_one()
