"""Layouts: sent in to be planned, and read again. The reader of cases is loaded with the first of them."""

from __future__ import annotations

from fastapi import APIRouter, Response

from api.http.case_body import CASE_BODY_SCHEMA, CaseBody
from api.http.job_document import JobDocument
from api.http.layout_document import LayoutDocument
from api.http.not_found import found
from api.http.state import Digest, Jobs, Store
from api.jobs.read_jobs import find_job, jobs_of_layout
from api.jobs.submit import submit
from api.store.layouts import NewLayout, find_layout
from optimiser import __version__

router = APIRouter(prefix="/v1/layouts", tags=["layouts"])


@router.post("", status_code=202, response_model_exclude_none=True, openapi_extra=CASE_BODY_SCHEMA)
def submit_layout(source: CaseBody, store: Store, jobs: Jobs, response: Response) -> JobDocument:
    """Check a case and queue it for planning. The same case sent again meets the job already there."""
    from optimiser.case.read_case import read_case

    case = read_case(source)
    layout = NewLayout(digest=case.digest, name=case.document.name, source=source)
    job_id = submit(store, layout, software_version=__version__)
    jobs.wake()
    response.headers.update({"Location": f"/v1/jobs/{job_id}", "Retry-After": "2"})
    with store.read() as connection:
        return JobDocument.from_row(found(find_job(connection, job_id)))


@router.get("/{digest}")
def get_layout(digest: Digest, store: Store) -> LayoutDocument:
    """The case as it was understood, and the jobs that it led to."""
    with store.read() as connection:
        row = found(find_layout(connection, digest))
        return LayoutDocument.from_row(row, jobs_of_layout(connection, digest))
