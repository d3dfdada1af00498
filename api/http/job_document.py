"""Long work and where it stands, in the shape of AIP-151: `done`, then `result` or `error`, never both."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from pydantic import ConfigDict
from sqlalchemy import Row

from api.http.document import Document, Page
from api.http.links import plan_links
from api.http.problem import Problem, ProblemDocument, ProblemError
from api.http.problem_kinds import NOT_CONVERGED, PROCESS_DIED, UNUSABLE
from api.jobs.job_error import JobError, JobErrorKind
from api.jobs.states import DONE, JobKind, JobState
from api.store.cases import Origin
from optimiser.case.plan_document import Verdict

_JOB, _LAYOUT = f"job_{'0123456789abcdef' * 2}", f"layout_{'0123456789abcdef' * 2}"
_EXAMPLE: dict[str, Any] = {
    "id": _JOB,
    "kind": "plan",
    "done": False,
    "state": "running",
    "progress": {"phase": "playing candidates", "fraction": 0.4, "best_wet_out_s": 2710.0},
    "case_digest": "0123456789abcdef" * 4,
    "layout_id": _LAYOUT,
    "layout_revision": 3,
    "software_version": "0.1.0",
    "attempts": 1,
    "created_at": "2026-03-02T07:30:00Z",
    "updated_at": "2026-03-02T07:30:01Z",
    "links": {
        "self": f"/v1/jobs/{_JOB}",
        "events": f"/v1/jobs/{_JOB}/events",
        "layout": f"/v1/layouts/{_LAYOUT}/revisions/3",
    },
}


class JobProgress(Document):
    """How far a job is."""

    phase: str
    """What is being done, in a word or two."""
    fraction: float
    """Share of the work that is done, 0 to 1; an estimate."""
    best_wet_out_s: float | None = None
    """Wet-out of the best sequence seen so far, seconds from the start of the shot."""


class JobResult(Document):
    """What came of a job."""

    plan_id: str | None = None
    """The plan, for jobs of kind plan and check."""
    verdict: Verdict | None = None
    """`not_admissible` is a result: the plan says which requirement cannot be met, and why."""
    wet_out_s: float | None = None
    """When the last place is wet, seconds from the start of the shot; absent: never."""
    withdrawn_because: str | None = None
    """Why nobody may use that plan, as whoever withdrew it said; absent: it was not withdrawn. Asked for again, the
    same plan comes back, and stays withdrawn until it is reinstated."""
    revalidation_id: str | None = None
    """The run, for jobs of kind revalidation."""


class JobDocument(Document):
    """Long work, in the shape of AIP-151."""

    model_config = ConfigDict(json_schema_extra={"examples": [_EXAMPLE]})

    id: str
    """Id of the job."""
    kind: JobKind
    """What is asked for."""
    done: bool
    """Whether nothing more will happen: then `result` or `error` is there, or the job was cancelled."""
    state: JobState
    """Where it stands."""
    progress: JobProgress
    """How far it is."""
    case_digest: str | None = None
    """SHA-256 of the whole case: layout, resin and settings."""
    layout_id: str | None = None
    """The layout that is planned or checked. One job answers all layouts with this content: in the answer to a request,
    and in the list of a layout, it is the one asked for, else the first."""
    layout_revision: int | None = None
    """Revision of that layout, from 1."""
    software_version: str
    """Version of the program that answers."""
    attempts: int
    """How often it was begun."""
    created_at: datetime
    """When it was asked for, UTC."""
    updated_at: datetime
    """When its state last changed, UTC."""
    result: JobResult | None = None
    """What came of it, once it has succeeded."""
    error: ProblemDocument | None = None
    """Why it failed."""
    links: dict[str, str]
    """Addresses: self, events, and of what it led to."""

    @classmethod
    def from_row(cls, row: Row[Any], origin: Origin | None = None) -> JobDocument:
        layout: Any = row if origin is None else origin
        return cls(
            id=row.id,
            kind=row.kind,
            done=row.state in DONE,
            state=row.state,
            progress=JobProgress(phase=row.phase, fraction=row.fraction, best_wet_out_s=row.best_wet_out_s),
            case_digest=row.case_digest,
            layout_id=layout.layout_id,
            layout_revision=layout.layout_revision,
            software_version=row.software_version,
            attempts=row.attempts,
            created_at=row.created_at,
            updated_at=row.updated_at,
            result=_result(row),
            error=None if row.error is None else _error(JobError.from_json(row.error)),
            links=_links(row, layout.layout_id, layout.layout_revision),
        )


class JobPage(Page):
    """Jobs."""

    items: list[JobDocument]
    """Jobs, newest first."""


_KIND_OF_ERROR = {
    JobErrorKind.INPUT: UNUSABLE,
    JobErrorKind.NOT_CONVERGED: NOT_CONVERGED,
    JobErrorKind.PROCESS_DIED: PROCESS_DIED,
}


def _result(row: Row[Any]) -> JobResult | None:
    if row.state != JobState.SUCCEEDED:
        return None
    return JobResult(
        plan_id=row.plan_id,
        verdict=row.verdict,
        wet_out_s=row.wet_out_s,
        withdrawn_because=row.withdrawn_because,
        revalidation_id=row.revalidation_id,
    )


def _links(row: Row[Any], layout_id: str | None, layout_revision: int | None) -> dict[str, str]:
    links = {"self": f"/v1/jobs/{row.id}", "events": f"/v1/jobs/{row.id}/events"}
    if layout_id is not None:
        links["layout"] = f"/v1/layouts/{layout_id}/revisions/{layout_revision}"
    if row.revalidation_id is not None:
        links["revalidation"] = f"/v1/revalidations/{row.revalidation_id}"
    return links if row.plan_id is None else links | plan_links(row.plan_id)


def _error(error: JobError) -> ProblemDocument:
    errors = map(ProblemError.from_fault, error.faults)
    return Problem(_KIND_OF_ERROR[error.kind], error.detail, errors=errors).document()
