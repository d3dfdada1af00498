"""Items of a run that end their process, fill its memory or never end: set aside, and all others are decided."""

from __future__ import annotations

import time
from collections.abc import Sequence
from random import Random
from typing import Any

from sqlalchemy import Row, select

from api.settings import Settings
from api.store.database import Database
from api.store.tables import plans, revalidation_items, revalidations
from benchmarks.durability.finding import Finding
from benchmarks.durability.holder import is_empty
from benchmarks.durability.looked_at_plans import keep_plans
from benchmarks.durability.made_up_plays import MadeUpPlays, number_of
from benchmarks.durability.place import Place
from benchmarks.durability.poison import POISONS
from benchmarks.durability.quick_jobs import ask_playing
from benchmarks.durability.sound import wrong_in
from benchmarks.durability.supervised import supervised
from benchmarks.durability.waiting import wait_until

_SOUND_ITEMS = 30
_MOST_ATTEMPTS = 3
_STARTS = 3.0
"""An attempt is given so many times what a run over one plan takes, and a little more."""
_REASONS = {"fill memory": "needed more than", "never end": f"broken off {_MOST_ATTEMPTS} times"}
"""Of the others the process ended, and the one that took its place."""


def poison_items(place: Place, times: int, lots: Random) -> Finding:
    """A run with so many items of each poison among sound ones; so that it ends, only one item never does."""
    return poison_with([*(name for name in POISONS if name != "never end")] * times + ["never end"], place, lots)


def poison_with(poisons: list[str], place: Place, lots: Random) -> Finding:
    number = _SOUND_ITEMS + len(poisons)
    chosen = dict(zip(lots.sample(range(number), len(poisons)), poisons, strict=True))
    plays = MadeUpPlays(noted_in=place.folder / "played", poisons=chosen)
    settings = place.settings(most_attempts=_MOST_ATTEMPTS, attempt_memory_mb=1_500, lease_s=30.0)
    accepted, database = keep_plans(place, 1), place.open()
    if "never end" in poisons:
        sound = MadeUpPlays(noted_in=place.folder / "played first")
        limit_s = 1.0 + _STARTS * _run_once(database, settings, sound, accepted)
        settings = settings.model_copy(update={"attempt_limit_s": limit_s})
    accepted += keep_plans(place, number - 1, first=1)
    _run_once(database, settings, plays, accepted)
    wrong = (*wrong_in(database, accepted), *_wrong_items(_items(database, accepted[-1]), plays))
    database.close()
    most = max(plays.counted().values(), default=0)
    seen = f"{number} items, {len(poisons)} of them poisoned; none was played more than {most} times"
    return Finding(times=len(poisons), seen=seen, wrong=tuple(wrong))


def _run_once(database: Database, settings: Settings, plays: MadeUpPlays, accepted: list[str]) -> float:
    """Ask for a run over all plans, and wait until it is done; the time that it took."""
    with database.write() as connection:
        accepted.append(ask_playing(connection))
    began_s = time.monotonic()
    with supervised(database, settings, plays.attempt):
        wait_until(lambda: is_empty(database), "the run to be done", longest_s=1800.0, every_s=0.1)
        return time.monotonic() - began_s


def _items(database: Database, job_id: str) -> Sequence[Row[Any]]:
    joined = plans.join(revalidation_items, revalidation_items.c.plan_id == plans.c.id)
    of_run = joined.join(revalidations, revalidations.c.id == revalidation_items.c.run_id)
    query = select(revalidation_items, plans.c.facts).select_from(of_run).where(revalidations.c.job_id == job_id)
    with database.read() as connection:
        return connection.execute(query).all()


def _wrong_items(items: Sequence[Row[Any]], plays: MadeUpPlays) -> list[str]:
    wrong = []
    for item in items:
        poison = plays.poisons.get(number_of(item.facts))
        expected = "answered" if poison is None else "set_aside"
        reason = "made up" if poison is None else _REASONS.get(poison, "ended over it")
        if item.state != expected or reason not in item.reason:
            wrong.append(f"{poison or 'a sound item'}: {item.state}, {item.reason}")
    return wrong
