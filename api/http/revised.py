"""Documents with revisions, over HTTP: layouts and resins alike."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from pydantic import ConfigDict
from sqlalchemy import Connection, Row
from starlette.responses import Response

from api.http.answers import ETAG, LOCATION, Answers, answer
from api.http.document import Document, Page
from api.http.etags import strong_tags
from api.http.not_found import found
from api.http.once import Once, Reply
from api.http.paging import NamedPageQuery
from api.http.problem import Problem, ProblemError
from api.http.problem_kinds import CHANGED_MEANWHILE, PRECONDITION_MISSING, UNUSABLE
from api.store.database import Database
from api.store.documents import (
    DocumentKind,
    NewRevision,
    RevisionConflictError,
    add_document,
    find_document,
    has_document,
    list_documents,
    list_revisions,
    revise,
)
from optimiser.case.say_found import say_found

_BASE = {DocumentKind.LAYOUT: "/v1/layouts", DocumentKind.RESIN: "/v1/resins"}


_LAYOUT = f"layout_{'0123456789abcdef' * 2}"
_EXAMPLE: dict[str, Any] = {
    "id": _LAYOUT,
    "name": "Panel 12",
    "revision": 3,
    "digest": "0123456789abcdef" * 4,
    "created_at": "2026-02-20T15:04:00Z",
    "updated_at": "2026-03-02T07:30:00Z",
    "links": {"self": f"/v1/layouts/{_LAYOUT}", "revisions": f"/v1/layouts/{_LAYOUT}/revisions"},
}


class RevisedListing(Document):
    """A document without what it says."""

    model_config = ConfigDict(json_schema_extra={"examples": [_EXAMPLE]})

    id: str
    """Id of the document."""
    name: str
    """Name in the newest revision."""
    revision: int
    """Number of the newest, from 1. All earlier ones are kept."""
    digest: str
    """SHA-256 of what the newest revision says."""
    created_at: datetime
    """When the first revision was sent in, UTC."""
    updated_at: datetime
    """When the newest was sent in, UTC."""
    links: dict[str, str]
    """Addresses: self, revisions."""

    @classmethod
    def from_row(cls, row: Row[Any]) -> RevisedListing:
        base = f"{_BASE[DocumentKind(row.kind)]}/{row.id}"
        return cls.model_validate({**row._mapping, "links": {"self": base, "revisions": f"{base}/revisions"}})


class RevisedPage(Page):
    """Documents without what they say."""

    items: list[RevisedListing]
    """Documents, newest first."""


class RevisionListing(Document):
    """A revision without what it says."""

    revision: int
    """Number of the revision, from 1."""
    digest: str
    """SHA-256 of what it says."""
    created_at: datetime
    """When it was sent in, UTC."""
    created_by: str | None = None
    """Id of the key that sent it."""
    links: dict[str, str]
    """Address: self."""


class RevisionList(Document):
    """All revisions, newest first."""

    items: list[RevisionListing]
    """Revisions, newest first."""


ADDED: Answers = {
    201: answer("Kept as revision 1", LOCATION, ETAG),
    200: answer("A document that says the same is there already", LOCATION, ETAG) | {"model": RevisedListing},
}
REVISED: Answers = {200: answer("The document after the change", LOCATION, ETAG)}


def base_of(kind: DocumentKind, document_id: str) -> str:
    """Address of a document."""
    return f"{_BASE[kind]}/{document_id}"


def etag_of(revision: int, digest: str) -> str:
    return f'"{revision}-{digest[:16]}"'


def added(once: Once, new: NewRevision) -> Response:
    """201 with the new document, or 200 with the one that says the same already."""

    def write(connection: Connection) -> Reply:
        known = has_document(connection, new.kind, new.digest)
        row = add_document(connection, new, by=once.by)
        return _reply(200 if known else 201, row)

    return once(f"{new.kind}.add", write)


def revised(once: Once, new: NewRevision, document_id: str, if_match: str | None) -> Response:
    """200 with the document after the change; 428 without If-Match, 412 where the newest is none of its tags."""
    if not if_match:
        raise Problem(PRECONDITION_MISSING, "Send If-Match with the ETag of the revision that you have seen.")

    known = None if if_match.strip() == "*" else strong_tags(if_match)
    if known is None and if_match.strip() != "*":
        expected = 'the ETag as it was given, in its quotes: "1-0123456789abcdef"'
        fault = ProblemError(
            pointer="", parameter="If-Match", found=say_found(if_match), expected=expected, remedy="copy it whole"
        )
        raise Problem(UNUSABLE, "The header If-Match cannot be used.", errors=[fault])

    def write(connection: Connection) -> Reply:
        current = found(find_document(connection, new.kind, document_id))
        if known is not None and etag_of(current.revision, current.digest) not in known:
            raise _changed(current)
        try:
            expected = None if known is None else current.revision
            row = revise(connection, document_id, new, expected=expected, by=once.by)
        except RevisionConflictError as error:
            raise _changed(current) from error
        return _reply(200, found(row))

    return once(f"{new.kind}.revise", write)


def page_of(store: Database, kind: DocumentKind, paging: NamedPageQuery) -> RevisedPage:
    with store.read() as connection:
        page = list_documents(connection, kind, limit=paging.limit, cursor=paging.cursor, name=paging.name)
    return RevisedPage(
        items=[RevisedListing.from_row(row) for row in page.rows],
        next_cursor=page.next_cursor,
        next=paging.next_link(_BASE[kind], page.next_cursor),
    )


def revisions_of(store: Database, kind: DocumentKind, document_id: str) -> RevisionList:
    base = f"{_BASE[kind]}/{document_id}/revisions"
    with store.read() as connection:
        found(find_document(connection, kind, document_id))
        rows = list_revisions(connection, document_id)
    items = [
        RevisionListing.model_validate({**row._mapping, "links": {"self": f"{base}/{row.revision}"}}) for row in rows
    ]
    return RevisionList(items=items)


def _reply(status: int, row: Row[Any]) -> Reply:
    listing = RevisedListing.from_row(row)
    headers = {"Location": listing.links["self"], "ETag": etag_of(row.revision, row.digest)}
    return Reply(status=status, document=listing, subject=row.id, headers=headers)


def _changed(current: Row[Any]) -> Problem:
    return Problem(
        CHANGED_MEANWHILE,
        f"Revision {current.revision} is the newest now; read it, and change that one.",
        headers={"ETag": etag_of(current.revision, current.digest)},
    )
