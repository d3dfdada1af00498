"""Find running attempts that nobody works on any more, and give their jobs back."""

from __future__ import annotations

from sqlalchemy import select

from api.jobs.attempt import lose
from api.store.database import Database
from api.store.instants import now
from api.store.tables import attempts


def sweep_all(database: Database, *, most_attempts: int) -> list[str]:
    """Before the first claim of a service that alone holds the store: whatever runs has died."""
    return _sweep(database, only_expired=False, reason="the service died", most_attempts=most_attempts)


def sweep_expired(database: Database, *, most_attempts: int) -> list[str]:
    """Every so often: attempts for which nobody vouched in time. Returns the ids of the jobs given back."""
    return _sweep(
        database, only_expired=True, reason="nobody vouched for it in time", most_attempts=most_attempts
    )


def _sweep(database: Database, *, only_expired: bool, reason: str, most_attempts: int) -> list[str]:
    abandoned = select(attempts).where(attempts.c.outcome.is_(None))
    if only_expired:
        abandoned = abandoned.where(attempts.c.lease_until < now())
    with database.read() as connection:
        if connection.execute(abandoned.limit(1)).one_or_none() is None:
            return []
    with database.write() as connection:
        found = connection.execute(abandoned).all()
        for attempt in found:
            lose(connection, attempt, reason=reason, most_attempts=most_attempts)
        return [attempt.job_id for attempt in found]
