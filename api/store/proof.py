"""That two stores hold the same: a digest over every row of every table, whatever engine keeps them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any

from sqlalchemy import ColumnElement, Connection, MetaData, String, Table, collate, select

from api.store.backup_error import BackupError

_ROWS_AT_A_TIME = 200


@dataclass(frozen=True, kw_only=True)
class Proof:
    rows: dict[str, int]
    """How many rows each table has."""
    digest: str
    """SHA-256 over the tables by name, their rows by primary key, their columns by name."""

    def __str__(self) -> str:
        return f"{sum(self.rows.values())} rows in {len(self.rows)} tables, proof {self.digest}"


def check_proof(found: Proof, wanted: str | None) -> None:
    """BackupError with both digests where another was asked for; None asks for none."""
    if wanted is not None and wanted != found.digest:
        raise BackupError(
            f"the proof is another: the file has {found.digest}, asked for was {wanted}. Nothing was restored: it is "
            "not the backup that this proof was printed for"
        )


def prove(connection: Connection) -> Proof:
    """What this transaction sees. Rows are streamed, so the size of the store does not matter.

    The tables are those that are there, not those of this version of the program: a store can be proven before it is
    migrated.
    """
    found = MetaData()
    found.reflect(connection, resolve_fks=False)
    counts, whole = {}, sha256()
    for table in sorted(found.tables.values(), key=lambda table: table.name):
        counts[table.name], digest = _prove_table(connection, table)
        whole.update(_sized(table.name.encode()) + digest)
    return Proof(rows=counts, digest=whole.hexdigest())


def _prove_table(connection: Connection, table: Table) -> tuple[int, bytes]:
    columns = sorted(table.columns, key=lambda column: column.name)
    order = [_bytewise(connection, column) for column in table.primary_key] or columns
    streaming = connection.execution_options(yield_per=_ROWS_AT_A_TIME)
    count, digest = 0, sha256(b"".join(_sized(column.name.encode()) for column in columns))
    with streaming.execute(select(*columns).order_by(*order)) as rows:
        for row in rows:
            count += 1
            digest.update(b"".join(_sized(_as_bytes(value)) for value in row))
    return count, digest.digest()


def _bytewise(connection: Connection, column: ColumnElement[Any]) -> ColumnElement[Any]:
    """SQLite compares text byte by byte; a PostgreSQL database by the language it was made with."""
    if connection.dialect.name == "postgresql" and isinstance(column.type, String):
        return collate(column, "C")
    return column


def _sized(part: bytes) -> bytes:
    """With its length before it, so that no two rows run together to the same bytes."""
    return len(part).to_bytes(8) + part


def _as_bytes(value: object) -> bytes:
    """Kind and value, the same for the same value in either engine."""
    match value:
        case None:
            return b"null"
        case str():
            return b"text " + value.encode()
        case bytes():
            return b"bytes " + value
        case int():
            return b"integer " + str(value).encode()
        case float():
            return b"float " + value.hex().encode()
        case datetime():
            at = value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)
            return b"instant " + at.isoformat(timespec="microseconds").encode()
    raise TypeError(f"a {type(value).__name__} has no place in the store")
