"""Resins: data sheets with batches and their tests, every revision kept."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from api.http.caller import Reads
from api.http.etags import IfMatch, IfNoneMatch
from api.http.identifiers import ResinId, RevisionNumber
from api.http.once import Writing
from api.http.paging import NamedPaging
from api.http.resin_document import RESIN_BODY, ResinSheetRevision
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
from api.readers.work import described_resin, resin_of
from api.store.documents import DocumentKind

router = APIRouter(prefix="/v1/resins", tags=["resins"])


@router.post("", status_code=201, response_model=RevisedListing, responses=ADDED, openapi_extra=RESIN_BODY)
def post_resin(once: Writing, source: TextBody, readers: Readers) -> Response:
    """Keep a data sheet with its batches and their tests."""
    return added(once, readers.run(resin_of, source))


@router.get("", response_model_exclude_none=True)
def get_resins(paging: NamedPaging, store: Store, _: Reads) -> RevisedPage:
    """All resins, newest first."""
    return page_of(store, DocumentKind.RESIN, paging)


@router.get("/{resin_id}", response_model=ResinSheetRevision, responses=READ)
def get_resin(resin_id: ResinId, store: Store, readers: Readers, _: Reads, known: IfNoneMatch = None) -> Response:
    """The newest revision, as it was written."""
    return revision_answer(known, store, readers, DocumentKind.RESIN, resin_id, None, described_resin)


@router.put("/{resin_id}", response_model=RevisedListing, responses=REVISED, openapi_extra=RESIN_BODY)
def put_resin(
    resin_id: ResinId, source: TextBody, readers: Readers, once: Writing, if_match: IfMatch = None
) -> Response:
    """A new revision: a new batch, a new test. POST /v1/revalidations then judges the stored plans again."""
    return revised(once, readers.run(resin_of, source), resin_id, if_match)


@router.get("/{resin_id}/revisions", response_model_exclude_none=True)
def get_resin_revisions(resin_id: ResinId, store: Store, _: Reads) -> RevisionList:
    """All revisions, newest first."""
    return revisions_of(store, DocumentKind.RESIN, resin_id)


@router.get("/{resin_id}/revisions/{revision}", response_model=ResinSheetRevision, responses=READ)
def get_resin_revision(
    resin_id: ResinId, revision: RevisionNumber, store: Store, readers: Readers, _: Reads, known: IfNoneMatch = None
) -> Response:
    """One revision, as it was sent in."""
    return revision_answer(known, store, readers, DocumentKind.RESIN, resin_id, revision, described_resin)
