"""The clock: leases, keys and the order of everything hang on it."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import Connection, Select, func, select

from api.doctor.amounts import span
from api.doctor.finding import Finding, ok, trouble, warning
from api.settings import Settings
from api.store.instants import now
from api.store.tables import attempts, audit, deliveries, documents, job_events, jobs, plans

_TOLERATED = timedelta(seconds=5)
"""Clocks of two machines that are kept by a time server differ by much less (common practice, no source)."""
_TOO_FAR = timedelta(minutes=1)


def rows_from_the_future(connection: Connection, settings: Settings) -> Finding:
    """Something was written at a time that has not come yet: the clock was ahead then, or is behind now."""
    what, at = "clock", now()
    ahead = max((time - at for time in _latest(connection, settings)), default=timedelta())
    if ahead > _TOLERATED:
        return trouble(
            what,
            f"it says {at:%Y-%m-%d %H:%M:%S} UTC, and the store holds rows from {span(ahead)} later",
            "set the clock right and keep it by a time server, on every machine that uses the store; "
            "webhooks that fell due in the future wait until then",
        )
    return ok(what, f"{at:%Y-%m-%d %H:%M:%S} UTC, nothing in the store is later")


def clock_of_the_server(connection: Connection) -> Finding:
    what = "clock of the PostgreSQL server"
    before = now()
    there: datetime = connection.exec_driver_sql("SELECT clock_timestamp()").scalar_one()
    apart = max(before - there, there - now(), timedelta())
    remedy = "keep both clocks by a time server"
    if apart > _TOO_FAR:
        return trouble(what, f"{span(apart)} away from the clock here", remedy)
    if apart > _TOLERATED:
        return warning(what, f"{span(apart)} away from the clock here", remedy)
    return ok(what, "agrees with the clock here")


def _latest(connection: Connection, settings: Settings) -> list[datetime]:
    """The latest time of each kind that is written as 'now'."""
    queries: list[Select[datetime | None]] = [
        select(func.max(documents.c.updated_at)),
        select(func.max(jobs.c.created_at)),
        select(func.max(jobs.c.updated_at)),
        select(func.max(plans.c.created_at)),
        select(func.max(attempts.c.started_at)),
        select(func.max(deliveries.c.created_at)),
        select(job_events.c.at).order_by(job_events.c.id.desc()).limit(1),
        select(audit.c.at).order_by(audit.c.id.desc()).limit(1),
    ]
    found = [connection.execute(query).scalar_one_or_none() for query in queries]
    lease = select(func.max(attempts.c.lease_until)).where(attempts.c.outcome.is_(None))
    until: datetime | None = connection.execute(lease).scalar_one()
    vouched = None if until is None else until - timedelta(seconds=settings.lease_s)
    return [time for time in (*found, vouched) if time is not None]
