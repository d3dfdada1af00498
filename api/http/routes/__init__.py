"""The routes: each asks, and answers with a document."""

from __future__ import annotations

from fastapi import APIRouter

from api.http.routes import audit, job_events, jobs, keys, layouts, plans, resins, revalidations, service, webhooks

ROUTERS: tuple[APIRouter, ...] = (
    layouts.router,
    resins.router,
    plans.router,
    revalidations.router,
    jobs.router,
    job_events.router,
    webhooks.router,
    keys.router,
    audit.router,
    service.router,
)
