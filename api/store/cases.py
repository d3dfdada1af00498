"""Whole cases: what a plan was computed from, one row for each content, and all that it was asked from."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from hashlib import sha256
from typing import Any

from sqlalchemy import Connection, FromClause, Row, Select, func, select

from api.store.insert_once import insert_once
from api.store.instants import now
from api.store.tables import case_origins, cases


@dataclass(frozen=True, kw_only=True)
class Origin:
    """The revisions that a case was composed from. Equal contents are one case, whatever they came from."""

    layout_id: str
    layout_revision: int
    resin_id: str | None = None
    """None: the resin that stands in the layout."""
    resin_revision: int | None = None
    batch: str | None = None

    @property
    def digest(self) -> str:
        said = [str(value or "") for value in asdict(self).values()]
        return sha256("\0".join(said).encode()).hexdigest()


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


def keep_case(connection: Connection, case: NewCase, first: Origin, *more: Origin) -> None:
    """Insert the case unless its content is already there, and those origins that are new to it.

    The very first stands in the case itself too.
    """
    insert_once(
        connection,
        cases,
        digest=case.digest,
        name=case.name,
        source=case.source,
        part_digest=case.part_digest,
        resin_digest=case.resin_digest,
        settings_digest=case.settings_digest,
        layout_id=first.layout_id,
        layout_revision=first.layout_revision,
        resin_id=first.resin_id,
        resin_revision=first.resin_revision,
        batch=first.batch,
        created_at=now(),
    )
    for origin in (first, *more):
        insert_once(
            connection,
            case_origins,
            case_digest=case.digest,
            origin=origin.digest,
            created_at=now(),
            **asdict(origin),
        )


def find_case(connection: Connection, digest: str) -> Row[Any] | None:
    return connection.execute(select(cases).where(cases.c.digest == digest)).one_or_none()


def origins_of(connection: Connection, digest: str) -> list[Origin]:
    """All that the case was asked from, first to last."""
    query = select(case_origins).where(case_origins.c.case_digest == digest)
    rows = connection.execute(query.order_by(case_origins.c.created_at, case_origins.c.origin))
    return [
        Origin(
            layout_id=row.layout_id,
            layout_revision=row.layout_revision,
            resin_id=row.resin_id,
            resin_revision=row.resin_revision,
            batch=row.batch,
        )
        for row in rows
    ]


def asked_from(layout_id: str) -> Select[tuple[str]]:
    """Digests of the cases that were asked from this layout."""
    return select(case_origins.c.case_digest).where(case_origins.c.layout_id == layout_id)


def shown_origin(layout_id: str | None) -> FromClause:
    """By `case_digest` the origin that a case is listed with.

    Without a layout the first; with one, only cases that were asked from it, with the newest of these origins.
    """
    if layout_id is None:
        columns = (cases.c.layout_id, cases.c.layout_revision, cases.c.resin_id, cases.c.resin_revision)
        return select(cases.c.digest.label("case_digest"), *columns).subquery()
    newest_first = (case_origins.c.created_at.desc(), case_origins.c.origin)
    place = func.row_number().over(partition_by=case_origins.c.case_digest, order_by=newest_first)
    asked = select(case_origins, place.label("place")).where(case_origins.c.layout_id == layout_id).subquery()
    return select(asked).where(asked.c.place == 1).subquery()
