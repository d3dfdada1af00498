"""Newest-first pages over a table with `created_at` and `id`."""

from __future__ import annotations

import base64
import binascii
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, tuple_


class CursorError(ValueError):
    """The text is not a cursor that this service gave out."""


@dataclass(frozen=True, kw_only=True)
class Page:
    rows: Sequence[Row[Any]]
    next_cursor: str | None
    """None: this was the last page."""


def read_page(connection: Connection, query: Select[Any], *, of: str, limit: int, cursor: str | None) -> Page:
    """The next rows after `cursor`. What arrives meanwhile is newer, so no page repeats or skips a row.

    `of`: what stands before the underscore in ids of this list; CursorError for a cursor of another one.
    """
    created_at, row_id = query.selected_columns["created_at"], query.selected_columns["id"]
    if cursor is not None:
        instant, last_id = _position(cursor)
        if last_id.rpartition("_")[0] != of:
            raise CursorError("a cursor of another list")
        query = query.where(tuple_(created_at, row_id) < tuple_(instant, last_id))
    rows = connection.execute(query.order_by(created_at.desc(), row_id.desc()).limit(limit + 1)).all()
    if len(rows) <= limit:
        return Page(rows=rows, next_cursor=None)
    return Page(rows=rows[:limit], next_cursor=_cursor(rows[limit - 1]))


def _cursor(last: Row[Any]) -> str:
    text = json.dumps([last.created_at.isoformat(), last.id])
    return base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")


def _position(cursor: str) -> tuple[datetime, str]:
    try:
        text = base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4))
        created_at, row_id = json.loads(text)
        instant, last_id = datetime.fromisoformat(created_at), str(row_id)
        in_utc = instant.astimezone(UTC)
    except (binascii.Error, ValueError, TypeError, RecursionError, OverflowError) as error:
        raise CursorError("not a cursor of this service") from error
    if instant.tzinfo is None or not (last_id.isascii() and last_id.isprintable()):  # stores refuse NUL and surrogates
        raise CursorError("not a cursor of this service")
    return in_utc, last_id
