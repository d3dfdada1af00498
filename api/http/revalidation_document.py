"""Revalidations over HTTP: what is asked, and where a run stands."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Annotated, Any

from pydantic import ConfigDict, Field, Strict
from sqlalchemy import Row

from api.http.document import Document, Page, Request
from api.http.identifiers import NamedLayout, NamedResin
from api.http.stored_resin import BatchOfResin, RevisionOfResin
from api.reports.report_document import RunState
from api.revalidation.runs import PlanAgain
from api.store.plans import PlanFilter

Number = Annotated[float, Strict()]
Name = Annotated[str, Field(max_length=200)]


class GelTest(Request):
    """A gel test of the shop."""

    temperature_c: Number
    """Temperature of the test, degrees C."""
    initiator_percent: Number
    """Initiator on 100 parts of resin by weight."""
    gel_time_min: Number
    """Gel time that was measured, minutes."""


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

    resin_id: NamedResin | None = None
    """A resin of the store in place of the one in each case; each shot keeps its own initiator level."""
    resin_revision: RevisionOfResin = None
    """Revision of that resin. Left out: the newest."""
    batch: BatchOfResin = None
    """A batch of that resin; its newest tests are used. Left out: the data sheet as it stands."""
    gel_test: GelTest | None = None
    """All gel times are scaled so that they pass through it."""
    initiator_level_percent: Number | None = None
    """Initiator on 100 parts of resin by weight."""
    mould_temperature_c: Number | None = None
    """Temperature of the mould, degrees C."""
    resin_temperature_c: Number | None = None
    """Temperature of the resin in its container, degrees C."""
    ambient_mbar_abs: Number | None = None
    """Air pressure, mbar absolute."""
    vacuum_mbar_abs: Number | None = None
    """Pressure in the bag, mbar absolute."""
    gel_fraction_percent: Number | None = None
    """Share of the gel time that wet-out may take, percent."""

    def written(self) -> dict[str, Any]:
        """Without the resin of the store, as the reader of changes takes it."""
        return self.model_dump(exclude={"resin_id", "resin_revision", "batch"}, exclude_none=True)


class PlansAsked(Request):
    """Which verified plans; a field that is left out leaves them all."""

    layout_id: NamedLayout | None = None
    """Only those of this layout."""
    resin: Name | None = None
    """Only those for the resin of exactly this name."""
    batch: Name | None = None
    """Only those for exactly this batch."""
    name: Name | None = None
    """Only those whose case has exactly this name."""

    def filter(self) -> PlanFilter:
        return PlanFilter(**self.model_dump())


class RevalidationRequest(Request):
    """What is to be judged again, and because of what."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "change": {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 74}},
                    "plans": {"resin": "Demo vinyl ester"},
                    "plan_again": "invalid",
                }
            ]
        }
    )

    change: ChangeRequest
    """What is different now."""
    plans: Annotated[PlansAsked, Field(default_factory=PlansAsked)]
    """Which stored plans; left out: all that are verified."""
    plan_again: PlanAgain = PlanAgain.NEVER
    """Which of them are planned again for the changed case: `never`, `invalid` or `all`."""


_RUN, _JOB = f"revalidation_{'0123456789ab' * 2}", f"job_{'0123456789abcdef' * 2}"
_EXAMPLE: dict[str, Any] = {
    "id": _RUN,
    "state": "running",
    "job_id": _JOB,
    "phase": "judging",
    "fraction": 0.25,
    "asked": 40,
    "open": 30,
    "answered": 9,
    "set_aside": 1,
    "plan_again": "invalid",
    "plans": {"resin": "Demo vinyl ester"},
    "change": {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 74}},
    "created_at": "2026-03-02T07:30:00Z",
    "links": {"self": f"/v1/revalidations/{_RUN}", "job": f"/v1/jobs/{_JOB}"},
}


class RevalidationDocument(Document):
    """A run over stored plans, and how far it is."""

    model_config = ConfigDict(json_schema_extra={"examples": [_EXAMPLE]})

    id: str
    """Id of the revalidation."""
    state: RunState
    """Where it stands. `done`: every plan was judged, and what was to be planned again is planned."""
    job_id: str
    """The job that works on it."""
    phase: str
    """What is being done, in a word or two."""
    fraction: float
    """Share of the work that is done, 0 to 1."""
    asked: int
    """Number of plans in the run."""
    open: int
    """Of these, not answered yet."""
    answered: int
    """Of these, with an answer."""
    set_aside: int
    """Of these, given up on: they could not be answered."""
    plan_again: PlanAgain
    """Which of them are planned again."""
    plans: dict[str, Any]
    """Which plans were asked for; empty: all that are verified."""
    change: dict[str, Any]
    """What is different now."""
    created_at: datetime
    """When it was asked for, UTC."""
    links: dict[str, str]
    """Addresses: self, job, and the report in its forms."""

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
    """Runs over stored plans."""

    items: list[RevalidationDocument]
    """Runs, newest first."""
