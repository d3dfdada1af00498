"""Layouts as they were sent in, one row for each content."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, insert, select

from api.store.instants import now
from api.store.tables import layouts


@dataclass(frozen=True, kw_only=True)
class NewLayout:
    digest: str
    """SHA-256 of the case in canonical form."""
    name: str
    source: bytes
    """The case as it was sent in; reading it again gives the same digest."""


def keep_layout(connection: Connection, layout: NewLayout) -> None:
    """Insert the layout unless its content is already there."""
    if find_layout(connection, layout.digest) is None:
        connection.execute(
            insert(layouts).values(
                digest=layout.digest, name=layout.name, source=layout.source, created_at=now()
            )
        )


def find_layout(connection: Connection, digest: str) -> Row[Any] | None:
    return connection.execute(select(layouts).where(layouts.c.digest == digest)).one_or_none()
