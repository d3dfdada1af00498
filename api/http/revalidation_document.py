"""Revalidations over HTTP: what is asked, and where a run stands."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Annotated, Any

from pydantic import ConfigDict, Field, model_validator
from sqlalchemy import Row

from api.http.document import Document, Page, Request
from api.reports.report_document import RunState
from api.revalidation.runs import PlanAgain
from api.store.plans import PlanFilter


class ChangeRequest(Request):
    """What is different now; what is left out stays as each case has it."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 74}},
                {"mould_temperature_c": 17, "resin_temperature_c": 18},
            ]
        }
    )

    resin_id: Annotated[str | None, Field(pattern=r"^resin_[0-9a-f]{32}$")] = None
    """A resin of the store in place of the one in each case; each shot keeps its own initiator level."""
    resin_revision: Annotated[int | None, Field(ge=1, le=2_000_000_000)] = None
    """Left out: the newest."""
    batch: Annotated[str | None, Field(min_length=1, max_length=200)] = None
    """A batch of that resin; its newest tests are used. Left out: the data sheet as it stands."""
    gel_test: dict[str, Any] | None = None
    """temperature_c, initiator_percent, gel_time_min: all gel times are scaled so that they pass through it."""
    initiator_level_percent: float | None = None
    mould_temperature_c: float | None = None
    resin_temperature_c: float | None = None
    ambient_mbar_abs: float | None = None
    vacuum_mbar_abs: float | None = None
    gel_fraction_percent: float | None = None

    @model_validator(mode="after")
    def _resin_first(self) -> ChangeRequest:
        if self.resin_id is None and (self.batch is not None or self.resin_revision is not None):
            raise ValueError("batch and resin_revision need a resin_id")
        return self

    def written(self) -> dict[str, Any]:
        """Without the resin of the store, as the reader of changes takes it."""
        return self.model_dump(exclude={"resin_id", "resin_revision", "batch"}, exclude_none=True)


class PlansAsked(Request):
    """Which verified plans; a field that is left out leaves them all."""

    layout_id: Annotated[str | None, Field(pattern=r"^layout_[0-9a-f]{32}$")] = None
    resin: Annotated[str | None, Field(max_length=200)] = None
    """Name of the resin they were planned for."""
    batch: Annotated[str | None, Field(max_length=200)] = None
    name: Annotated[str | None, Field(max_length=200)] = None
    """Of the case."""

    def filter(self) -> PlanFilter:
        return PlanFilter(**self.model_dump())


class RevalidationRequest(Request):
    change: ChangeRequest
    plans: Annotated[PlansAsked, Field(default_factory=PlansAsked)]
    plan_again: PlanAgain = PlanAgain.NEVER
    """Which of them are planned again for the changed case: `never`, `invalid` or `all`."""


class RevalidationDocument(Document):
    id: str
    state: RunState
    """`done`: every plan was judged, and what was to be planned again is planned."""
    job_id: str
    phase: str
    fraction: float
    asked: int
    """Number of plans."""
    open: int
    answered: int
    set_aside: int
    plan_again: PlanAgain
    plans: dict[str, Any]
    """The filter."""
    change: dict[str, Any]
    created_at: datetime
    links: dict[str, str]

    @classmethod
    def from_row(cls, row: Row[Any], counts: dict[str, int], state: RunState) -> RevalidationDocument:
        base = f"/v1/revalidations/{row.id}"
        return cls(
            id=row.id,
            state=state,
            job_id=row.job_id,
            phase=row.phase,
            fraction=row.fraction,
            asked=row.asked,
            open=counts.get("open", 0),
            answered=counts.get("answered", 0),
            set_aside=counts.get("set_aside", 0),
            plan_again=row.plan_again,
            plans={name: value for name, value in json.loads(row.chosen).items() if value is not None},
            change=json.loads(row.change),
            created_at=row.created_at,
            links={
                "self": base,
                "job": f"/v1/jobs/{row.job_id}",
                "report": f"{base}/report",
                "report_csv": f"{base}/report.csv",
                "report_xlsx": f"{base}/report.xlsx",
                "report_html": f"{base}/report.html",
            },
        )


class RevalidationPage(Page):
    items: list[RevalidationDocument]
