"""Layouts: the case documents that engineers send in, every revision kept."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from api.http.caller import Reads
from api.http.etags import IfMatch, IfNoneMatch
from api.http.identifiers import LayoutId, RevisionNumber
from api.http.layout_document import LAYOUT_BODY, LayoutDocument
from api.http.once import Writing
from api.http.paging import NamedPaging
from api.http.revised import (
    ADDED,
    REVISED,
    RevisedListing,
    RevisedPage,
    RevisionList,
    added,
    page_of,
    revised,
    revisions_of,
)
from api.http.revision_answer import READ, revision_answer
from api.http.state import Readers, Store
from api.http.text_body import TextBody
from api.readers.work import described_layout, layout_of
from api.store.documents import DocumentKind

router = APIRouter(prefix="/v1/layouts", tags=["layouts"])


@router.post("", status_code=201, response_model=RevisedListing, responses=ADDED, openapi_extra=LAYOUT_BODY)
def post_layout(once: Writing, source: TextBody, readers: Readers) -> Response:
    """Check a case and keep it as a layout. Nothing is planned yet: POST /v1/plans does that."""
    return added(once, readers.run(layout_of, source))


@router.get("", response_model_exclude_none=True)
def get_layouts(paging: NamedPaging, store: Store, _: Reads) -> RevisedPage:
    """All layouts, newest first."""
    return page_of(store, DocumentKind.LAYOUT, paging)


@router.get("/{layout_id}", response_model=LayoutDocument, responses=READ)
def get_layout(layout_id: LayoutId, store: Store, readers: Readers, _: Reads, known: IfNoneMatch = None) -> Response:
    """The newest revision: the case as it was written, what was assumed, and what is odd about it."""
    return revision_answer(known, store, readers, DocumentKind.LAYOUT, layout_id, None, described_layout)


@router.put("/{layout_id}", response_model=RevisedListing, responses=REVISED, openapi_extra=LAYOUT_BODY)
def put_layout(
    layout_id: LayoutId, source: TextBody, readers: Readers, once: Writing, if_match: IfMatch = None
) -> Response:
    """A new revision, if the case says something new. Plans go on pointing to the revision they were made from."""
    return revised(once, readers.run(layout_of, source), layout_id, if_match)


@router.get("/{layout_id}/revisions", response_model_exclude_none=True)
def get_layout_revisions(layout_id: LayoutId, store: Store, _: Reads) -> RevisionList:
    """All revisions, newest first."""
    return revisions_of(store, DocumentKind.LAYOUT, layout_id)


@router.get("/{layout_id}/revisions/{revision}", response_model=LayoutDocument, responses=READ)
def get_layout_revision(
    layout_id: LayoutId, revision: RevisionNumber, store: Store, readers: Readers, _: Reads, known: IfNoneMatch = None
) -> Response:
    """One revision, as it was sent in."""
    return revision_answer(known, store, readers, DocumentKind.LAYOUT, layout_id, revision, described_layout)
