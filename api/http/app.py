"""The web application, put together."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI

from api.http.outermost import LOOPBACK_HOSTS, Outermost
from api.http.problem import MEDIA_TYPE
from api.http.problem_handlers import install_problem_handlers
from api.http.routes import jobs, layouts, plans, service
from api.jobs.supervisor import Supervisor
from api.settings import Settings
from api.store.database import Database
from optimiser import __version__

_DESCRIPTION = (
    "Finds and verifies the order in which the feed lines of a resin infusion are opened. "
    "Send a case to /v1/layouts, follow the job, read the plan. There are no keys yet: keep it on loopback."
)
_PROBLEM_SCHEMA = {"schema": {"$ref": "#/components/schemas/ProblemDocument"}}


def create_app(store: Database, supervisor: Supervisor, settings: Settings) -> FastAPI:
    """The application over a migrated store; the supervisor runs as long as the application."""

    @asynccontextmanager
    async def supervised(_app: FastAPI) -> AsyncIterator[None]:
        supervisor.start()
        yield
        supervisor.stop()

    app = FastAPI(
        title="tapcall",
        version=__version__,
        description=_DESCRIPTION,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        lifespan=supervised,
        responses={"default": {"description": "Any problem", "content": {MEDIA_TYPE: _PROBLEM_SCHEMA}}},
    )
    app.state.store, app.state.supervisor, app.state.settings = store, supervisor, settings
    for routes in (layouts, jobs, plans, service):
        app.include_router(routes.router)
    install_problem_handlers(app)
    app.add_middleware(Outermost, only_loopback=settings.host in LOOPBACK_HOSTS)
    return app
