"""What was changed, by whom and when."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Row

from api.http.document import Document, Page


class AuditEntry(Document):
    id: int
    at: datetime
    key_id: str | None = None
    """Absent where the service asked for no key, and for what was done on the command line."""
    action: str
    subject: str
    """Id of what was changed."""
    request_id: str | None = None
    """As it stands in the log of the service."""

    @classmethod
    def from_row(cls, row: Row[Any]) -> AuditEntry:
        return cls.model_validate(dict(row._mapping))


class AuditPage(Page):
    items: list[AuditEntry]
