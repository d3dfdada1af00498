"""kill -9 while a store of the first schema is brought up to date: it is as it was, and the next start goes through."""

from __future__ import annotations

import sqlite3
import time
from contextlib import closing
from pathlib import Path
from random import Random

from sqlalchemy import inspect

from api.settings import Settings
from api.store.database import Database
from api.store.migrate import migrate
from api.store.proof import prove
from benchmarks.durability.finding import Finding
from benchmarks.durability.forks import fork, kill
from benchmarks.durability.place import Place

_FIRST_SCHEMA = Path(__file__).parents[2] / "tests" / "api" / "stores" / "0001.sql"
_BORDERS = (0.0, 1.1)
"""Of the kills, as shares of what a migration takes."""


def kill_migrations(place: Place, times: int, lots: Random) -> Finding:
    expected, takes_s = _undisturbed(place)
    wrong, before_the_end = list[str](), 0
    for number in range(times):
        settings = _old_store(place, f"old-{number}")
        migrating = fork(bring_up_to_date, settings)
        time.sleep(lots.uniform(*_BORDERS) * takes_s)
        kill(migrating)
        database = settings.open_store()
        with database.read() as connection:
            is_new = inspect(connection).has_table("revalidations")
        before_the_end += not is_new
        migrate(database)
        found = _proof(database)
        database.close()
        if found != expected:
            wrong.append(f"after kill {number} the store is another: {found}")
    seen = f"{before_the_end} before the end, and nothing of it was kept; all went through then, with every row"
    return Finding(times=times, seen=seen, wrong=tuple(wrong))


def bring_up_to_date(settings: Settings) -> None:
    database = settings.open_store()
    migrate(database)
    database.close()


def _undisturbed(place: Place) -> tuple[str, float]:
    """What a store is like that nobody disturbed, and how long that took."""
    fork(bring_up_to_date, _old_store(place, "first")).join()  # to start the server of forks is not part of it
    settings, began_s = _old_store(place, "undisturbed"), time.monotonic()
    fork(bring_up_to_date, settings).join()
    takes_s = time.monotonic() - began_s
    database = settings.open_store()
    found = _proof(database)
    database.close()
    return found, takes_s


def _old_store(place: Place, name: str) -> Settings:
    folder = place.folder / name
    folder.mkdir()
    with closing(sqlite3.connect(folder / "tapcall.sqlite3")) as old:
        old.executescript(_FIRST_SCHEMA.read_text())
    return Settings(data=folder)


def _proof(database: Database) -> str:
    with database.read() as connection:
        sound = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
        return f"{prove(connection)}, {sound}"
