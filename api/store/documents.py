"""Layouts and resins: what was sent in, every revision of it, kept for good."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, Row, Select, bindparam, insert, select, update

from api.store.instants import now
from api.store.pages import Page, read_page
from api.store.tables import documents, revisions


class DocumentKind(StrEnum):
    LAYOUT = "layout"
    """A case document: part, laminate, lines, and the resin and settings it was drawn up for."""
    RESIN = "resin"
    """A data sheet with batches and their tests."""


@dataclass(frozen=True, kw_only=True)
class NewRevision:
    kind: DocumentKind
    name: str
    digest: str
    """SHA-256 of what the document says, whatever its layout and order of keys."""
    source: bytes
    """As it was sent in; reading it again gives the same digest."""


class RevisionConflictError(Exception):
    """Somebody else has written a revision meanwhile."""


def add_document(connection: Connection, new: NewRevision, *, by: str | None) -> Row[Any]:
    """The document with this content: the one already there, or a new one with revision 1."""
    found = connection.execute(_SAYING, {"of_kind": new.kind, "of_digest": new.digest}).all()
    if found:
        return _found(connection, new.kind, min(found).id)
    document_id, at = f"{new.kind}_{uuid4().hex}", now()
    row = {
        "id": document_id,
        "kind": new.kind,
        "name": new.name,
        "revision": 1,
        "digest": new.digest,
        "created_at": at,
        "updated_at": at,
    }
    connection.execute(_ADD, row)
    _keep(connection, document_id, 1, new, by=by)
    return _found(connection, new.kind, document_id)


def revise(
    connection: Connection, document_id: str, new: NewRevision, *, expected: int | None, by: str | None
) -> Row[Any] | None:
    """The document with `new` as its newest revision; None where there is no such document.

    Content that the newest revision has already makes no revision. `expected` is the revision that the caller saw;
    RevisionConflictError where it is not the newest any more; None: whatever it is.
    """
    current = find_document(connection, new.kind, document_id)
    if current is None:
        return None
    if expected is not None and current.revision != expected:
        raise RevisionConflictError(f"revision {current.revision} is the newest, not {expected}")
    if current.digest == new.digest:
        return current
    revision = current.revision + 1
    _keep(connection, document_id, revision, new, by=by)
    connection.execute(
        update(documents)
        .where(documents.c.id == document_id)
        .values(revision=revision, digest=new.digest, name=new.name, updated_at=now())
    )
    return _found(connection, new.kind, document_id)


def has_document(connection: Connection, kind: DocumentKind, digest: str) -> bool:
    """Is there a document whose newest revision says this?"""
    return connection.execute(_SAYING, {"of_kind": kind, "of_digest": digest}).first() is not None


def find_document(connection: Connection, kind: DocumentKind, document_id: str) -> Row[Any] | None:
    return connection.execute(_ONE, {"of_kind": kind, "of_id": document_id}).one_or_none()


def find_revision(
    connection: Connection, kind: DocumentKind, document_id: str, revision: int | None = None
) -> Row[Any] | None:
    """One revision with its source and the document's times; the newest where none is named."""
    wanted = documents.c.revision if revision is None else revision
    query = (
        select(
            revisions, documents.c.name, documents.c.created_at.label("first_at"), documents.c.revision.label("newest")
        )
        .join(documents)
        .where(documents.c.kind == kind, documents.c.id == document_id, revisions.c.revision == wanted)
    )
    return connection.execute(query).one_or_none()


def list_documents(
    connection: Connection, kind: DocumentKind, *, limit: int, cursor: str | None, name: str | None = None
) -> Page:
    """Newest first; `name`: only those that are called just so."""
    query: Select[Any] = select(documents).where(documents.c.kind == kind)
    if name is not None:
        query = query.where(documents.c.name == name)
    return read_page(connection, query, of=kind, limit=limit, cursor=cursor)


def list_revisions(connection: Connection, document_id: str) -> list[Row[Any]]:
    """All revisions without their source, newest first."""
    listed = [column for column in revisions.c if column.name != "source"]
    query = select(*listed).where(revisions.c.document_id == document_id)
    return list(connection.execute(query.order_by(revisions.c.revision.desc())).all())


def _keep(connection: Connection, document_id: str, revision: int, new: NewRevision, *, by: str | None) -> None:
    row = {
        "document_id": document_id,
        "revision": revision,
        "digest": new.digest,
        "source": new.source,
        "created_at": now(),
        "created_by": by,
    }
    connection.execute(_ADD_REVISION, row)


def _found(connection: Connection, kind: DocumentKind, document_id: str) -> Row[Any]:
    return connection.execute(_ONE, {"of_kind": kind, "of_id": document_id}).one()


# Put together once: that takes longer than the store needs to answer.
_OF_KIND = documents.c.kind == bindparam("of_kind")
_ONE = select(documents).where(_OF_KIND, documents.c.id == bindparam("of_id"))
# They are few, and the oldest is found here: asked to sort them, SQLite goes through all documents of the kind instead.
_SAYING = select(documents.c.created_at, documents.c.id).where(_OF_KIND, documents.c.digest == bindparam("of_digest"))
_ADD, _ADD_REVISION = insert(documents), insert(revisions)
