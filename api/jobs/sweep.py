"""Find running attempts that nobody vouches for any more, and give their jobs back."""

from __future__ import annotations

from sqlalchemy import select

from api.jobs.attempt import break_off
from api.jobs.states import AttemptOutcome
from api.store.database import Database
from api.store.instants import now
from api.store.tables import attempts

_REASON = "whoever held it did not vouch for it in time"


def sweep(database: Database, *, most_abandoned: int) -> list[str]:
    """End attempts whose lease has run out. Returns the ids of the jobs given back."""
    expired = select(attempts).where(attempts.c.outcome.is_(None), attempts.c.lease_until < now())
    with database.read() as connection:
        if connection.execute(expired.limit(1)).one_or_none() is None:
            return []
    with database.write() as connection:
        found = connection.execute(expired.with_for_update(skip_locked=True)).all()
        for attempt in found:
            break_off(connection, attempt, AttemptOutcome.ABANDONED, reason=_REASON, most=most_abandoned)
        return [attempt.job_id for attempt in found]
