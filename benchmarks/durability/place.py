"""Where a check works: a store without rows, on either engine, and a folder."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import uuid4

from sqlalchemy import NullPool, create_engine, make_url

import api
from api.settings import Settings
from api.store.database import Database
from api.store.migrate import migrate

SERVER_URL = "TAPCALL_TEST_DATABASE_URL"
"""Variable of the environment that names a PostgreSQL server to make databases on."""
COMMAND = (sys.executable, "-m", "api.cli.main")
_QUICK = {"lease_s": 1.0, "heartbeat_s": 0.2, "poll_s": 0.05}
_PATIENT = {"most_attempts": 100_000, "most_abandoned": 100_000}
"""Harm is done far more often here than a job must bear; where that is looked at, a check sets its own."""


@dataclass(frozen=True, kw_only=True)
class Place:
    engine: str
    folder: Path
    database_url: str | None
    """None: the embedded store in the folder."""

    def settings(self, **values: Any) -> Settings:
        """Quick to notice, and patient, unless said otherwise."""
        return Settings(data=self.folder, database_url=self.database_url, **{**_QUICK, **_PATIENT, **values})

    def open(self, *, busy_timeout_s: float = 10.0) -> Database:
        return self.settings(busy_timeout_s=busy_timeout_s).open_store()

    def environment(self, **values: Any) -> dict[str, str]:
        """For `tapcall` in a process of its own, with the same settings."""
        path = os.pathsep.join(filter(None, [str(Path(api.__file__).parents[1]), os.environ.get("PYTHONPATH")]))
        said = {**_QUICK, **_PATIENT, "data": self.folder, "database_url": self.database_url, **values}
        set_here = {f"TAPCALL_{name.upper()}": str(value) for name, value in said.items() if value is not None}
        return {**os.environ, "PYTHONPATH": path, **set_here}


def engines() -> tuple[str, ...]:
    return ("SQLite", "PostgreSQL") if SERVER_URL in os.environ else ("SQLite",)


@contextmanager
def new_place(engine: str, folder: Path, *, server_url: str | None = None) -> Iterator[Place]:
    """A migrated store without rows; a database on the server is dropped at the end."""
    folder.mkdir(parents=True)
    if engine == "SQLite":
        yield _migrated(Place(engine=engine, folder=folder, database_url=None))
        return
    url, name = make_url(server_url or os.environ[SERVER_URL]), f"tapcall_{uuid4().hex}"
    _run(url.render_as_string(hide_password=False), f"CREATE DATABASE {name}")
    try:
        own_url = url.set(database=name).render_as_string(hide_password=False)
        yield _migrated(Place(engine=engine, folder=folder, database_url=own_url))
    finally:
        _run(url.render_as_string(hide_password=False), f"DROP DATABASE {name} WITH (FORCE)")


def _migrated(place: Place) -> Place:
    database = place.open()
    migrate(database)
    database.close()
    return place


def _run(url: str, statement: str) -> None:
    engine = create_engine(url, isolation_level="AUTOCOMMIT", poolclass=NullPool)
    with engine.connect() as connection:
        connection.exec_driver_sql(statement)
