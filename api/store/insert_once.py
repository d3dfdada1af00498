"""Insert a row unless one like it is there already, in one statement, so that no two writers collide."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Table
from sqlalchemy.dialects import postgresql, sqlite


def insert_once(connection: Connection, table: Table, **values: Any) -> bool:
    """False where a unique rule of the table speaks against the row; then nothing is changed."""
    make = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    statement = make(table).values(**values).on_conflict_do_nothing()
    # Asked for, as psycopg forgets the number of rows once its cursor is closed.
    return connection.execute(statement, execution_options={"preserve_rowcount": True}).rowcount == 1
