"""A revision of a layout, as the service understood it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from api.http.document import Document
from api.http.text_body import text_body
from optimiser.case.plan_document import Assumption


class LayoutDocument(Document):
    id: str
    name: str
    """Of the newest revision."""
    revision: int
    newest_revision: int
    digest: str
    """SHA-256 of what this revision says; the same for texts that say the same."""
    created_at: datetime
    case: dict[str, Any]
    """As it was written. Sent in again, it gives the same digest."""
    assumptions: list[Assumption]
    """What the text left out and the physics needs."""
    warnings: list[str]
    links: dict[str, str]


LAYOUT_BODY = text_body(
    "A case; GET /v1/schema/case describes it.",
    {"schema_version": 1, "name": "Panel 12", "sheet": {"outlines": []}, "feed_lines": [], "vents": []},
)
