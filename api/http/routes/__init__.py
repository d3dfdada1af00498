"""The routes: each asks, and answers with a document."""

from __future__ import annotations

from fastapi import APIRouter

from api.http.routes import audit, job_events, jobs, keys, layouts, plans, resins, revalidations, service, webhooks

ROUTERS: tuple[APIRouter, ...] = (
    jobs.router,
    layouts.router,
    resins.router,
    plans.router,
    revalidations.router,
    job_events.router,
    webhooks.router,
    keys.router,
    audit.router,
    service.router,
)
"""Looked through in this order by each request: what is asked for most stands first."""
