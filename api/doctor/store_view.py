"""The store as it stands, through a connection that cannot change it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection, NullPool, create_engine, make_url

from api.settings import Settings
from api.store.database import Database

_LONGEST_WAIT_S = 5.0


class NoStoreYetError(Exception):
    """There is no store where the settings point."""


def embedded_file(settings: Settings) -> Path | None:
    """The file of the embedded store; None where the store is a server."""
    url = make_url(settings.store_url)
    return Path(str(url.database)) if url.get_backend_name() == "sqlite" else None


@contextmanager
def store_view(settings: Settings) -> Iterator[Connection]:
    """One read-only transaction. NoStoreYetError, or what SQLAlchemy raises where the store does not answer."""
    file = embedded_file(settings)
    if file is not None:
        with _view_of_file(file) as connection:
            yield connection
        return
    store = Database(settings.store_url, busy_timeout_s=min(settings.busy_timeout_s, _LONGEST_WAIT_S))
    try:
        with store.read() as connection:
            yield connection
    finally:
        store.close()


@contextmanager
def _view_of_file(file: Path) -> Iterator[Connection]:
    if not file.is_file():
        raise NoStoreYetError(f"there is no {file}")
    # A reader of a store that nobody has open would leave a log and a shared memory of its own behind, perhaps as
    # another user than the service; where there is no log, nobody has it open, and it can be read as it lies there.
    open_somewhere = Path(f"{file}-wal").exists()
    address = f"{file.resolve().as_uri()}?mode=ro{'' if open_somewhere else '&immutable=1'}"
    engine = create_engine(
        "sqlite://",
        creator=lambda: sqlite3.connect(address, uri=True, timeout=_LONGEST_WAIT_S),
        poolclass=NullPool,
    )
    with engine.begin() as connection:
        connection.exec_driver_sql("PRAGMA schema_version")  # reads the head of the file: is it a store at all?
        yield connection
