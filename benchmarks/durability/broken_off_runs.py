"""kill -9 of parts of a worker within a run over many plans: it goes on, and repeats nothing that was settled."""

from __future__ import annotations

import logging
import os
import signal
import threading
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from random import Random

from sqlalchemy import select

from api.settings import Settings
from api.store.database import Database
from api.store.tables import plans, revalidation_items
from benchmarks.durability.finding import Finding
from benchmarks.durability.forks import fork, kill, pid_of
from benchmarks.durability.holder import is_empty
from benchmarks.durability.holders import sweeping
from benchmarks.durability.looked_at_plans import keep_plans
from benchmarks.durability.made_up_plays import MadeUpPlays, number_of
from benchmarks.durability.place import Place
from benchmarks.durability.process_tree import forked_for
from benchmarks.durability.quick_jobs import ask_playing
from benchmarks.durability.run_here import let_leases_run_out, run_here
from benchmarks.durability.sound import count_outcomes, wrong_in
from benchmarks.durability.supervised import supervised
from benchmarks.durability.waiting import wait_until

_TAKES_S = 0.08
"""An item."""
_VICTIMS = ("worker", "attempt", "process")
"""All; the process that works on the run; one of those that it has the items played by."""


def break_off_runs(place: Place, times: int, lots: Random) -> Finding:
    return _break_off(place, _in_any_order(lots, times), lots, supervise, items_a_kill=30)


def break_off_forked_runs(place: Place, times: int, lots: Random) -> Finding:
    """All of the work in one process, so that it begins in a moment."""
    return _break_off(place, ["worker"] * times, lots, run_here, items_a_kill=10)


def _break_off(
    place: Place, victims: list[str], lots: Random, work: Callable[..., None], *, items_a_kill: int
) -> Finding:
    """A kill comes at most half of its items' time after the first that is settled since the one before."""
    number, longest_s = items_a_kill * (len(victims) + 1), items_a_kill * _TAKES_S / 2
    plays = MadeUpPlays(noted_in=place.folder / "played", takes_s=_TAKES_S)
    accepted, database, settings = keep_plans(place, number), place.open(), place.settings()
    with database.write() as connection:
        accepted.append(ask_playing(connection))
    with sweeping(database, settings):
        worker, played_before = fork(work, settings, plays), dict[int, int]()
        for victim in victims:
            _wait_for_more(database, len(played_before))
            time.sleep(lots.uniform(0.0, longest_s))
            if victim == "worker":
                kill(worker)
                let_leases_run_out(database)
                worker = fork(work, settings, plays)
            else:
                _kill_below(pid_of(worker), victim, lots)
            settled, played = _settled(database), plays.counted()
            played_before |= {item: played[item] for item in settled - played_before.keys()}
        wait_until(lambda: is_empty(database), "the run to be done", longest_s=1800.0, every_s=0.1)
        kill(worker)
    wrong = [*wrong_in(database, accepted), *_played_again(played_before, plays.counted())]
    ended = count_outcomes(database)
    database.close()
    again = sum(count > 1 for count in plays.counted().values())
    seen = (
        f"{number} items in {ended['abandoned'] + ended['lost'] + 1} attempts; {len(played_before)} were settled "
        f"before a kill and not played again, {again} were under way and were"
    )
    return Finding(times=len(victims), seen=seen, wrong=tuple(wrong))


def supervise(settings: Settings, plays: MadeUpPlays) -> None:
    """A worker whose items are made up, until it is killed."""
    logging.disable()
    with supervised(settings.open_store(), settings, plays.attempt):
        threading.Event().wait()


def _wait_for_more(database: Database, number: int) -> None:
    wait_until(lambda: len(_settled(database)) > number or is_empty(database), "items to be settled")


def _in_any_order(lots: Random, times: int) -> list[str]:
    victims = [_VICTIMS[number % len(_VICTIMS)] for number in range(times)]
    lots.shuffle(victims)
    return victims


def _settled(database: Database) -> set[int]:
    query = select(plans.c.facts).join(revalidation_items, revalidation_items.c.plan_id == plans.c.id)
    with database.read() as connection:
        found = connection.execute(query.where(revalidation_items.c.state != "open")).scalars()
        return {number_of(facts) for facts in found}


def _kill_below(worker: int, victim: str, lots: Random) -> None:
    attempts = forked_for(worker)
    found = attempts if victim == "attempt" else [each for attempt in attempts for each in forked_for(attempt)]
    if found:
        with suppress(ProcessLookupError):
            os.kill(lots.choice(found), signal.SIGKILL)


def _played_again(before: dict[int, int], after: Counter[int]) -> list[str]:
    again = [item for item, count in before.items() if after[item] != count]
    return [f"{len(again)} items were settled and played again"] if again else []
