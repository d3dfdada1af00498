"""Find running attempts that nobody vouches for any more, and give their jobs back."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import select, update

from api.jobs.attempt import break_off
from api.jobs.states import AttemptOutcome
from api.store.database import Database
from api.store.instants import now
from api.store.tables import attempts

_REASON = "whoever held it did not vouch for it in time"
_TOO_FAR = 10
"""Times a lease; no clock of another machine is so much ahead."""


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


def shorten(database: Database, *, lease_s: float) -> None:
    """Leases that were given before the clock was put back end as if they were given now.

    Whoever still vouches for one makes it longer again; of one who has died it would run for as long as the clock was
    ahead.
    """
    at = now()
    too_long = attempts.c.outcome.is_(None), attempts.c.lease_until > at + timedelta(seconds=_TOO_FAR * lease_s)
    with database.read() as connection:
        if connection.execute(select(attempts.c.token).where(*too_long).limit(1)).one_or_none() is None:
            return
    with database.write() as connection:
        until = at + timedelta(seconds=lease_s)
        connection.execute(update(attempts).where(*too_long).values(lease_until=until))
