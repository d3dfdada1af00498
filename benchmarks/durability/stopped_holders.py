"""SIGSTOP of a holder until its lease has run out and another has done the job, then SIGCONT: it comes too late."""

from __future__ import annotations

import logging
import os
import signal
import time
from collections import Counter
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from random import Random

from sqlalchemy.exc import OperationalError

from api.jobs.attempt import StaleAttemptError, claim, finish_with_plan, note_progress
from api.jobs.sweep import sweep
from api.settings import Settings
from api.store.database import Database
from benchmarks.durability.finding import Finding
from benchmarks.durability.forks import fork, kill, pid_of
from benchmarks.durability.place import Place
from benchmarks.durability.quick_jobs import MADE_UP, ask_plan, made_up_plan
from benchmarks.durability.sound import wrong_in

_LEASE_S = 0.15
_WORK_S = 0.03
_BUSY_TIMEOUT_S = 1.0


def stop_holders(place: Place, times: int, lots: Random) -> Finding:
    settings = place.settings(lease_s=_LEASE_S, busy_timeout_s=_BUSY_TIMEOUT_S)
    here, there = Pipe()
    holder = fork(_hold_on_demand, settings, there)
    database, accepted, ends = settings.open_store(), list[str](), Counter[str]()
    for number in range(times):
        with database.write() as connection:
            accepted.append(ask_plan(connection, number, MADE_UP))
        here.send(lots.uniform(0.0, _WORK_S))
        here.recv()
        time.sleep(lots.uniform(0.0, 2 * _WORK_S))
        os.kill(pid_of(holder), signal.SIGSTOP)
        done_here = _do_it_instead(database, settings)
        os.kill(pid_of(holder), signal.SIGCONT)
        ends[f"{here.recv()}, {done_here}"] += 1
    kill(holder)
    wrong = list(wrong_in(database, accepted))
    database.close()
    if refused := ends["in time, done by another"]:
        wrong.append(f"both came in time: {refused}")
    seen = "; ".join(f"{end}: {count}" for end, count in sorted(ends.items()))
    return Finding(times=times, seen=seen, wrong=tuple(wrong))


def _do_it_instead(database: Database, settings: Settings) -> str:
    """What another worker does once the lease has run out."""
    time.sleep(_LEASE_S)
    try:
        sweep(database, most_abandoned=settings.most_abandoned)
        taken = claim(database, lease_s=60.0)
        if taken is None:
            return "nothing left to do"
        finish_with_plan(database, taken.token, made_up_plan(taken.token))
    except OperationalError:
        return "it stood in the middle of a write"
    return "done by another"


def _hold_on_demand(settings: Settings, asked: Connection) -> None:
    """Claim and work for as long as is asked; tell when the work begins, and whether the result was taken."""
    logging.disable()
    database = settings.open_store()
    while True:
        work_s = asked.recv()
        taken = None
        while taken is None:
            taken = claim(database, lease_s=settings.lease_s)
        asked.send("begun")
        try:
            time.sleep(work_s)
            note_progress(database, taken.token, phase="making up", fraction=0.5, best_wet_out_s=None)
            finish_with_plan(database, taken.token, made_up_plan(taken.token))
        except StaleAttemptError:
            asked.send("refused")
        except OperationalError:  # PostgreSQL cuts off who stands still in the middle of a write
            _finish_again(database, taken.token, asked)
        else:
            asked.send("in time")


def _finish_again(database: Database, token: str, asked: Connection) -> None:
    try:
        finish_with_plan(database, token, made_up_plan(token))
    except StaleAttemptError:
        asked.send("cut off and refused")
    else:
        asked.send("cut off, in time")
