"""A job followed as it goes, without asking again and again."""

from __future__ import annotations

from collections.abc import AsyncIterator
from functools import partial
from typing import Annotated

from fastapi import APIRouter, Depends, Header, Request
from starlette.responses import Response

from api.http.answers import Answers, answer, file
from api.http.caller import Reads
from api.http.identifiers import JobId
from api.http.job_events import JobStreams
from api.http.problem import Problem
from api.http.problem_kinds import NOT_FOUND
from api.http.state import Ring

router = APIRouter(prefix="/v1/jobs", tags=["jobs"])

_ANSWERS: Answers = {
    200: file(
        "`state` at each change of state, its id to be sent as Last-Event-ID; `progress` without one",
        "text/event-stream",
        is_text=True,
    ),
    204: answer("The job is done and all of it was told"),
}

LastEventId = Annotated[int, Header(alias="Last-Event-ID", ge=0, description="Tell only what came after this event.")]


async def _followed(request: Request, job_id: JobId) -> AsyncIterator[JobStreams]:
    """A place among the streams, free again once the answer has ended, however it ended."""
    streams: JobStreams = request.app.state.job_streams
    with streams.follow(job_id):
        yield streams


@router.get("/{job_id}/events", response_class=Response, responses=_ANSWERS)
async def get_job_events(
    job_id: JobId,
    caller: Reads,
    ring: Ring,
    streams: Annotated[JobStreams, Depends(_followed)],
    last_event_id: LastEventId = 0,
) -> Response:
    """Server-sent events from the first change of state to the last; a comment every 15 s keeps the way open."""
    key_id = caller.key_id
    answer = await streams.respond(
        job_id, after=last_event_id, goes_on=None if key_id is None else partial(ring.is_good, key_id)
    )
    if answer is None:
        raise Problem(NOT_FOUND, "The store holds nothing under this address.")
    return answer
