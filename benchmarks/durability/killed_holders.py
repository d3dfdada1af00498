"""kill -9 of processes that hold attempts, at random moments, thousands of times."""

from __future__ import annotations

import time
from random import Random

from api.store.database import Database
from benchmarks.durability.finding import Finding
from benchmarks.durability.holders import Holders, drain, sweeping
from benchmarks.durability.looked_at_plans import keep_plans
from benchmarks.durability.place import Place
from benchmarks.durability.quick_jobs import MADE_UP, UNPLANNABLE, ask_looking_up, ask_plan
from benchmarks.durability.sound import count_outcomes, wrong_in

_HOLDERS = 4
_JOBS_A_KILL = 4
_PAUSE_S = 0.02
"""On average, between two kills."""


def kill_holders(place: Place, times: int, lots: Random) -> Finding:
    settings, database = place.settings(), place.open()
    accepted = keep_plans(place, 1)
    with Holders(settings, _HOLDERS, lots) as holders, sweeping(database, settings):
        for kill in range(times):
            accepted += _ask(database, first=kill * _JOBS_A_KILL)
            time.sleep(lots.expovariate(1 / _PAUSE_S))
            holders.kill_one()
    drain(settings)
    ended = count_outcomes(database)
    wrong = wrong_in(database, accepted)
    database.close()
    seen = f"{len(accepted)} jobs, {ended['abandoned']} attempts cut off and done again"
    return Finding(times=times, seen=seen, wrong=wrong)


def _ask(database: Database, *, first: int) -> list[str]:
    """Most are made up; one cannot be planned, one is looked up."""
    with database.write() as connection:
        made_up = [ask_plan(connection, first + each, MADE_UP) for each in range(_JOBS_A_KILL - 2)]
        unplannable = ask_plan(connection, first + _JOBS_A_KILL - 1, UNPLANNABLE)
        return [*made_up, unplannable, ask_looking_up(connection, first)]
