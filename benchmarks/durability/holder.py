"""Work on jobs in this very process, without one of its own for each attempt: claim, work a while, hand in."""

from __future__ import annotations

import logging
import time
from random import Random

from sqlalchemy import exists, select
from sqlalchemy.exc import OperationalError

from api.jobs.attempt import Claim, StaleAttemptError, claim, finish_with_plan, note_progress, work_of
from api.jobs.child import work_on
from api.jobs.states import JobState
from api.settings import Settings
from api.store.database import Database
from api.store.tables import jobs
from benchmarks.durability.quick_jobs import MADE_UP, made_up_plan

_LONGEST_WORK_S = 0.005
_PAUSE_S = 0.005


def hold(settings: Settings, seed: int) -> None:
    """Work for ever."""
    logging.disable()
    database, lots = settings.open_store(), Random(seed)
    while True:
        _once(database, settings, lots)


def hold_until_empty(settings: Settings, seed: int) -> None:
    """Work until no job is queued or running."""
    logging.disable()
    database, lots = settings.open_store(), Random(seed)
    while not is_empty(database):
        _once(database, settings, lots)
    database.close()


def is_empty(database: Database) -> bool:
    left = select(jobs.c.id).where(jobs.c.state.in_((JobState.QUEUED, JobState.RUNNING)))
    with database.read() as connection:
        return not connection.execute(select(exists(left))).scalar_one()


def _once(database: Database, settings: Settings, lots: Random) -> None:
    try:
        claimed = claim(database, lease_s=settings.lease_s)
        if claimed is None:
            time.sleep(_PAUSE_S)
        else:
            _work(database, settings, claimed, lots)
    except (StaleAttemptError, OperationalError):
        time.sleep(_PAUSE_S)


def _work(database: Database, settings: Settings, claimed: Claim, lots: Random) -> None:
    if work_of(database, claimed.token).case != MADE_UP:
        work_on(database, settings, claimed.token)
        return
    note_progress(database, claimed.token, phase="making up", fraction=0.5, best_wet_out_s=None)
    time.sleep(lots.uniform(0.0, _LONGEST_WORK_S))
    finish_with_plan(database, claimed.token, made_up_plan(claimed.token))
