"""Jobs: where long work stands."""

from __future__ import annotations

from fastapi import APIRouter, Response
from sqlalchemy import Connection

from api.http.answers import RETRY_AFTER_WHILE_OPEN, Answers, answer
from api.http.caller import Reads
from api.http.glance import glance
from api.http.identifiers import JobId
from api.http.job_document import JobDocument, JobPage
from api.http.job_listing import JobsPaging
from api.http.job_submission import ACCEPTED, RETRY_AFTER_S, told
from api.http.not_found import found
from api.http.once import Reply, Writing
from api.http.state import Jobs, Store
from api.jobs.attempt import cancel
from api.jobs.read_jobs import find_job, list_jobs

router = APIRouter(prefix="/v1/jobs", tags=["jobs"])

_READ: Answers = {200: answer("The job as it stands", RETRY_AFTER_WHILE_OPEN)}


@router.get("", response_model_exclude_none=True)
def get_jobs(paging: JobsPaging, store: Store, _: Reads) -> JobPage:
    """All jobs, newest first."""
    with store.read() as connection:
        page = list_jobs(connection, paging.filter(), limit=paging.limit, cursor=paging.cursor)
    items = [JobDocument.from_row(row) for row in page.rows]
    link = paging.next_link("/v1/jobs", page.next_cursor)
    return JobPage(items=items, next_cursor=page.next_cursor, next=link)


@router.get("/{job_id}", response_model=JobDocument, responses=_READ)
async def get_job(job_id: JobId, store: Store, _: Reads) -> Response:
    """One job. While it is not done, Retry-After says when to ask again."""
    body, headers = found(await glance(store, lambda connection: _as_it_stands(connection, job_id), keep_as=job_id))
    return Response(body, media_type="application/json", headers=headers)


@router.post("/{job_id}/cancel", status_code=202, response_model=JobDocument, responses=ACCEPTED)
def cancel_job(job_id: JobId, once: Writing, jobs: Jobs) -> Response:
    """Give a job up. One that is done stays as it is; a cancelled one is worked on no more."""

    def write(connection: Connection) -> Reply:
        found(find_job(connection, job_id))
        cancel(connection, job_id)
        return told(connection, job_id)

    answer = once("job.cancel", write)
    jobs.wake()
    return answer


def _as_it_stands(connection: Connection, job_id: str) -> tuple[bytes, dict[str, str]] | None:
    """Body and headers; planning tools ask for the same job over and over."""
    row = find_job(connection, job_id)
    if row is None:
        return None
    job = JobDocument.from_row(row)
    headers = {} if job.done else {"Retry-After": str(RETRY_AFTER_S)}
    return job.model_dump_json(exclude_none=True).encode(), headers
