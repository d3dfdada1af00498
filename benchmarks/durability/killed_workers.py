"""kill -9 of `tapcall work` at random moments, from its start to well into its work; nothing that it started stays."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from random import Random

from api.store.database import Database
from benchmarks.durability.finding import Finding
from benchmarks.durability.holders import drain
from benchmarks.durability.looked_at_plans import keep_plans
from benchmarks.durability.place import COMMAND, Place
from benchmarks.durability.process_tree import below, is_gone
from benchmarks.durability.quick_jobs import UNPLANNABLE, ask_looking_up, ask_plan, tiny_case
from benchmarks.durability.sound import count_outcomes, wrong_in
from benchmarks.durability.waiting import wait_until

_WORKERS = 2
_OF_A_START = 1.6
"""Kills fall within so many times what a start and a first job take."""
_ATTEMPT_ALONE = 0.25
"""Share of kills that hit the process of an attempt and leave its worker."""
_SOON_S = 2.0


@dataclass(frozen=True, kw_only=True)
class _Killed:
    left: int
    """Processes that the worker had started."""
    gone_after_s: float
    """None of them was there any more."""


def kill_workers(place: Place, times: int, lots: Random, *, longest_s: float | None = None) -> Finding:
    """Each is killed at any moment up to the longest; None: some time after it has done a first job."""
    database, accepted = place.open(), keep_plans(place, 1)
    most_s = longest_s or _OF_A_START * _first_job_takes_s(place, database, accepted)
    with ThreadPoolExecutor(_WORKERS) as both:
        accepted += [_ask(database, number) for number in range(times)]
        rounds = [Random(lots.random()) for _ in range(times)]
        killed = list(both.map(lambda own_lots: _work_and_kill(place, own_lots, most_s), rounds))
    drain(place.settings())
    ended = count_outcomes(database)
    wrong = wrong_in(database, accepted)
    database.close()
    slowest_s = max((each.gone_after_s for each in killed), default=0.0)
    late = sum(each.gone_after_s > _SOON_S for each in killed)
    seen = (
        f"{len(accepted)} jobs, {ended['abandoned'] + ended['lost']} attempts cut off; "
        f"{sum(each.left > 0 for each in killed)} kills left processes, the last gone after {slowest_s:.1f} s, "
        f"{late} later than {_SOON_S:g} s"
    )
    return Finding(times=times, seen=seen, wrong=wrong)


def _ask(database: Database, number: int) -> str:
    with database.write() as connection:
        match number % 4:
            case 0:
                return ask_plan(connection, number, tiny_case(number))
            case 1:
                return ask_plan(connection, number, UNPLANNABLE)
            case _:
                return ask_looking_up(connection, number)


def _first_job_takes_s(place: Place, database: Database, accepted: list[str]) -> float:
    with database.write() as connection:
        accepted.append(ask_looking_up(connection, 10**6))
    before, began_s = count_outcomes(database)["succeeded"], time.monotonic()
    worker = _started(place)
    wait_until(lambda: count_outcomes(database)["succeeded"] > before, "the first job")
    took_s = time.monotonic() - began_s
    worker.kill()
    worker.wait()
    return took_s


def _work_and_kill(place: Place, lots: Random, longest_s: float) -> _Killed:
    worker = _started(place)
    ends_s = time.monotonic() + lots.uniform(0.0, longest_s)
    if lots.random() < _ATTEMPT_ALONE:
        time.sleep(max(0.0, ends_s - time.monotonic()) / 2)
        for each in below(worker.pid):
            with suppress(ProcessLookupError):
                os.kill(each, signal.SIGKILL)
    time.sleep(max(0.0, ends_s - time.monotonic()))
    left = below(worker.pid)
    worker.kill()
    killed_s = time.monotonic()
    worker.wait()
    wait_until(lambda: all(map(is_gone, left)), "the processes of a killed worker to be gone", every_s=0.005)
    return _Killed(left=len(left), gone_after_s=time.monotonic() - killed_s)


def _started(place: Place) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [*COMMAND, "work"],
        env=place.environment(log_level="error"),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
