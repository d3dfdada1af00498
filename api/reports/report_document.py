"""The report of a revalidation run: what became of each stored plan, and what a planner must do about it.

This is what the service sends as JSON; CSV, XLSX and HTML are written from it. Times are seconds from the start of the
shot, points in time RFC 3339 in UTC.
"""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime
from typing import Annotated, Literal

from pydantic import AfterValidator, AwareDatetime, BaseModel, ConfigDict, Field, model_validator

Answer = Literal["still_valid", "new_clock", "no_longer_valid", "better_exists", "set_aside", "open", "withdrawn"]
RunState = Literal["running", "done", "cancelled", "failed"]
DecidedBy = Literal["look_up", "full_run"]
ReplanState = Literal["queued", "running", "verified", "not_admissible", "failed", "cancelled", "withdrawn"]

Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9_.:-]{1,100}$")]
Count = Annotated[int, Field(ge=0)]
_SHEET_DIGITS = 8


def _in_utc(at: datetime) -> datetime:
    return at.astimezone(UTC)


InstantUtc = Annotated[AwareDatetime, AfterValidator(_in_utc)]


def sheet_of(plan_id: str | None) -> str:
    """The number that run sheet and tap labels of a plan carry: both it and the id are drawn from the plan's digest."""
    return "" if plan_id is None else plan_id.removeprefix("plan_")[:_SHEET_DIGITS].upper()


class _Strict(BaseModel):
    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        strict=True,
        allow_inf_nan=False,
        use_attribute_docstrings=True,
        json_schema_serialization_defaults_required=True,
    )


class ReportItem(_Strict):
    """One stored plan."""

    plan_id: Id
    """The stored plan that was asked about."""
    sheet: str = Field(default_factory=lambda given: sheet_of(given.get("plan_id")))
    """Number at the foot of its printed run sheet and on its tap labels."""
    case_name: str
    """Name of the case, as it stands on the run sheet."""
    layout_id: Id | None
    """Layout that the plan was made from; null where the case was sent in whole."""
    layout_revision: int | None
    """Revision of that layout, from 1."""
    resin: str
    """Name of the resin that the plan is asked about."""
    batch: str
    """Batch of that resin."""
    answer: Answer
    """`still_valid`: nothing changes. `new_clock`: the sequence holds, its times are new. `no_longer_valid`: a
    requirement is not met any more. `better_exists`: it holds, but planning again found a better one. `set_aside`: it
    could not be answered. `open`: not answered yet. `withdrawn`: somebody has withdrawn the plan since the run began,
    so that its sheet is used no more whatever the run found."""
    decided_by: DecidedBy | None
    """`look_up`: read off the stored run. `full_run`: played again on the network. Null without an answer."""
    wet_out_before_s: float | None
    """Wet-out as the stored plan says it."""
    wet_out_after_s: float | None
    """Wet-out after the change; null where there is no answer or the part never wets out."""
    gel_limit_before_s: float | None
    """Latest admissible wet-out as the stored plan says it."""
    gel_limit_after_s: float | None
    """Latest admissible wet-out after the change."""
    margin_before_s: float | None
    """Gel limit less wet-out, before; negative: too late."""
    margin_after_s: float | None
    """Gel limit less wet-out, after the change; negative: too late."""
    reason: str
    """Why this answer, in a sentence."""
    replan_job_id: Id | None
    """Job that plans it again; null where nobody asked for that."""
    replan_plan_id: Id | None
    """Plan that this job made."""
    replan_state: ReplanState | None
    """Where planning again stands; `verified` only when the new plan is; `withdrawn`: it was, and somebody has
    withdrawn it."""
    replan_wet_out_s: float | None
    """Wet-out of the new plan."""
    replan_sheet: str = Field(default_factory=lambda given: sheet_of(given.get("replan_plan_id")))
    """Number at the foot of the run sheet of that plan; empty where it made none."""
    replan_warning: str = ""
    """What is to be known before that sheet is used."""
    conditions: str = ""
    """What the stored plan holds for: temperatures, share of the gel time, and what else tells it from plans of the
    same name."""
    stopped: str = ""
    """What earlier or later runs have found against the sheet and nothing has asked again since, as the sheet says it;
    only where this run found nothing against it."""
    action: str
    """What the planner is to do, in a sentence."""


class AnswerCounts(_Strict):
    """Number of items by answer."""

    no_longer_valid: Count = 0
    """A requirement is not met any more."""
    set_aside: Count = 0
    """Could not be answered."""
    better_exists: Count = 0
    """Holds, but planning again found a better one."""
    new_clock: Count = 0
    """The sequence holds, its times are new."""
    still_valid: Count = 0
    """Nothing changes."""
    open: Count = 0
    """Not answered yet."""
    withdrawn: Count = 0
    """Withdrawn by somebody since the run began."""

    @property
    def answered(self) -> int:
        return self.no_longer_valid + self.better_exists + self.new_clock + self.still_valid


class RevalidationReport(_Strict):
    """A run over stored plans, what must be acted on first."""

    schema_version: Literal[1] = 1
    """Of this form of document."""
    run_id: Id
    """The revalidation."""
    made_at: InstantUtc
    """When this report was made, UTC."""
    tapcall_version: str
    """Version of the program that gave the answers."""
    change: list[str]
    """What is different now, a sentence each."""
    looked_at: str = ""
    """Which stored plans were looked at, in a sentence."""
    state: RunState
    """Only `done` means that every plan was looked at."""
    asked: Count
    """Number of plans in the run."""
    answered: Count
    """Of these, with an answer."""
    set_aside: Count
    """Of these, given up on: they could not be answered."""
    open: Count
    """Of these, not answered yet."""
    counts: AnswerCounts
    """The items by answer."""
    items: list[ReportItem]
    """All plans of the run, in the order in which they must be acted on."""

    @model_validator(mode="after")
    def _counts_are_those_of_the_items(self) -> RevalidationReport:
        if self.counts != counts_of(self.items):
            raise ValueError("counts differ from the answers of the items")
        expected = (len(self.items), self.counts.answered, self.counts.set_aside, self.counts.open)
        if (self.asked, self.answered, self.set_aside, self.open) != expected:
            raise ValueError("asked, answered, set_aside and open differ from the items")
        return self


def counts_of(items: list[ReportItem]) -> AnswerCounts:
    """The items counted by answer."""
    return AnswerCounts.model_validate(Counter[str](item.answer for item in items))
