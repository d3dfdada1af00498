"""SQLite as the store needs it: durable at every commit, and a writer that never has to give up midway."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event


class TornReferencesError(Exception):
    """A migration would have left rows that point to nothing; nothing of it was kept."""


def make(url: URL, busy_timeout_s: float) -> Engine:
    """Write-ahead log, synced at every commit, foreign keys, and BEGIN IMMEDIATE before a write.

    A deferred BEGIN that turns into a write later gets SQLITE_BUSY at once, whatever the busy timeout.
    """
    engine = create_engine(url, pool_size=8, max_overflow=40)

    @event.listens_for(engine, "connect")
    def _on_connect(raw: Any, _record: Any) -> None:
        raw.isolation_level = None  # the driver must not open transactions of its own
        for pragma in (
            f"busy_timeout={int(busy_timeout_s * 1000)}",
            "journal_mode=WAL",
            "synchronous=FULL",
            "foreign_keys=ON",
        ):
            raw.execute(f"PRAGMA {pragma}").close()

    @event.listens_for(engine, "begin")
    def _on_begin(connection: Connection) -> None:
        options = connection.get_execution_options()
        if not options.get("glances", False):
            connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get("writes", False) else "BEGIN")

    return engine


@contextmanager
def rebuilding(writing: Engine) -> Iterator[Connection]:
    """A write without foreign keys, which are checked once before it commits: a table is replaced by its copy."""
    with writing.connect() as connection:
        _set_foreign_keys(connection, on=False)
        try:
            with connection.begin():
                yield connection
                if torn := connection.exec_driver_sql("PRAGMA foreign_key_check").all():
                    raise TornReferencesError(f"{len(torn)} references without a row, the first in {torn[0][0]}")
        finally:
            _set_foreign_keys(connection, on=True)


def _set_foreign_keys(connection: Connection, *, on: bool) -> None:
    """SQLite takes this only outside a transaction, so it goes past the one that SQLAlchemy would open."""
    raw: Any = connection.connection.dbapi_connection
    raw.execute(f"PRAGMA foreign_keys={'ON' if on else 'OFF'}").close()
