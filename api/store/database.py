"""The one place that opens transactions."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, create_engine, event


class Database:
    """A store reached by its SQLAlchemy URL; safe to share between threads, never between processes."""

    def __init__(self, url: str, *, busy_timeout_s: float) -> None:
        self._engine = create_engine(url, pool_size=8, max_overflow=40)
        if self._engine.dialect.name == "sqlite":
            _make_sqlite_durable(self._engine, busy_timeout_s)

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that sees one consistent state and writes nothing."""
        with self._engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """A transaction that may write from its first statement on; commits unless an error leaves it."""
        with self._engine.connect() as connection:
            connection = connection.execution_options(writes=True)
            with connection.begin():
                yield connection

    def close(self) -> None:
        self._engine.dispose()


def _make_sqlite_durable(engine: Any, busy_timeout_s: float) -> None:
    """Write-ahead log, synced at every commit, foreign keys, and BEGIN IMMEDIATE before a write.

    A deferred BEGIN that turns into a write later gets SQLITE_BUSY at once, whatever the busy timeout.
    """

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
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
