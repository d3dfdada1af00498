"""Plans in a list, without their content."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any

from fastapi import Query
from pydantic import ConfigDict, Field
from sqlalchemy import Row

from api.http.document import Document, Page, Request
from api.http.identifiers import NamedLayout
from api.http.links import plan_links
from api.http.paging import PageQuery
from api.store.plans import PlanFilter
from optimiser.case.document_shape import Sentence
from optimiser.case.plan_document import Verdict
from optimiser.run_sheet.standing import Standing, stop_and_ask

_PLAN = f"plan_{'0123456789ab' * 2}"
_EXAMPLE: dict[str, Any] = {
    "id": _PLAN,
    "name": "Panel 12",
    "verdict": "verified",
    "wet_out_s": 2710.0,
    "gel_margin_s": 640.0,
    "resin": "Demo vinyl ester",
    "batch": "A-117",
    "job_id": f"job_{'0123456789abcdef' * 2}",
    "case_digest": "0123456789abcdef" * 4,
    "part_digest": "123456789abcdef0" * 4,
    "resin_digest": "23456789abcdef01" * 4,
    "settings_digest": "3456789abcdef012" * 4,
    "software_version": "0.1.0",
    "layout_id": f"layout_{'0123456789abcdef' * 2}",
    "layout_revision": 3,
    "created_at": "2026-03-02T07:31:00Z",
    "links": plan_links(_PLAN),
}


class PlanListing(Document):
    """A plan without its content."""

    model_config = ConfigDict(json_schema_extra={"examples": [_EXAMPLE]})

    id: str
    """Id of the plan."""
    name: str | None = None
    """Name of the case."""
    verdict: Verdict
    """Whether a sequence meets every requirement."""
    wet_out_s: float | None = None
    """When the last place is wet, seconds from the start of the shot; absent: never."""
    gel_margin_s: float | None = None
    """Latest admissible wet-out less wet-out, seconds; negative: too late."""
    resin: str | None = None
    """Name of the resin."""
    batch: str | None = None
    """Batch of the resin."""
    job_id: str
    """The job that made it."""
    case_digest: str
    """SHA-256 of the whole case: part, resin, settings, and what was assumed."""
    part_digest: str | None = None
    """SHA-256 of the part alone."""
    resin_digest: str | None = None
    """SHA-256 of the resin alone."""
    settings_digest: str | None = None
    """SHA-256 of supply, process, crew, rules and search."""
    software_version: str
    """Version of the program that computed it."""
    layout_id: str | None = None
    """The layout it was made from. One plan answers all layouts with this content: in the list of a layout it is that
    one, else the first."""
    layout_revision: int | None = None
    """Revision of that layout, from 1."""
    resin_id: str | None = None
    """The resin of the store that was used; absent: the one in the layout."""
    resin_revision: int | None = None
    """Revision of that resin, from 1."""
    created_at: datetime
    """When it was made, UTC."""
    withdrawn_at: datetime | None = None
    """Since when nobody may use it, UTC; absent: it was not withdrawn."""
    withdrawn_because: str | None = None
    """Why, as whoever withdrew it said."""
    stop_and_ask: str | None = None
    """What a revalidation has found against its sheet, as its sheet says it; absent: nothing. Only in the listing of
    one plan, not in lists."""
    links: dict[str, str]
    """Addresses of its forms."""

    @classmethod
    def from_row(cls, row: Row[Any], standing: Standing | None = None) -> PlanListing:
        said = stop_and_ask(standing.condemned) if standing is not None and standing.condemned else None
        return cls.model_validate({**row._mapping, "stop_and_ask": said, "links": plan_links(row.id)})


class WithdrawRequest(Request):
    """That a plan is used no more."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"reason": "Replaced after the change of resin."}]})

    reason: Sentence
    """Why, in a sentence: it is printed on what is drawn of the plan from now on."""


class PlanPage(Page):
    """Plans without their content."""

    items: list[PlanListing]
    """Plans, newest first."""


class PlansQuery(PageQuery):
    layout_id: NamedLayout | None = None
    """Only those of this layout."""
    resin: str | None = Field(default=None, max_length=200)
    """Only those for the resin of exactly this name."""
    batch: str | None = Field(default=None, max_length=200)
    """Only those for exactly this batch."""
    verdict: Verdict | None = None
    """Only those with this verdict."""
    name: str | None = Field(default=None, max_length=200)
    """Only those whose case has exactly this name."""
    withdrawn: bool | None = None
    """Only those that were, or were not, withdrawn."""

    def filter(self) -> PlanFilter:
        return PlanFilter(
            layout_id=self.layout_id,
            resin=self.resin,
            batch=self.batch,
            verdict=self.verdict,
            name=self.name,
            withdrawn=self.withdrawn,
        )


PlansPaging = Annotated[PlansQuery, Query()]
