"""One revision of a document, whole."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from starlette.responses import Response

from api.http.answers import ETAG, NOT_CHANGED, Answers, answer
from api.http.etags import answer_unless_known
from api.http.not_found import found
from api.http.revised import base_of, etag_of
from api.readers.pool import ReaderPool
from api.store.database import Database
from api.store.documents import DocumentKind, find_revision

READ: Answers = {200: answer("The revision, whole", ETAG), **NOT_CHANGED}


def revision_answer(
    known: str | None,
    store: Database,
    readers: ReaderPool,
    kind: DocumentKind,
    document_id: str,
    revision: int | None,
    describe: Callable[[bytes], dict[str, Any]],
) -> Response:
    """The revision, or the newest; 304 where the client has it."""
    with store.read() as connection:
        row = found(find_revision(connection, kind, document_id, revision))
    base = base_of(kind, document_id)

    def content() -> str:
        said = {
            "id": document_id,
            "name": row.name,
            "revision": row.revision,
            "newest_revision": row.newest,
            "digest": row.digest,
            "created_at": row.created_at.isoformat().replace("+00:00", "Z"),
            "links": {"self": f"{base}/revisions/{row.revision}", "document": base, "revisions": f"{base}/revisions"},
        }
        return json.dumps(said | readers.run_kept(describe, bytes(row.source)), ensure_ascii=False)

    return answer_unless_known(
        known, etag=etag_of(row.revision, row.digest), media_type="application/json", headers={}, render=content
    )
