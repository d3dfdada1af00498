"""Plans in a list, without their content."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Row

from api.http.document import Document, Page
from api.http.links import plan_links
from optimiser.case.plan_document import Verdict


class PlanListing(Document):
    id: str
    layout_digest: str
    job_id: str
    verdict: Verdict
    wet_out_s: float | None = None
    created_at: datetime
    links: dict[str, str]

    @classmethod
    def from_row(cls, row: Row[Any]) -> PlanListing:
        return cls.model_validate({**row._mapping, "links": plan_links(row.id)})


class PlanPage(Page):
    items: list[PlanListing]
