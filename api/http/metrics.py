"""What Prometheus collects: requests as they are answered, and the state of the store when it is asked."""

from __future__ import annotations

import time
from collections.abc import Iterator

from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, Histogram, ProcessCollector, generate_latest
from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.registry import Collector
from sqlalchemy import func, select
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.store.database import Database
from api.store.instants import now
from api.store.tables import deliveries, jobs

MEDIA_TYPE = CONTENT_TYPE_LATEST
_STREAM = "/v1/jobs/{job_id}/events"


class Metrics:
    """One for each application, so that two in one process do not share counts."""

    def __init__(self, store: Database) -> None:
        self._registry = CollectorRegistry()
        ProcessCollector(registry=self._registry)
        self._registry.register(_StoreCollector(store))
        self._requests = Histogram(
            "tapcall_request_duration_seconds",
            "Time from the first byte of a request to the last of its answer.",
            ("method", "route", "status"),
            registry=self._registry,
        )

    def exposition(self) -> bytes:
        return generate_latest(self._registry)

    def answered(self, scope: Scope, status: int, duration_s: float) -> None:
        """The route's pattern and not the path: a label must not have a value for each id."""
        route = getattr(scope.get("route"), "path", "none")
        if route == _STREAM:
            return  # lasts as long as the client likes
        self._requests.labels(scope["method"], route, str(status)).observe(duration_s)


class Measured:
    """Wraps the application."""

    def __init__(self, app: ASGIApp, *, metrics: Metrics) -> None:
        self._app, self._metrics = app, metrics

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began_s, status = time.monotonic(), 500

        async def noting(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            await self._app(scope, receive, noting)
        finally:
            self._metrics.answered(scope, status, time.monotonic() - began_s)


class _StoreCollector(Collector):
    def __init__(self, store: Database) -> None:
        self._store = store

    def describe(self) -> list[Metric]:
        """Nothing is collected when the collector is registered."""
        return []

    def collect(self) -> Iterator[Metric]:
        waiting = GaugeMetricFamily("tapcall_jobs", "Jobs that are not done.", labels=["kind", "state"])
        with self._store.read() as connection:
            open_jobs = select(jobs.c.kind, jobs.c.state, func.count(), func.min(jobs.c.created_at))
            open_jobs = open_jobs.where(jobs.c.state.in_(("queued", "running"))).group_by(jobs.c.kind, jobs.c.state)
            rows = connection.execute(open_jobs).all()
            due = connection.execute(
                select(func.count()).select_from(deliveries).where(deliveries.c.due_at.is_not(None))
            ).scalar_one()
        for kind, state, count, _ in rows:
            waiting.add_metric([kind, state], count)
        yield waiting
        oldest = min((since for _, state, _, since in rows if state == "queued"), default=None)
        age_s = 0.0 if oldest is None else max(0.0, (now() - oldest).total_seconds())
        yield GaugeMetricFamily("tapcall_oldest_queued_job_seconds", "How long the oldest has waited.", value=age_s)
        yield GaugeMetricFamily("tapcall_webhook_deliveries_due", "Deliveries not yet made.", value=due)
