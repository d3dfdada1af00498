"""Plans: asked for, and read in every form that a person or a program may want."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter
from sqlalchemy import Connection
from starlette.responses import Response

from api.http.caller import Reads
from api.http.etags import IfNoneMatch
from api.http.identifiers import PlanId
from api.http.job_document import JobDocument
from api.http.job_submission import ACCEPTED, accepted
from api.http.json_body import JsonRoute
from api.http.not_found import found
from api.http.once import Reply, Writing
from api.http.plan_listing import PlanListing, PlanPage, PlansPaging, WithdrawRequest
from api.http.plan_request import CheckRequest, PlanRequest
from api.http.problem import Problem
from api.http.problem_answers import ALREADY_WITHDRAWN
from api.http.problem_kinds import WITHDRAWN
from api.http.representations import (
    MAP,
    PLAN_JSON,
    RUN_SHEET,
    RUN_SHEET_PDF,
    TAP_LABELS,
    answers_of,
    represent,
)
from api.http.state import Configured, Jobs, Readers, Store
from api.jobs.compose import composed
from api.jobs.states import JobKind
from api.jobs.submit import Question
from api.readers.work import sequence_of
from api.store.cases import NewCase, Origin, keep_case
from api.store.plans import find_listed_plan, list_plans
from api.store.standing import standing_of
from api.store.withdrawals import AlreadyWithdrawnError, reinstate, withdraw
from optimiser import __version__
from optimiser.case.plan_document import PlanDocument

router = APIRouter(prefix="/v1", tags=["plans"], route_class=JsonRoute)


@router.post("/plans", status_code=202, response_model=JobDocument, responses=ACCEPTED)
def post_plan(
    asked: PlanRequest, store: Store, readers: Readers, jobs: Jobs, once: Writing, settings: Configured
) -> Response:
    """Have a layout planned. The same layout, resin, settings and software meet the answer that is there."""
    case, origin = composed(store, readers, asked.ingredients())
    question = Question(kind=JobKind.PLAN, software_version=__version__, case_digest=case.digest)
    return _asked(once, jobs, settings, case, origin, question)


@router.post("/checks", status_code=202, response_model=JobDocument, responses=ACCEPTED)
def post_check(
    asked: CheckRequest, store: Store, readers: Readers, jobs: Jobs, once: Writing, settings: Configured
) -> Response:
    """Have a sequence of your own played as it stands. The answer is a plan that was checked, not chosen."""
    case, origin = composed(store, readers, asked.ingredients())
    sequence = readers.run(sequence_of, asked.sequence, case.source)
    question = Question(
        kind=JobKind.CHECK, software_version=__version__, case_digest=case.digest, sequence=sequence
    )
    return _asked(once, jobs, settings, case, origin, question)


@router.get("/plans", response_model_exclude_none=True)
def get_plans(paging: PlansPaging, store: Store, _: Reads) -> PlanPage:
    """Plans without their content, newest first."""
    with store.read() as connection:
        page = list_plans(connection, paging.filter(), limit=paging.limit, cursor=paging.cursor)
    items = [PlanListing.from_row(row) for row in page.rows]
    link = paging.next_link("/v1/plans", page.next_cursor)
    return PlanPage(items=items, next_cursor=page.next_cursor, next=link)


@router.get("/plans/{plan_id}/listing", response_model_exclude_none=True)
def get_plan_listing(plan_id: PlanId, store: Store, _: Reads) -> PlanListing:
    """What the plan points to: layout, resin and settings by digest, and the version that computed it."""
    with store.read() as connection:
        return _listing(connection, plan_id)


@router.post("/plans/{plan_id}/withdraw", response_model=PlanListing, responses=ALREADY_WITHDRAWN)
def withdraw_plan(plan_id: PlanId, asked: WithdrawRequest, once: Writing) -> Response:
    """Use a plan no more: its run sheet, map and labels say so, and no revalidation judges it. It stays readable."""

    def change(connection: Connection) -> None:
        try:
            withdraw(connection, plan_id, reason=asked.reason, by=once.by)
        except AlreadyWithdrawnError as error:
            raise Problem(WITHDRAWN, f"It was withdrawn before, and that stays: {error.reason}") from error

    return _stands_anew(once, "plan.withdraw", plan_id, change)


@router.post("/plans/{plan_id}/reinstate", response_model=PlanListing)
def reinstate_plan(plan_id: PlanId, once: Writing) -> Response:
    """Take a withdrawal back."""
    return _stands_anew(once, "plan.reinstate", plan_id, lambda connection: reinstate(connection, plan_id))


@router.get("/plans/{plan_id}", response_model=PlanDocument, responses=answers_of(PLAN_JSON))
def get_plan(plan_id: PlanId, store: Store, readers: Readers, _: Reads, known: IfNoneMatch = None) -> Response:
    """plan.json, byte for byte as it was computed."""
    return represent(known, store, readers, plan_id, PLAN_JSON)


@router.get("/plans/{plan_id}/run-sheet", response_class=Response, responses=answers_of(RUN_SHEET))
def get_run_sheet(plan_id: PlanId, store: Store, readers: Readers, _: Reads, known: IfNoneMatch = None) -> Response:
    """The run sheet as a page."""
    return represent(known, store, readers, plan_id, RUN_SHEET)


@router.get("/plans/{plan_id}/run-sheet.pdf", response_class=Response, responses=answers_of(RUN_SHEET_PDF))
def get_run_sheet_pdf(plan_id: PlanId, store: Store, readers: Readers, _: Reads, known: IfNoneMatch = None) -> Response:
    """The run sheet to print."""
    return represent(known, store, readers, plan_id, RUN_SHEET_PDF)


@router.get("/plans/{plan_id}/map.svg", response_class=Response, responses=answers_of(MAP))
def get_map(plan_id: PlanId, store: Store, readers: Readers, _: Reads, known: IfNoneMatch = None) -> Response:
    """The wet-out map."""
    return represent(known, store, readers, plan_id, MAP)


@router.get("/plans/{plan_id}/tap-labels.pdf", response_class=Response, responses=answers_of(TAP_LABELS))
def get_tap_labels(plan_id: PlanId, store: Store, readers: Readers, _: Reads, known: IfNoneMatch = None) -> Response:
    """The labels of the taps, to print."""
    return represent(known, store, readers, plan_id, TAP_LABELS)


def _stands_anew(once: Writing, action: str, plan_id: str, change: Callable[[Connection], None]) -> Response:
    """Answered with the plan's listing as it is then."""

    def write(connection: Connection) -> Reply:
        found(find_listed_plan(connection, plan_id))
        change(connection)
        return Reply(status=200, document=_listing(connection, plan_id), subject=plan_id)

    return once(action, write)


def _listing(connection: Connection, plan_id: str) -> PlanListing:
    return PlanListing.from_row(found(find_listed_plan(connection, plan_id)), standing_of(connection, plan_id))


def _asked(
    once: Writing, jobs: Jobs, settings: Configured, case: NewCase, origin: Origin, question: Question
) -> Response:
    def write(connection: Connection) -> Reply:
        keep_case(connection, case, origin)
        return accepted(connection, question, origin, by=once.by, most_waiting=settings.most_waiting)

    answer = once(f"{question.kind}.ask", write)
    jobs.wake()
    return answer
