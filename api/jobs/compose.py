"""From what a client asks to the whole case that is planned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row

from api.readers.pool import ReaderPool
from api.readers.work import case_of
from api.store.cases import NewCase, Origin
from api.store.database import Database
from api.store.documents import DocumentKind, find_revision
from optimiser.errors import Fault, InputError


@dataclass(frozen=True, kw_only=True)
class Ingredients:
    """Which revisions make up the case, and what is changed in it."""

    layout_id: str
    layout_revision: int | None
    """None: the newest."""
    resin_id: str | None
    """None: the resin that stands in the layout."""
    resin_revision: int | None
    batch: str | None
    changes: Mapping[str, Any]
    """RFC 7396 merge patch over the case."""


def composed(store: Database, readers: ReaderPool, asked: Ingredients) -> tuple[NewCase, Origin]:
    """The case and what it was made from; InputError where there is no such revision or the case cannot be used."""
    with store.read() as connection:
        layout = kept_revision(connection, DocumentKind.LAYOUT, asked.layout_id, asked.layout_revision)
        resin = None
        if asked.resin_id is not None:
            resin = kept_revision(connection, DocumentKind.RESIN, asked.resin_id, asked.resin_revision)
    case = readers.run(
        case_of,
        bytes(layout.source),
        resin=None if resin is None else bytes(resin.source),
        batch=asked.batch,
        changes=asked.changes,
    )
    origin = Origin(
        layout_id=asked.layout_id,
        layout_revision=layout.revision,
        resin_id=asked.resin_id,
        resin_revision=None if resin is None else resin.revision,
        batch=asked.batch,
    )
    return case, origin


def kept_revision(connection: Connection, kind: DocumentKind, document_id: str, revision: int | None) -> Row[Any]:
    """The revision, or the newest; InputError that names the field where the store has none."""
    row = find_revision(connection, kind, document_id, revision)
    if row is None and revision is not None and find_revision(connection, kind, document_id) is not None:
        fault = Fault(
            path=f"/{kind}_revision",
            found=str(revision),
            expected=f"a revision of this {kind}",
            remedy=f"GET /v1/{kind}s/{document_id}/revisions lists them",
        )
        raise InputError([fault])
    if row is None:
        wanted = document_id if revision is None else f"{document_id}, revision {revision}"
        fault = Fault(
            path=f"/{kind}_id",
            found=wanted,
            expected=f"a {kind} that the store holds",
            remedy=f"GET /v1/{kind}s lists them",
        )
        raise InputError([fault])
    return row
