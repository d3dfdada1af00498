"""The audit: every change that was made."""

from __future__ import annotations

from fastapi import APIRouter

from api.audit import list_audit
from api.http.audit_document import AuditEntry, AuditPage
from api.http.caller import Operates
from api.http.paging import Paging
from api.http.state import Store

router = APIRouter(prefix="/v1/audit", tags=["audit"])


@router.get("", response_model_exclude_none=True)
def get_audit(_: Operates, paging: Paging, store: Store) -> AuditPage:
    """All changes, newest first."""
    with store.read() as connection:
        page = list_audit(connection, limit=paging.limit, cursor=paging.cursor)
    items = [AuditEntry.from_row(row) for row in page.rows]
    link = paging.next_link("/v1/audit", page.next_cursor)
    return AuditPage(items=items, next_cursor=page.next_cursor, next=link)
