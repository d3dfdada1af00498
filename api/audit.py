"""Who changed what and when: one row for each change, written in the transaction of the change itself."""

from __future__ import annotations

import re
from typing import Any

from sqlalchemy import Connection, insert, select

from api.store.instants import now
from api.store.pages import CursorError, Page
from api.store.tables import audit

_ADD = insert(audit)
_LARGEST_ID = 2**31 - 1
_NUMBER = re.compile(r"[0-9]{1,10}", re.ASCII)


def note(
    connection: Connection, *, key_id: str | None, action: str, subject: str, request_id: str | None = None
) -> None:
    """`action` names kind and deed, such as keys.add; `subject` is the id of what was changed."""
    row = {"at": now(), "key_id": key_id, "action": action, "subject": subject, "request_id": request_id}
    connection.execute(_ADD, row)


def list_audit(connection: Connection, *, limit: int, cursor: str | None) -> Page:
    """The newest first, by id. CursorError for a cursor that is not of this list."""
    query = select(audit).order_by(audit.c.id.desc()).limit(limit + 1)
    if cursor is not None:
        query = query.where(audit.c.id < _position(cursor))
    rows: list[Any] = list(connection.execute(query))
    more = len(rows) > limit
    return Page(rows=rows[:limit], next_cursor=str(rows[limit - 1].id) if more else None)


def _position(cursor: str) -> int:
    if not _NUMBER.fullmatch(cursor) or int(cursor) > _LARGEST_ID:
        raise CursorError("not a cursor of the audit")
    return int(cursor)
