"""A revision of a layout, as the service understood it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from api.http.document import Document
from api.http.text_body import text_body
from optimiser.case.plan_document import Assumption


class LayoutDocument(Document):
    """A revision of a layout, whole."""

    id: str
    """Id of the layout."""
    name: str
    """Name in the newest revision."""
    revision: int
    """Number of this revision, from 1."""
    newest_revision: int
    """Number of the newest."""
    digest: str
    """SHA-256 of what this revision says; the same for texts that say the same."""
    created_at: datetime
    """When this revision was sent in, UTC."""
    case: dict[str, Any]
    """As it was written. Sent in again, it gives the same digest."""
    assumptions: list[Assumption]
    """What the text left out and the physics needs."""
    warnings: list[str]
    """What is odd about it, a sentence each."""
    links: dict[str, str]
    """Addresses: self, document, revisions."""


LAYOUT_EXAMPLE: dict[str, Any] = {
    "schema_version": 1,
    "name": "Panel 12",
    "sheet": {"outlines": [{"name": "panel", "border_mm": [[0, 0], [1200, 0], [1200, 600], [0, 600]]}]},
    "reinforcements": {
        "cloth": {
            "fibre_density_kg_m3": 2550,
            "areal_weight_g_m2": 800,
            "permeability": {"measured": {"along_m2": 2e-10, "across_m2": 2e-10, "at_fibre_volume_percent": 50}},
        }
    },
    "laminates": {
        "four plies": {"fibre_volume_percent": 50, "layers": [{"ply": "cloth", "angle_deg": 0, "count": 4}]}
    },
    "areas": [{"name": "panel", "laminate": "four plies", "border_mm": None}],
    "feed_lines": [
        {
            "name": "1",
            "bore_mm": 12,
            "sections": [{"run_mm": [[20, 20], [20, 580]], "hose_length_mm": 1000, "inlet": "start"}],
        }
    ],
    "vents": [{"name": "V1", "run_mm": [[1180, 20], [1180, 580]], "bore_mm": 12, "hose_length_mm": 1000}],
    "supply": {"kind": "open_container", "surface_height_mm": 0},
    "resin": {
        "name": "Demo vinyl ester",
        "density_kg_m3": 1080,
        "viscosity_points": [
            {"temperature_c": 15, "viscosity_mpa_s": 320},
            {"temperature_c": 25, "viscosity_mpa_s": 190},
        ],
        "gel_time_points": [
            {"temperature_c": 15, "initiator_percent": 1.5, "gel_time_min": 120},
            {"temperature_c": 25, "initiator_percent": 1.5, "gel_time_min": 60},
        ],
        "initiator": {"level_percent": 1.5, "least_percent": 1.0, "most_percent": 2.0},
    },
    "process": {"vacuum_mbar_abs": 20, "mould_temperature_c": 20, "resin_temperature_c": 20},
}
"""All values are invented."""

LAYOUT_BODY = text_body("WrittenCase", "A case, in JSON or YAML.")
