"""A revision of a resin's data sheet."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from api.http.document import Document
from api.http.text_body import text_body


class ResinSheetRevision(Document):
    id: str
    name: str
    """Of the newest revision."""
    revision: int
    newest_revision: int
    digest: str
    """SHA-256 of what this revision says."""
    created_at: datetime
    sheet: dict[str, Any]
    """As it was written."""
    links: dict[str, str]


RESIN_BODY = text_body(
    "A data sheet with batches and tests; GET /v1/schema/resin describes it. The values here are invented.",
    {
        "schema_version": 1,
        "name": "Demo vinyl ester",
        "density_kg_m3": 1080,
        "viscosity_points": [{"temperature_c": 20, "viscosity_mpa_s": 250}],
        "gel_time_points": [{"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 90}],
        "initiator": {"least_percent": 1.2, "most_percent": 2.0},
        "batches": [{"batch": "A-117", "gel_tests": [], "viscosity_tests": []}],
    },
)
