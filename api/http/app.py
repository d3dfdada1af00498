"""The web application, put together."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

from anyio import CapacityLimiter
from fastapi import FastAPI

from api.http.body_limit import BodyLimit
from api.http.identify import Identify
from api.http.job_events import JobStreams
from api.http.metrics import Measured, Metrics
from api.http.openapi_page import TAGS, completed
from api.http.outermost import Outermost
from api.http.problem import ProblemDocument
from api.http.problem_handlers import install_problem_handlers
from api.http.request_limit import RequestLimit
from api.http.routes import ROUTERS
from api.http.wrong_requests import LOOPBACK_HOSTS
from api.jobs.supervisor import Supervisor
from api.keys.key_ring import KeyRing
from api.readers.pool import ReaderPool
from api.settings import Settings
from api.store.database import Database
from optimiser import __version__

_DESCRIPTION = (
    "Finds and verifies the order in which the feed lines of a resin infusion are opened, and judges stored "
    "sequences again when resin, gel time or temperature changes. Keep a layout (POST /v1/layouts), have it planned "
    "(POST /v1/plans), follow the job, read the plan. Units stand in the names of fields; times are UTC (RFC 3339); "
    "problems are documents of RFC 9457 with a pointer for each fault."
)


_MOST_WRITERS = 20
"""Requests that write at the same time: half of the threads that requests are answered in (anyio's default is 40)."""


class _Described(FastAPI):
    """With the OpenAPI page completed by what follows from each operation."""

    def openapi(self) -> dict[str, Any]:
        if self.openapi_schema is None:
            self.openapi_schema = completed(super().openapi())
        return self.openapi_schema


def create_app(
    store: Database, supervisor: Supervisor, readers: ReaderPool, keys: KeyRing, settings: Settings
) -> FastAPI:
    """The application over a migrated store; the supervisor runs as long as the application."""

    @asynccontextmanager
    async def supervised(_app: FastAPI) -> AsyncIterator[None]:
        supervisor.start()
        yield
        supervisor.stop()

    app = _Described(
        title="tapcall",
        version=__version__,
        description=_DESCRIPTION,
        openapi_url=None,
        redirect_slashes=False,
        lifespan=supervised,
        license_info={"name": "Apache License 2.0", "identifier": "Apache-2.0"},
        openapi_tags=TAGS,
        generate_unique_id_function=lambda route: route.name,
        responses={"default": {"model": ProblemDocument}},
    )
    app.state.store, app.state.supervisor, app.state.settings = store, supervisor, settings
    app.state.readers, app.state.keys = readers, keys
    app.state.writers = CapacityLimiter(_MOST_WRITERS)
    app.state.job_streams = JobStreams(store)
    app.state.routes = [route for router in ROUTERS for route in router.routes]
    for router in ROUTERS:
        app.include_router(router)
    install_problem_handlers(app)
    app.state.metrics = Metrics(store)
    app.add_middleware(Measured, metrics=app.state.metrics)
    app.add_middleware(BodyLimit, largest_bytes=settings.largest_body_bytes)
    limit = RequestLimit(settings.requests_per_minute)
    app.add_middleware(Identify, keys=keys if settings.keys else None, limit=limit)
    app.add_middleware(Outermost, only_loopback=settings.host in LOOPBACK_HOSTS)
    return app
