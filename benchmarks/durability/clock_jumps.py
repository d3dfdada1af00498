"""The clock of the wall jumps by an hour or a day, either way, while holders work and are killed."""

from __future__ import annotations

import subprocess
import time
from pathlib import Path
from random import Random

from api.settings import Settings
from api.store.database import Database
from benchmarks.durability.finding import Finding
from benchmarks.durability.forks import fork, kill
from benchmarks.durability.holder import hold, is_empty
from benchmarks.durability.holders import sweeping
from benchmarks.durability.looked_at_plans import keep_plans
from benchmarks.durability.place import COMMAND, Place
from benchmarks.durability.quick_jobs import MADE_UP, ask_looking_up, ask_plan
from benchmarks.durability.sound import count_outcomes, wrong_in
from benchmarks.durability.turned_clock import DAY_S, HOUR_S, faked, turn, turned
from benchmarks.durability.waiting import wait_until

_JUMPS_S = (0, HOUR_S, -HOUR_S, DAY_S, -DAY_S)
_HOLDERS = 3
_JOBS_A_JUMP = 10
_PAUSE_S = 0.05


def jump_with_holders(place: Place, times: int, lots: Random) -> Finding:
    """A jump, then a kill that leaves a lease of the clock before the next jump."""
    settings, clock = place.settings(), place.folder / "clock"
    turn(clock, 0)
    database, accepted = place.open(), list[str]()
    with turned(clock), sweeping(database, settings):
        held = [fork(hold_by_clock, settings, number, clock) for number in range(_HOLDERS)]
        for jump in range(times):
            with database.write() as connection:
                accepted += [ask_plan(connection, jump * _JOBS_A_JUMP + each, MADE_UP) for each in range(_JOBS_A_JUMP)]
            time.sleep(lots.expovariate(1 / _PAUSE_S))
            kill(held.pop(0))
            turn(clock, lots.choice(_JUMPS_S))
            held.append(fork(hold_by_clock, settings, jump, clock))
        wait_until(lambda: is_empty(database), "every lease to run out and every job to be done", every_s=0.1)
        for holder in held:
            kill(holder)
    return _found(database, accepted, times)


def jump_with_tapcall_work(place: Place, times: int, lots: Random) -> Finding:
    """The commands themselves, by libfaketime; one of two is killed at every jump."""
    clock, accepted = place.folder / "clock", keep_plans(place, 1)
    turn(clock, 0)
    database = place.open()
    workers = [_started(place, clock) for _ in range(2)]
    for jump in range(times):
        with database.write() as connection:
            accepted += [ask_looking_up(connection, 2 * jump + each) for each in range(2)]
        time.sleep(lots.uniform(0.0, 6.0))
        worker = workers.pop(0)
        worker.kill()
        worker.wait()
        turn(clock, lots.choice(_JUMPS_S))
        workers.append(_started(place, clock))
    wait_until(lambda: is_empty(database), "every lease to run out and every job to be done", longest_s=900.0)
    for worker in workers:
        worker.terminate()
        worker.wait()
    return _found(database, accepted, times)


def hold_by_clock(settings: Settings, seed: int, clock: Path) -> None:
    with turned(clock):
        hold(settings, seed)


def _found(database: Database, accepted: list[str], times: int) -> Finding:
    ended = count_outcomes(database)
    wrong = wrong_in(database, accepted)
    database.close()
    return Finding(times=times, seen=f"{len(accepted)} jobs, {ended['abandoned']} attempts taken back", wrong=wrong)


def _started(place: Place, clock: Path) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [*COMMAND, "work"],
        env=place.environment(log_level="error") | faked(clock),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
