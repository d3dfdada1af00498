"""The embedded store as one file, by SQLite's online backup."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, NullPool, create_engine

from api.store.backup_error import BackupError
from api.store.database import Database
from api.store.migrate import migrate
from api.store.proof import Proof, check_proof, prove
from api.store.whole_file import whole_file

_BUSY_TIMEOUT_S = 10.0


def take(snapshot: Connection, part: Path) -> Proof:
    """Copy what the transaction sees, in one step: in several, each commit of another would begin it anew."""
    raw: Any = snapshot.connection.dbapi_connection
    proof = prove(snapshot)
    with closing(sqlite3.connect(part)) as copy:
        raw.backup(copy)
        _check(copy)
    if _prove_file(part) != proof:
        raise BackupError("the copy differs from the store: is the disk sound?")
    return proof


def put_back(url: URL, source: Path, wanted: str | None) -> Proof:
    """Make the store's file out of the backup; it appears when it is whole, checked and migrated."""
    target = Path(str(url.database))
    if standing := next((path for path in files_of(url) if path.exists()), None):
        raise BackupError(f"{standing} is there already: restore into an empty data folder")
    target.parent.mkdir(parents=True, exist_ok=True)
    try:
        with whole_file(target, replace=False) as part:
            _copy(source, part)
            proof = _prove_file(part)
            check_proof(proof, wanted)
            _migrate_file(part)
    except FileExistsError as error:
        raise BackupError(f"{target} has appeared meanwhile: restore before the service is started") from error
    return proof


def files_of(url: URL) -> list[Path]:
    """The store's file and those that SQLite keeps beside it."""
    return [Path(f"{url.database}{ending}") for ending in ("", "-wal", "-shm", "-journal")]


def _copy(source: Path, part: Path) -> None:
    try:
        with (
            closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)) as original,
            closing(sqlite3.connect(part)) as copy,
        ):
            original.backup(copy)
            _check(copy)
    except sqlite3.DatabaseError as error:
        raise BackupError(f"{source} cannot be read as a store: {error}") from error


def _check(copy: sqlite3.Connection) -> None:
    """Sound, complete, and a file of its own without a log beside it."""
    copy.execute("PRAGMA journal_mode=DELETE").close()
    found = [row[0] for row in copy.execute("PRAGMA integrity_check")]
    torn = copy.execute("PRAGMA foreign_key_check").fetchall()
    if found != ["ok"] or torn:
        raise BackupError(f"the copy is not sound: {found[0] if found != ['ok'] else torn[0]}")
    if copy.execute("SELECT 1 FROM sqlite_schema WHERE name = 'alembic_version'").fetchone() is None:
        raise BackupError("this is a database, but not a store of tapcall")


def _prove_file(path: Path) -> Proof:
    engine = create_engine(URL.create("sqlite", database=str(path)), poolclass=NullPool)
    with engine.connect() as connection:
        return prove(connection)


def _migrate_file(path: Path) -> None:
    database = Database(f"sqlite:///{path}", busy_timeout_s=_BUSY_TIMEOUT_S)
    try:
        migrate(database)
    finally:
        database.close()
