"""Revalidations: stored sequences judged again after a change of resin, gel test or temperature."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter
from sqlalchemy import Connection
from starlette.responses import Response

from api.http.answers import LOCATION, RETRY_AFTER, Answers, answer, download, file
from api.http.caller import Reads
from api.http.identifiers import RevalidationId
from api.http.json_body import JsonRoute
from api.http.not_found import found
from api.http.once import Reply, Writing
from api.http.paging import Paging
from api.http.problem_answers import NOT_DRAWN
from api.http.revalidation_document import RevalidationDocument, RevalidationPage, RevalidationRequest
from api.http.state import Jobs, Readers, Store
from api.readers.pool import ReaderPool
from api.readers.work import refuse_test_beyond_data, report_as_csv, report_as_html, report_as_xlsx
from api.reports.report_document import RevalidationReport
from api.revalidation.ask import ResinAsked, change_asked, facts_of_resins, refuse_to_judge_nothing
from api.revalidation.items import counted
from api.revalidation.report import is_planning_again, report_of, run_state
from api.revalidation.runs import NewRun, begin_run, find_run, list_runs
from api.store.database import Database

router = APIRouter(prefix="/v1/revalidations", tags=["revalidations"], route_class=JsonRoute)

_CSV, _XLSX = "text/csv", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_ASKED: Answers = {202: answer("The run as it stands", LOCATION, RETRY_AFTER)}
_AS_CSV: Answers = {200: file("RFC 4180", _CSV, download("revalidation_....csv"), is_text=True), **NOT_DRAWN}
_AS_XLSX: Answers = {200: file("The report as a workbook", _XLSX, download("revalidation_....xlsx")), **NOT_DRAWN}
_AS_HTML: Answers = {200: file("The report as a page", "text/html", is_text=True), **NOT_DRAWN}
_PAGE = {"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"}


@router.post("", status_code=202, response_model=RevalidationDocument, responses=_ASKED)
def post_revalidation(
    asked: RevalidationRequest, store: Store, readers: Readers, jobs: Jobs, once: Writing
) -> Response:
    """Judge stored plans again after a change: all that are verified, or those that the filter names."""
    resin = None
    if asked.change.resin_id is not None:
        resin = ResinAsked(
            resin_id=asked.change.resin_id, revision=asked.change.resin_revision, batch=asked.change.batch
        )
    change, said = change_asked(store, readers, asked.change.written(), resin)
    chosen = asked.plans.filter()
    refuse_to_judge_nothing(store, chosen, change)
    readers.run(refuse_test_beyond_data, change, facts_of_resins(store, chosen, change))
    new = NewRun(change=change, said=tuple(said), chosen=chosen, plan_again=asked.plan_again)

    def write(connection: Connection) -> Reply:
        run_id = begin_run(connection, new, by=once.by)
        headers = {"Location": f"/v1/revalidations/{run_id}", "Retry-After": "2"}
        return Reply(status=202, document=_document(connection, run_id), subject=run_id, headers=headers)

    answer = once("revalidation.ask", write)
    jobs.wake()
    return answer


@router.get("", response_model_exclude_none=True)
def get_revalidations(paging: Paging, store: Store, _: Reads) -> RevalidationPage:
    """All runs, newest first."""
    with store.read() as connection:
        page = list_runs(connection, limit=paging.limit, cursor=paging.cursor)
        items = [_document(connection, row.id) for row in page.rows]
    link = paging.next_link("/v1/revalidations", page.next_cursor)
    return RevalidationPage(items=items, next_cursor=page.next_cursor, next=link)


@router.get("/{run_id}")
def get_revalidation(run_id: RevalidationId, store: Store, _: Reads) -> RevalidationDocument:
    """How far the run is. Its job has the events, and is what can be cancelled."""
    with store.read() as connection:
        return _document(connection, run_id)


@router.get("/{run_id}/report")
def get_revalidation_report(run_id: RevalidationId, store: Store, _: Reads) -> RevalidationReport:
    """What became of each plan, what must be acted on first. While the run goes on: as far as it is."""
    return _report(store, run_id)


@router.get("/{run_id}/report.csv", response_class=Response, responses=_AS_CSV)
def get_revalidation_report_csv(run_id: RevalidationId, store: Store, readers: Readers, _: Reads) -> Response:
    """The report for a spreadsheet, RFC 4180."""
    return _drawn(store, readers, run_id, report_as_csv, _CSV, "csv")


@router.get("/{run_id}/report.xlsx", response_class=Response, responses=_AS_XLSX)
def get_revalidation_report_xlsx(run_id: RevalidationId, store: Store, readers: Readers, _: Reads) -> Response:
    """The report as a workbook."""
    return _drawn(store, readers, run_id, report_as_xlsx, _XLSX, "xlsx")


@router.get("/{run_id}/report.html", response_class=Response, responses=_AS_HTML)
def get_revalidation_report_html(run_id: RevalidationId, store: Store, readers: Readers, _: Reads) -> Response:
    """The report as a page to read or print."""
    return _drawn(store, readers, run_id, report_as_html, "text/html", None)


def _document(connection: Connection, run_id: str) -> RevalidationDocument:
    run = found(find_run(connection, run_id))
    state = run_state(run, planning_again=is_planning_again(connection, run_id))
    return RevalidationDocument.from_row(run, counted(connection, run_id), state)


def _report(store: Database, run_id: str) -> RevalidationReport:
    with store.read() as connection:
        return report_of(connection, found(find_run(connection, run_id)))


def _drawn(
    store: Database,
    readers: ReaderPool,
    run_id: str,
    draw: Callable[[str], bytes],
    media_type: str,
    file_ending: str | None,
) -> Response:
    content = readers.run_kept(draw, _report(store, run_id).model_dump_json())
    if file_ending is None:
        return Response(content, media_type=media_type, headers=_PAGE)
    disposition = f'attachment; filename="{run_id}.{file_ending}"'
    return Response(content, media_type=media_type, headers={"Content-Disposition": disposition})
