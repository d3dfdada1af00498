"""What the service says about itself: does it live, can it work, what it reads, how it fails."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from sqlalchemy.exc import OperationalError

from api.http.document import Document
from api.http.problem import Problem
from api.http.problem_handlers import unavailable
from api.http.problem_kinds import KINDS, NOT_FOUND
from api.http.state import Jobs, Store
from optimiser import __version__
from optimiser.case.schema import case_schema

router = APIRouter(tags=["service"])


class HealthDocument(Document):
    status: str
    software_version: str


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
    except OperationalError as error:
        raise unavailable("The store does not take a write.") from error
    return HealthDocument(status="ready", software_version=__version__)


@router.get("/v1/schema/case")
def get_case_schema() -> dict[str, Any]:
    """The JSON Schema of a case."""
    return case_schema()


@router.get("/v1/problems/{slug}")
def get_problem_kind(slug: str) -> KindDocument:
    """What a problem's `type` stands for."""
    if (kind := KINDS.get(slug)) is None:
        raise Problem(NOT_FOUND, "No problem of this service has this type.")
    return KindDocument(type=kind.type, status=kind.status, title=kind.title, meaning=kind.meaning)
