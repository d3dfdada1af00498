"""What the service says about itself: does it live, can it work, what it reads, how it fails."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path, Request, Response
from sqlalchemy.exc import DBAPIError

from api.http.answers import Answers, file
from api.http.caller import Reads
from api.http.document import Document
from api.http.metrics import MEDIA_TYPE as METRICS_MEDIA_TYPE
from api.http.metrics import Metrics
from api.http.problem import Problem, unavailable
from api.http.problem_answers import NOT_DRAWN, reference
from api.http.problem_kinds import KINDS, NOT_FOUND, UNAVAILABLE
from api.http.state import Configured, Jobs, Readers, Store
from api.readers.work import schema_of
from optimiser import __version__

router = APIRouter(tags=["service"])

_METRICS: Answers = {200: file("Text format of Prometheus", "text/plain", is_text=True)}


SchemaName = Annotated[
    Literal["case", "resin", "sequence", "plan"],
    Path(description="`case`: body of a layout. `resin`: body of a resin. `sequence`: in a check. `plan`: plan.json."),
]
Slug = Annotated[str, Path(pattern=r"^[a-z-]{1,40}$", description="Last part of the `type` of a problem.")]


class HealthDocument(Document):
    """The service answers."""

    status: str
    """`alive` or `ready`."""
    software_version: str
    """Version of the program."""


class LimitsDocument(Document):
    """How much the service takes."""

    largest_body_bytes: int
    """Most bytes of a request body."""
    requests_per_minute: int
    """Most requests of one key in a minute; 0: no limit."""
    most_waiting_jobs: int
    """With so many jobs queued, more are refused with status 503."""
    attempt_limit_s: float
    """A job that runs longer is ended, seconds."""
    attempts: int
    """A job whose process died this often has failed."""
    page_limit: int
    """Most entries on a page of a list."""


class KindDocument(Document):
    """What a problem's `type` stands for."""

    type: str
    """Address of this explanation."""
    status: int
    """HTTP status that comes with it."""
    title: str
    """The kind in words."""
    meaning: str
    """What to make of it."""


@router.get("/livez")
def get_livez() -> HealthDocument:
    """The process answers."""
    return HealthDocument(status="alive", software_version=__version__)


@router.get("/readyz", responses={UNAVAILABLE.status: reference(UNAVAILABLE)})
def get_readyz(store: Store, jobs: Jobs) -> HealthDocument:
    """The store takes a write and the supervisor of the jobs runs."""
    if not jobs.is_alive:
        raise unavailable("The supervisor of the jobs does not run.")
    try:
        with store.write():
            pass
    except DBAPIError as error:
        raise unavailable("The store does not take a write.") from error
    return HealthDocument(status="ready", software_version=__version__)


@router.get("/metrics", response_class=Response, responses=_METRICS)
def get_metrics(request: Request, _: Reads) -> Response:
    """Counts for Prometheus, in its text format."""
    metrics: Metrics = request.app.state.metrics
    return Response(metrics.exposition(), media_type=METRICS_MEDIA_TYPE)


@router.get("/openapi.json", include_in_schema=False)
def get_openapi(request: Request, _: Reads) -> dict[str, Any]:
    """All addresses of this service, described."""
    description: dict[str, Any] = request.app.openapi()
    return description


@router.get("/v1/limits")
def get_limits(settings: Configured, _: Reads) -> LimitsDocument:
    """How much the service takes of one client, and of one job."""
    return LimitsDocument(
        largest_body_bytes=settings.largest_body_bytes,
        requests_per_minute=settings.requests_per_minute,
        most_waiting_jobs=settings.most_waiting,
        attempt_limit_s=settings.attempt_limit_s,
        attempts=settings.most_attempts,
        page_limit=200,
    )


@router.get("/v1/schema/{name}", responses=NOT_DRAWN)
def get_schema(name: SchemaName, readers: Readers, _: Reads) -> dict[str, Any]:
    """The JSON Schema of a document that is sent in or given out."""
    return readers.run(schema_of, name)


@router.get("/v1/problems/{slug}")
def get_problem_kind(slug: Slug, _: Reads) -> KindDocument:
    """What a problem's `type` stands for."""
    if (kind := KINDS.get(slug)) is None:
        raise Problem(NOT_FOUND, "No problem of this service has this type.")
    return KindDocument(type=kind.type, status=kind.status, title=kind.title, meaning=kind.meaning)
