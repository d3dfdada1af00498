"""A job asked for over HTTP: 202 with its document, whether it is new or was there already."""

from __future__ import annotations

from sqlalchemy import Connection

from api.http.answers import LOCATION, RETRY_AFTER, Answers, answer
from api.http.job_document import JobDocument
from api.http.not_found import found
from api.http.once import Reply
from api.http.problem import Problem
from api.http.problem_kinds import QUEUE_FULL
from api.jobs.read_jobs import are_waiting, find_job
from api.jobs.submit import Question, standing_job, submit
from api.store.cases import Origin

RETRY_AFTER_S = 2
ACCEPTED: Answers = {202: answer("The job as it stands, new or there already", LOCATION, RETRY_AFTER)}


def accepted(
    connection: Connection, question: Question, origin: Origin, *, by: str | None, most_waiting: int
) -> Reply:
    """Submit the question, unless too many wait already. The answer names the layout that was asked for.

    A question that was asked before needs no place.
    """
    if are_waiting(connection, most_waiting) and standing_job(connection, question) is None:
        headers = {"Retry-After": "60"}
        raise Problem(QUEUE_FULL, f"{most_waiting} jobs are waiting already.", headers=headers)
    return told(connection, submit(connection, question, by=by), origin)


def told(connection: Connection, job_id: str, origin: Origin | None = None) -> Reply:
    """The job as it stands."""
    job = JobDocument.from_row(found(find_job(connection, job_id)), origin)
    headers = {"Location": f"/v1/jobs/{job_id}", "Retry-After": str(RETRY_AFTER_S)}
    return Reply(status=202, document=job, subject=job_id, headers=headers)
