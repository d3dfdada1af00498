"""Plans in a list, without their content."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any

from fastapi import Query
from pydantic import Field
from sqlalchemy import Row

from api.http.document import Document, Page
from api.http.links import plan_links
from api.http.paging import PageQuery
from api.store.plans import PlanFilter
from optimiser.case.plan_document import Verdict


class PlanListing(Document):
    id: str
    name: str | None = None
    """Of the case."""
    verdict: Verdict
    wet_out_s: float | None = None
    gel_margin_s: float | None = None
    resin: str | None = None
    batch: str | None = None
    job_id: str
    case_digest: str
    """The whole case: all below, and what was assumed."""
    part_digest: str | None = None
    resin_digest: str | None = None
    settings_digest: str | None = None
    software_version: str
    layout_id: str | None = None
    layout_revision: int | None = None
    resin_id: str | None = None
    resin_revision: int | None = None
    created_at: datetime
    links: dict[str, str]

    @classmethod
    def from_row(cls, row: Row[Any]) -> PlanListing:
        return cls.model_validate({**row._mapping, "links": plan_links(row.id)})


class PlanPage(Page):
    items: list[PlanListing]


class PlansQuery(PageQuery):
    layout_id: str | None = Field(default=None, pattern=r"^layout_[0-9a-f]{32}$")
    resin: str | None = Field(default=None, max_length=200)
    """Name of the resin."""
    batch: str | None = Field(default=None, max_length=200)
    verdict: Verdict | None = None
    name: str | None = Field(default=None, max_length=200)
    """Of the case."""

    def filter(self) -> PlanFilter:
        return PlanFilter(
            layout_id=self.layout_id, resin=self.resin, batch=self.batch, verdict=self.verdict, name=self.name
        )


PlansPaging = Annotated[PlansQuery, Query()]
