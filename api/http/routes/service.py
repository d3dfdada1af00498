"""What the service says about itself: does it live, can it work, what it reads, how it fails."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request, Response
from sqlalchemy.exc import DBAPIError

from api.http.caller import Reads
from api.http.document import Document
from api.http.metrics import MEDIA_TYPE as METRICS_MEDIA_TYPE
from api.http.metrics import Metrics
from api.http.problem import Problem
from api.http.problem_handlers import unavailable
from api.http.problem_kinds import KINDS, NOT_FOUND
from api.http.state import Configured, Jobs, Readers, Store
from api.readers.work import schema_of
from optimiser import __version__

router = APIRouter(tags=["service"])


class HealthDocument(Document):
    status: str
    software_version: str


class LimitsDocument(Document):
    """How much the service takes."""

    largest_body_bytes: int
    requests_per_minute: int
    """Of one key; 0: no limit."""
    most_waiting_jobs: int
    attempt_limit_s: float
    attempts: int
    page_limit: int


class KindDocument(Document):
    """What a problem's `type` stands for."""

    type: str
    status: int
    title: str
    meaning: str


@router.get("/livez")
def get_livez() -> HealthDocument:
    """The process answers."""
    return HealthDocument(status="alive", software_version=__version__)


@router.get("/readyz")
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


@router.get("/metrics", response_class=Response)
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


@router.get("/v1/schema/{name}")
def get_schema(name: str, readers: Readers, _: Reads) -> dict[str, Any]:
    """The JSON Schema of a `case`, a `resin` or a `plan`."""
    if name not in {"case", "resin", "plan"}:
        raise Problem(NOT_FOUND, "There are schemas of: case, resin, plan.")
    return readers.run(schema_of, name)


@router.get("/v1/problems/{slug}")
def get_problem_kind(slug: str, _: Reads) -> KindDocument:
    """What a problem's `type` stands for."""
    if (kind := KINDS.get(slug)) is None:
        raise Problem(NOT_FOUND, "No problem of this service has this type.")
    return KindDocument(type=kind.type, status=kind.status, title=kind.title, meaning=kind.meaning)
