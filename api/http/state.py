"""What the routes may ask of the application they belong to."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Path, Request

from api.jobs.supervisor import Supervisor
from api.store.database import Database


def _store(request: Request) -> Database:
    store: Database = request.app.state.store
    return store


def _supervisor(request: Request) -> Supervisor:
    supervisor: Supervisor = request.app.state.supervisor
    return supervisor


Store = Annotated[Database, Depends(_store)]
Jobs = Annotated[Supervisor, Depends(_supervisor)]

JobId = Annotated[str, Path(pattern=r"^job_[0-9a-f]{32}$")]
PlanId = Annotated[str, Path(pattern=r"^plan_[0-9a-f]{24}$")]
Digest = Annotated[str, Path(pattern=r"^[0-9a-f]{64}$")]
