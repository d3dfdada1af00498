"""Long work and where it stands, in the shape of AIP-151: `done`, then `result` or `error`, never both."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Row

from api.http.document import Document, Page
from api.http.links import plan_links
from api.http.problem import Problem, ProblemDocument, ProblemError
from api.http.problem_kinds import NOT_CONVERGED, PROCESS_DIED, UNUSABLE
from api.jobs.job_error import JobError, JobErrorKind
from api.jobs.states import DONE, JobKind, JobState
from optimiser.case.plan_document import Verdict


class JobProgress(Document):
    phase: str
    fraction: float
    best_wet_out_s: float | None = None
    """Wet-out of the best sequence seen so far."""


class JobResult(Document):
    plan_id: str | None = None
    verdict: Verdict | None = None
    """`not_admissible` is a result: the plan says which requirement cannot be met, and why."""
    wet_out_s: float | None = None
    revalidation_id: str | None = None


class JobDocument(Document):
    id: str
    kind: JobKind
    done: bool
    state: JobState
    progress: JobProgress
    case_digest: str | None = None
    """Of the whole case: layout, resin and settings."""
    layout_id: str | None = None
    layout_revision: int | None = None
    software_version: str
    attempts: int
    created_at: datetime
    updated_at: datetime
    result: JobResult | None = None
    error: ProblemDocument | None = None
    links: dict[str, str]

    @classmethod
    def from_row(cls, row: Row[Any]) -> JobDocument:
        return cls(
            id=row.id,
            kind=row.kind,
            done=row.state in DONE,
            state=row.state,
            progress=JobProgress(phase=row.phase, fraction=row.fraction, best_wet_out_s=row.best_wet_out_s),
            case_digest=row.case_digest,
            layout_id=row.layout_id,
            layout_revision=row.layout_revision,
            software_version=row.software_version,
            attempts=row.attempts,
            created_at=row.created_at,
            updated_at=row.updated_at,
            result=_result(row),
            error=None if row.error is None else _error(JobError.from_json(row.error)),
            links=_links(row),
        )


class JobPage(Page):
    items: list[JobDocument]


_KIND_OF_ERROR = {
    JobErrorKind.INPUT: UNUSABLE,
    JobErrorKind.NOT_CONVERGED: NOT_CONVERGED,
    JobErrorKind.PROCESS_DIED: PROCESS_DIED,
}


def _result(row: Row[Any]) -> JobResult | None:
    if row.state != JobState.SUCCEEDED:
        return None
    return JobResult(
        plan_id=row.plan_id, verdict=row.verdict, wet_out_s=row.wet_out_s, revalidation_id=row.revalidation_id
    )


def _links(row: Row[Any]) -> dict[str, str]:
    links = {"self": f"/v1/jobs/{row.id}", "events": f"/v1/jobs/{row.id}/events"}
    if row.layout_id is not None:
        links["layout"] = f"/v1/layouts/{row.layout_id}/revisions/{row.layout_revision}"
    if row.revalidation_id is not None:
        links["revalidation"] = f"/v1/revalidations/{row.revalidation_id}"
    return links if row.plan_id is None else links | plan_links(row.plan_id)


def _error(error: JobError) -> ProblemDocument:
    errors = map(ProblemError.from_fault, error.faults)
    return Problem(_KIND_OF_ERROR[error.kind], error.detail, errors=errors).document()
