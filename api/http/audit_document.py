"""What was changed, by whom and when."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Row

from api.http.document import Document, Page


class AuditEntry(Document):
    """One change."""

    id: int
    """Counts up; newer entries have larger ones."""
    at: datetime
    """When it was done, UTC."""
    key_id: str | None = None
    """Id of the key; absent where the service asked for none, and for what was done on the command line."""
    action: str
    """What was done, for example `layout.add`."""
    subject: str
    """Id of what was changed."""
    request_id: str | None = None
    """As it stands in the log of the service."""

    @classmethod
    def from_row(cls, row: Row[Any]) -> AuditEntry:
        return cls.model_validate(dict(row._mapping))


class AuditPage(Page):
    """Changes."""

    items: list[AuditEntry]
    """Entries, newest first."""
