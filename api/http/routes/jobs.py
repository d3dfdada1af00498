"""Jobs: where the planning of a layout stands."""

from __future__ import annotations

from fastapi import APIRouter, Response

from api.http.job_document import JobDocument, JobPage
from api.http.not_found import found
from api.http.paging import Paging
from api.http.state import JobId, Store
from api.jobs.read_jobs import find_job, list_jobs

router = APIRouter(prefix="/v1/jobs", tags=["jobs"])


@router.get("", response_model_exclude_none=True)
def get_jobs(paging: Paging, store: Store) -> JobPage:
    """All jobs, newest first."""
    with store.read() as connection:
        page = list_jobs(connection, limit=paging.limit, cursor=paging.cursor)
    items = [JobDocument.from_row(row) for row in page.rows]
    return JobPage(
        items=items, next_cursor=page.next_cursor, next=paging.next_link("/v1/jobs", page.next_cursor)
    )


@router.get("/{job_id}", response_model_exclude_none=True)
def get_job(job_id: JobId, store: Store, response: Response) -> JobDocument:
    """One job. While it is not done, Retry-After says when to ask again."""
    with store.read() as connection:
        job = JobDocument.from_row(found(find_job(connection, job_id)))
    if not job.done:
        response.headers["Retry-After"] = "2"
    return job
