"""A revision of a resin's data sheet."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from api.http.document import Document
from api.http.text_body import text_body


class ResinSheetRevision(Document):
    """A revision of a data sheet, whole."""

    id: str
    """Id of the resin."""
    name: str
    """Name in the newest revision."""
    revision: int
    """Number of this revision, from 1."""
    newest_revision: int
    """Number of the newest."""
    digest: str
    """SHA-256 of what this revision says."""
    created_at: datetime
    """When this revision was sent in, UTC."""
    sheet: dict[str, Any]
    """As it was written."""
    links: dict[str, str]
    """Addresses: self, document, revisions."""


RESIN_EXAMPLE: dict[str, Any] = {
    "schema_version": 1,
    "name": "Demo vinyl ester",
    "density_kg_m3": 1080,
    "viscosity_points": [{"temperature_c": 20, "viscosity_mpa_s": 250}],
    "gel_time_points": [{"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 90}],
    "initiator": {"least_percent": 1.2, "most_percent": 2.0},
    "batches": [{"batch": "A-117", "gel_tests": [], "viscosity_tests": []}],
}
"""All values are invented."""

RESIN_BODY = text_body("WrittenResin", "A data sheet with batches and tests, in JSON or YAML.")
