"""Whole cases: what a plan was computed from, one row for each content."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, select

from api.store.insert_once import insert_once
from api.store.instants import now
from api.store.tables import cases


@dataclass(frozen=True, kw_only=True)
class Origin:
    """The revisions that a case was composed from."""

    layout_id: str
    layout_revision: int
    resin_id: str | None = None
    """None: the resin that stands in the layout."""
    resin_revision: int | None = None
    batch: str | None = None


@dataclass(frozen=True, kw_only=True)
class NewCase:
    digest: str
    """SHA-256 of the complete case and of what in it was assumed."""
    name: str
    source: bytes
    """The whole case; reading it again gives the same digest."""
    part_digest: str
    resin_digest: str
    settings_digest: str


def keep_case(connection: Connection, case: NewCase, origin: Origin) -> None:
    """Insert the case unless its content is already there; the first origin stands."""
    insert_once(
        connection,
        cases,
        digest=case.digest,
        name=case.name,
        source=case.source,
        part_digest=case.part_digest,
        resin_digest=case.resin_digest,
        settings_digest=case.settings_digest,
        layout_id=origin.layout_id,
        layout_revision=origin.layout_revision,
        resin_id=origin.resin_id,
        resin_revision=origin.resin_revision,
        batch=origin.batch,
        created_at=now(),
    )


def find_case(connection: Connection, digest: str) -> Row[Any] | None:
    return connection.execute(select(cases).where(cases.c.digest == digest)).one_or_none()
