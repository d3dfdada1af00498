"""Plans, each in every form that a person or a program may want."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from api.http.paging import Paging
from api.http.plan_listing import PlanListing, PlanPage
from api.http.representations import (
    MAP,
    PLAN_JSON,
    RUN_SHEET,
    RUN_SHEET_PDF,
    TAP_LABELS,
    represent,
    responses_of,
)
from api.http.state import PlanId, Store
from api.store.plans import list_plans
from optimiser.case.plan_document import PlanDocument

router = APIRouter(prefix="/v1/plans", tags=["plans"])


@router.get("", response_model_exclude_none=True)
def get_plans(paging: Paging, store: Store) -> PlanPage:
    """All plans without their content, newest first."""
    with store.read() as connection:
        page = list_plans(connection, limit=paging.limit, cursor=paging.cursor)
    items = [PlanListing.from_row(row) for row in page.rows]
    return PlanPage(
        items=items, next_cursor=page.next_cursor, next=paging.next_link("/v1/plans", page.next_cursor)
    )


@router.get("/{plan_id}", response_model=PlanDocument, response_class=Response)
def get_plan(plan_id: PlanId, store: Store, request: Request) -> Response:
    """plan.json, byte for byte as it was computed."""
    return represent(request, store, plan_id, PLAN_JSON)


@router.get("/{plan_id}/run-sheet", response_class=Response, responses=responses_of(RUN_SHEET))
def get_run_sheet(plan_id: PlanId, store: Store, request: Request) -> Response:
    """The run sheet as a page."""
    return represent(request, store, plan_id, RUN_SHEET)


@router.get("/{plan_id}/run-sheet.pdf", response_class=Response, responses=responses_of(RUN_SHEET_PDF))
def get_run_sheet_pdf(plan_id: PlanId, store: Store, request: Request) -> Response:
    """The run sheet to print."""
    return represent(request, store, plan_id, RUN_SHEET_PDF)


@router.get("/{plan_id}/map.svg", response_class=Response, responses=responses_of(MAP))
def get_map(plan_id: PlanId, store: Store, request: Request) -> Response:
    """The wet-out map."""
    return represent(request, store, plan_id, MAP)


@router.get("/{plan_id}/tap-labels.pdf", response_class=Response, responses=responses_of(TAP_LABELS))
def get_tap_labels(plan_id: PlanId, store: Store, request: Request) -> Response:
    """The labels of the taps, to print."""
    return represent(request, store, plan_id, TAP_LABELS)
