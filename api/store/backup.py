"""A copy of the whole store in one file, taken while others write, and put back where there is nothing yet."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import URL, inspect

from api.store import backup_postgresql, backup_sqlite
from api.store.backup_error import BackupError
from api.store.database import Database
from api.store.proof import Proof
from api.store.whole_file import whole_file

_MARKS = {b"SQLite format 3\0": "sqlite", b"PGDMP": "postgresql"}
_NAMES = {"sqlite": "the embedded store", "postgresql": "a PostgreSQL store"}


def back_up(store: Database, target: Path) -> Proof:
    """Write the store as it is at one instant to `target`; what stood there is replaced once the copy is whole.

    Returns the proof of what was copied. Raises BackupError, or OperationalError where the store does not answer.
    """
    if store.url.get_backend_name() == "sqlite":
        _check_files(store.url, target)
    try:
        with whole_file(target, replace=True) as part, store.read() as snapshot:
            if not inspect(snapshot).has_table("alembic_version"):
                raise BackupError("there is no store yet where the settings point")
            if snapshot.dialect.name == "postgresql":
                return backup_postgresql.take(snapshot, part)
            return backup_sqlite.take(snapshot, part)
    except OSError as error:
        raise BackupError(f"no backup can be written to {target}: {error.strerror}") from error


def restore(store: Database, source: Path, *, wanted: str | None = None) -> Proof:
    """Fill an empty place with a backup, then bring its tables up to this version of the program.

    Returns the proof of what was put back, as it was before its tables were changed; where that is not the digest
    `wanted`, nothing is left of it. Raises BackupError,
    StoreTooNewError, or OperationalError where the store does not answer.
    """
    kind, place = _kind_of(source), store.url.get_backend_name()
    if kind != place:
        raise BackupError(f"{source} is a backup of {_NAMES[kind]}, and the settings point to {_NAMES[place]}")
    try:
        if place == "postgresql":
            return backup_postgresql.put_back(store, source, wanted)
        return backup_sqlite.put_back(store.url, source, wanted)
    except OSError as error:
        raise BackupError(f"{source} cannot be restored: {error.strerror}") from error


def _check_files(url: URL, target: Path) -> None:
    own = backup_sqlite.files_of(url)
    if not own[0].exists():
        raise BackupError(f"there is no store yet: {own[0]} does not exist")
    if target.resolve() in [path.resolve() for path in own]:
        raise BackupError(f"{target} belongs to the store itself: name another file")


def _kind_of(source: Path) -> str:
    try:
        with source.open("rb") as file:
            start = file.read(max(map(len, _MARKS)))
    except OSError as error:
        raise BackupError(f"{source} cannot be read: {error.strerror}") from error
    kind = next((kind for mark, kind in _MARKS.items() if start.startswith(mark)), None)
    if kind is None:
        raise BackupError(f"{source} is not a backup of tapcall")
    return kind
